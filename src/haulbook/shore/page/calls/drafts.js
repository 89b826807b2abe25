/** One lot of animals while a call is still being read. `haulbook.calls.drafts` is the reference. */

export class Draft {
  /** @param {object} known taxon, said, count, stage, fate, place, length_mm ..., as far as known */
  constructor(known = {}) {
    Object.assign(this, { taxon: null, said: "", count: null, vague: false, zero: false, sure: true });
    Object.assign(this, { stage: null, fate: null, place: null, length_mm: null, choices: [], doubts: [] });
    Object.assign(this, { opens: false, plural: false, part: false, split: false, series: null, runs: new Set(), own: new Set() }, known);
  }

  /** The same lot with something else known of it. */
  with(known) {
    return new Draft({ ...this, doubts: [...this.doubts], ...known });
  }

  /** Whether a number, "a few" or "none" was said. */
  get counted() {
    return this.count !== null || this.vague || this.zero;
  }

  /** What was said of it alone that may be said of a whole list: fate, place. */
  ownShared() {
    return ["fate", "place"].filter((kind) => this.own.has(kind));
  }

  /** Say one more thing of the animals; false where something else was said already. */
  give(kind, value, run) {
    if (this[kind] !== null && this[kind] !== value) return false;
    this[kind] = value;
    this.runs.add(run);
    this.own.add(kind);
    return true;
  }

  /** The finished line. */
  line() {
    const doubt = this.doubts.includes("name") ? "name" : this.doubts.length ? "count" : null;
    return {
      count: this.zero ? 0 : this.count,
      taxon: this.sure ? this.taxon : null,
      stage: this.stage,
      fate: this.fate,
      place: this.place,
      length_mm: this.length_mm,
      doubt: doubt !== null,
      doubt_about: doubt,
      zero: this.zero,
    };
  }
}
