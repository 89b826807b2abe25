/** Parts of a lot: "one of them dead", "rest back", "half of them". `haulbook.calls.parts` is the reference. */

import { Draft } from "./drafts.js";
import { inMm } from "./pieces.js";
import { SHARED, State } from "./state.js";
import { isWithin } from "./words.js";

const BETWEEN_LENGTHS = ["and", "hedge", "at", "filler"];
const NUMBERS = ["count", "decimal", "length"];

export class Parts extends State {
  /** Take a number without a name: part of the lot before it, or more of the same animals. */
  part(piece, value) {
    const { last } = this;
    const [ahead, after] = [this.ahead(), this.rightBehind()];
    const whole = this.whole || last;
    if (!last || !whole) return;
    const ofThem = Boolean(after) && after.kind === "of";
    const dealtWith = this.whole === null && !ofThem ? last.ownShared() : [];
    const more = piece.said === "another" || piece.said.includes(" more") || (Boolean(after) && after.kind === "more");
    const otherStage = Boolean(ahead) && ahead.kind === "stage" && last.stage !== null && last.stage !== ahead.value;
    if (this.soundsLikeTo(piece)) {
      this.ask(piece, "count");
    } else if (dealtWith.length) {
      if (!ahead || !dealtWith.includes(ahead.kind) || ahead.value === last[ahead.kind]) this.ask(piece, "count");
      else this.addTo(last, piece, value, last.stage);
    } else if (this.whole === null && (more || otherStage)) {
      this.addTo(last, piece, value, otherStage ? null : last.stage);
    } else if (whole.count === null || value > whole.count) {
      this.ask(piece, "count");
    } else if (value === whole.count) {
      this.turnTo(whole);
    } else if (["a", "an"].includes(piece.said)) {
      this.ask(piece, "count");
    } else {
      const part = whole.with({ count: value, runs: new Set([piece.run]), part: true, own: new Set() });
      whole.count -= value;
      whole.split = true;
      this.whole = whole;
      this.drafts.push(part);
    }
  }

  /** "Six cunner two bucket two" may be "to bucket two". */
  soundsLikeTo(piece) {
    const [before, after] = [this.rightBefore(), this.rightBehind()];
    const named = Boolean(before) && before.kind === "name";
    return named && piece.said === "two" && Boolean(after) && after.kind === "place";
  }

  /** Take "half of them", "half back, half kept"; "half dead" says nothing clear. */
  half(piece) {
    const [before, after, whole] = [this.rightBefore(), this.rightBehind(), this.last];
    if (this.whole !== null) this.rest(piece);
    else if (!whole || !whole.count || whole.count % 2 || !after) this.ask(piece, "count");
    else if (after.kind === "of" || (SHARED.includes(after.kind) && after.value !== "dead" && !before)) {
      this.part(piece, whole.count / 2);
    } else this.ask(piece, "count");
  }

  /** Take "the rest", "the others": what is left of the lot that parts were taken of. */
  rest(piece) {
    const { whole } = this;
    const ahead = this.ahead();
    if (!whole || !whole.count || (ahead && ["count", "name"].includes(ahead.kind))) {
      this.ask(piece, "words");
      return;
    }
    this.turnTo(whole);
    this.restWaits = true;
  }

  /** Take one length for each animal of the lot before: as many lots of one. */
  eachLength() {
    const { last } = this;
    if (!last || last.length_mm !== null || this.pending.counted || this.correcting) return false;
    const series = this.series();
    const unit = series.length ? series[series.length - 1].unit : 0;
    const lengths = series.map((one) => inMm(one.value, one.kind === "length" ? 1 : unit));
    if (last.count === null || last.count < 2 || series.length !== last.count || lengths.includes(null)) return false;
    const lots = series.map((one, i) =>
      last.with({
        count: 1,
        length_mm: lengths[i],
        runs: new Set([...last.runs, one.run]),
        own: new Set([...last.own, "length_mm"]),
        series: this.at,
      }),
    );
    this.drafts.splice(-1, 1, ...lots);
    this.pending = new Draft();
    this.pieces = this.pieces.map((one) => (series.includes(one) ? { ...one, kind: "filler" } : one));
    return true;
  }

  /** The numbers and lengths from this piece on, where they end in a length; else nothing. */
  series() {
    const series = [];
    for (const piece of this.pieces.slice(this.at)) {
      if (NUMBERS.includes(piece.kind) && !["a", "an"].includes(piece.said) && piece.sure) series.push(piece);
      else if (!BETWEEN_LENGTHS.includes(piece.kind)) break;
    }
    while (series.length && series[series.length - 1].kind !== "length") series.pop();
    return series;
  }

  /** Take a lot out of the group that was called before it and that it is said to be of. */
  takeOut(lot, piece) {
    const [group, sure] = this.groupOf(piece);
    this.group = null;
    if (!group || lot.count === null || lot.taxon === null || group.taxon === null || group.taxon === lot.taxon) return;
    if (!isWithin(this.words, lot.taxon, group.taxon)) return;
    if (!group.counted) {
      this.remove(group);
      return;
    }
    if (!sure || group.count === null || lot.count > group.count) {
      this.ask(piece, "count");
      return;
    }
    for (const kind of ["stage", "fate", "place"]) if (lot[kind] === null) lot[kind] = group[kind];
    group.count -= lot.count;
    if (!lot.sure) group.runs.add(piece.run);
    if (!group.count) this.remove(group);
    this.group = group;
    group.split = lot.part = true;
    lot.own.add("taxon");
  }

  /** Keep a group back while it is not clear what was taken out of it. */
  holdGroup(piece) {
    [this.group] = this.groupOf(piece);
    if (this.group) this.group.runs.add(piece.run);
  }

  /**
   * The lot that a name may be part of, and whether it surely is: "of them" was said, or a colon stands behind the
   * lot; "one of those spider crabs" may be one more.
   */
  groupOf(piece) {
    const { last } = this;
    if (this.group || !last) return [this.group, true];
    const own = this.earlierIn(piece.run);
    for (let i = own.length - 1; i >= 0 && !["count", "name"].includes(own[i].kind); i--) {
      if (own[i].kind === "of") return [last, own[i].value === "them"];
    }
    const run = Math.max(...last.runs);
    return [this.stops[run] === ":" && run < piece.run ? last : null, true];
  }

  addTo(last, piece, value, stage) {
    const { taxon, said } = last;
    this.drafts.push(new Draft({ taxon, said, count: value, stage, runs: new Set([piece.run]) }));
  }

  turnTo(whole) {
    this.remove(whole);
    this.drafts.push(whole);
  }

  remove(lot) {
    this.drafts = this.drafts.filter((one) => one !== lot);
  }
}
