/** Names in a call: a new lot, more about the one before, or a second name for it. `haulbook.calls.naming` is the reference. */

import { Counting } from "./counting.js";
import { Draft } from "./drafts.js";
import { isWithin } from "./words.js";

export class Naming extends Counting {
  /** Take an animal that is not in the pack, or words where a name is due: who it is is asked. */
  stranger(piece) {
    const draft = this.pending;
    this.pending = new Draft();
    Object.assign(draft, { said: piece.said, sure: false });
    draft.runs.add(piece.run);
    this.holdGroup(piece);
    this.drafts.push(draft);
  }

  /** Take a name of the pack. */
  name(piece) {
    if (this.isOffered(piece) || this.joinsUnread(piece) || this.saysMore(piece)) return;
    if (this.correcting && this.drafts.length) {
      const { count, vague, stage } = this.drafts.pop();
      if (!this.pending.counted) Object.assign(this.pending, { count, vague });
      this.pending.stage = this.pending.stage || stage;
    }
    const [lot, before] = [this.lot(piece), this.last];
    if (this.hesitated && before && before.taxon === lot.taxon && !this.correcting) {
      before.runs.add(piece.run); // "two cunner, uh, three cunner"
      this.ask(piece, "count");
    }
    this.takeOut(lot, piece);
    this.drafts.push(lot);
    this.pending = new Draft();
    this.whole = null;
    this.correcting = this.everyone = this.headerWaits = this.hesitated = false;
  }

  /** Take the second name of "a grubby or a longhorn": which of them is asked. */
  isOffered(piece) {
    const { last, either: offered } = this;
    this.either = false;
    if (!offered || !last || ![null, 1].includes(this.pending.count) || this.pending.vague) return false;
    last.choices = [...new Set([...last.choices, last.taxon, piece.value, ...piece.rivals])].filter(Boolean);
    last.said = `${last.said} or ${piece.said}`;
    last.sure = false;
    last.runs.add(piece.run);
    this.pending = new Draft();
    return true;
  }

  /** The lot that a name stands for, with all that was said before it. */
  lot(piece) {
    const [draft, before] = [this.pending, this.before()];
    Object.assign(draft, { taxon: piece.value, said: piece.said, plural: piece.plural, stage: draft.stage || piece.stage });
    draft.runs.add(piece.run);
    draft.opens = !this.drafts.length && (!before || before.kind === "stage");
    if (!piece.sure) Object.assign(draft, { sure: false, choices: [...new Set([piece.value, ...piece.rivals])] });
    for (const [kind, value] of Object.entries(this.header)) if (draft[kind] === null && !draft.zero) draft[kind] = value;
    return draft;
  }

  /** Take a name that only says more of a lot that was called already. */
  saysMore(piece) {
    const { last, pending } = this;
    const taxon = piece.value;
    if (!last || last.taxon === null || this.correcting || !piece.sure || !last.sure) return false;
    const doubted = pending.doubts.includes("name") && (!pending.counted || (pending.count === 1 && last.count === 1));
    if (doubted && isWithin(this.words, taxon, last.taxon)) {
      this.refine(last, piece); // "a sculpin, probably a grubby"
      last.doubts.push("name");
      return true;
    }
    if (doubted && last.counted && !this.goesWith(piece)) {
      this.either = true; // "one cod, maybe a pollock"
      return this.isOffered(piece);
    }
    if (pending.counted) return false;
    if (this.moreExact(piece, last)) {
      this.refine(last, piece);
      return true;
    }
    const before = this.before();
    if (before && before.kind === "fate" && this.dealsWith(piece, before)) return true;
    const again = taxon === last.taxon && !before && last.counted; // "six eels, glass eels"
    return again && (piece.said.includes(" or ") || piece.plural);
  }

  /** "Two rock crabs, one Jonah, kept the Jonah". */
  dealsWith(piece, { value }) {
    const same = this.drafts.filter((draft) => draft.taxon === piece.value);
    if (same.length !== 1 || ![null, value].includes(same[0].fate)) return false;
    same[0].give("fate", value, piece.run);
    delete this.header.fate;
    this.headerWaits = false;
    return true;
  }

  /** Whether an "and" or "another" makes a name one more animal. */
  goesWith(piece) {
    return this.earlierIn(piece.run).some((one) => one.kind === "and" || one.said === "another");
  }

  /** "Sculpin, staghorn, one" and "one sculpin staghorn". */
  moreExact(piece, last) {
    if (piece.value === last.taxon || !isWithin(this.words, piece.value, last.taxon)) return false;
    const before = this.rightBefore();
    const beside = before && before.kind === "name" && before.exact && piece.exact;
    return beside || (!last.counted && !piece.plural && !last.plural);
  }

  refine(last, piece) {
    Object.assign(last, { taxon: piece.value, said: piece.said, stage: last.stage || piece.stage });
    this.pending = new Draft();
    last.runs.add(piece.run);
  }

  /** Add a word right behind a name that was not understood to it: "2 striped bass". */
  joinsUnread(piece) {
    const { last } = this;
    const before = this.rightBefore();
    if (!last || last.sure || !before || !last.said.endsWith(before.said) || this.pending.counted) return false;
    last.said += ` ${piece.said}`;
    return true;
  }
}
