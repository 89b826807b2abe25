/** Numbers in a call: which lot has which, true zeros, corrections in the same breath. `haulbook.calls.counting` is the reference. */

import { Parts } from "./parts.js";
import { SAID_OF } from "./state.js";

export class Counting extends Parts {
  /** Take a number. */
  count(piece) {
    const { last } = this;
    const { value } = piece;
    const named = this.nameAhead();
    if (value === null) {
      this.ask(piece, "count");
    } else if (value === 0) {
      this.zero({ ...piece, value: named ? "no" : "none" });
    } else if (!named && last && last.taxon && (this.correcting || !last.counted)) {
      last.count = value;
      this.correcting = false;
      last.runs.add(piece.run);
      this.giveDoubts(last);
    } else if (!named && last && !this.pending.counted) {
      this.part(piece, value);
      this.giveDoubts(this.last);
    } else {
      if (this.pending.counted && !this.correcting) this.ask(piece, "count");
      Object.assign(this.pending, { count: value, vague: false, said: piece.said });
      this.pending.runs.add(piece.run);
    }
  }

  /** Take "a few", "hundreds", or a number that was only bounded: nobody said how many. */
  vague(piece) {
    const { last } = this;
    const named = this.nameAhead();
    if (last && last.vague && !named) return;
    const target = last && !last.counted && !named ? last : this.pending;
    if (target.counted && !target.vague) this.ask(piece, "count");
    target.vague = true;
    target.runs.add(piece.run);
    if (piece.value === "count") target.doubts.push("count");
    if (target === last) this.giveDoubts(target);
  }

  /** Give a lot the doubts that stood before its number: "silversides, about forty". */
  giveDoubts(lot) {
    lot.doubts.push(...this.pending.doubts);
    this.pending.doubts = [];
  }

  /** Take "about" or "or so". */
  hedge() {
    const { last } = this;
    const ahead = this.ahead();
    if (this.pending.count !== null || (ahead && ["count", "vague"].includes(ahead.kind))) this.pending.doubts.push("count");
    else if (last && last.count !== null) last.doubts.push("count");
  }

  /** Take "call it two hundred". */
  estimate(piece) {
    const ahead = this.ahead();
    if (piece.value === "call it" && ahead && ahead.kind === "count") this.hedge();
  }

  /** Take "no gunnels" and "gunnels, none" as a true zero, "three, no, four" as a correction. */
  zero(piece) {
    const { last } = this;
    const [before, after] = [this.rightBefore(), this.rightBehind()];
    const nil = piece.said === "nil" && (!last || (last.counted && !before));
    if (this.nameAhead() && (piece.value === "no" || nil)) {
      const more = after && after.kind === "more";
      if (more || (before && ["name", "count"].includes(before.kind) && !(last && last.zero))) this.ask(piece, "zero");
      this.pending.zero = true;
      this.pending.runs.add(piece.run);
    } else if (piece.value === "none" && last && !last.counted) {
      last.zero = true;
      last.runs.add(piece.run);
    } else if (this.corrects(piece)) {
      this.correcting = true;
    } else {
      this.ask(piece, "zero");
    }
  }

  /** "Three, no, four"; "five grubbies, no keepers" keeps none. */
  corrects(piece) {
    const after = this.rightBehind();
    const denies = Boolean(after) && after.kind in SAID_OF;
    const said = this.drafts.length > 0 || this.pending.counted;
    return piece.value === "no" && said && !denies && this.ahead(true) !== null;
  }

  /** Hold "that's three" against what was called; names without a number are one animal each then. */
  total() {
    const ahead = this.ahead();
    if (!ahead || ahead.kind !== "count" || (!this.drafts.length && ahead.said.startsWith("another"))) return;
    this.pieces[this.pieces.indexOf(ahead)] = { ...ahead, kind: "filler" };
    for (const draft of this.drafts) if (!draft.counted && !draft.plural) draft.count = 1;
    const sum = this.drafts.reduce((all, draft) => all + (draft.count || 0), 0);
    if (sum !== ahead.value) this.ask(ahead, "count");
  }

  /** Take "no wait", "sorry", "I mean": what follows goes before what was said. */
  correct(piece) {
    if (!this.drafts.length && !this.pending.counted) this.ask(piece, "words");
    this.correcting = true;
  }
}
