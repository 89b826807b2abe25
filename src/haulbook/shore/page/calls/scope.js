/** How far what is said of animals reaches: fates, places, stages, lengths, doubts. `haulbook.calls.scope` is the reference. */

import { Naming } from "./naming.js";
import { SAID_OF, SHARED } from "./state.js";

const DOUBTED = ["count", "name", "vague", "stage", "hedge"];
const EGGS = ["egg mass", "larva"];
const LISTS = ["count", "name", "vague"];

export class Scope extends Naming {
  /** Give a fate, place, stage or length to the lots it was said of. */
  saidOf(piece) {
    const { value } = piece;
    const [kind, named] = [SAID_OF[piece.kind], this.nameAhead()];
    const unclear = value === null || String(value).startsWith("?");
    if (unclear || this.backInABucket(piece) || this.diedInABucket(piece) || this.isWithIt(piece)) {
      this.ask(piece, piece.kind);
    } else if (this.correcting && this.last && !this.pending.counted) {
      this.last[kind] = value;
      this.correcting = false;
    } else if (named && this.pending.counted) {
      const unheard = piece.kind === "fate" && (value !== "dead" || !piece.exact); // nobody calls "two back cunner"
      if (unheard || !this.pending.give(kind, value, piece.run)) this.ask(piece, piece.kind);
    } else if (named && kind === "stage" && !this.everyone) {
      this.pending.stage = value;
    } else if (this.coversWhatFollows(piece, kind)) {
      this.header[kind] = value;
      this.headerWaits = true;
      this.everyone = this.everyoneWaits = false;
    } else {
      this.trails(piece, kind);
    }
  }

  /** Take "all", "both": the next thing said is said of every lot. */
  allOfThem() {
    this.everyone = this.everyoneWaits = true;
  }

  /** Take "maybe", "I think": of the name ahead, else of the lot before. */
  doubt(piece) {
    const ahead = this.ahead();
    const ofNext = ahead && DOUBTED.includes(ahead.kind);
    (ofNext || !this.last ? this.pending : this.last).doubts.push(piece.value);
  }

  /** Take "not sure which": sound for a group, a question for a species. */
  kinds(piece) {
    const ahead = this.nameAhead();
    const taxon = ahead && ahead.kind === "name" ? ahead.value : this.last && this.last.taxon;
    if (!taxon || !this.words.groups.has(taxon)) this.ask(piece, "name");
  }

  /** "Back in bucket two" is not back in the sea; "rel b2" is out of the bucket. */
  backInABucket(piece) {
    const before = this.rightBefore();
    if (piece.kind !== "place" || !before || before.value !== "back") return false;
    return before.said.endsWith(" in") || /^(?:in|into|to) /.test(piece.said);
  }

  /** "One stag in bucket two died" was called before it died. */
  diedInABucket(piece) {
    const around = [this.before(), this.ahead()];
    return ["died", "dies"].includes(piece.said) && around.some((one) => one && one.kind === "place");
  }

  /** "Moon snail with collar": which of the two was called? */
  isWithIt(piece) {
    const before = this.rightBefore();
    return piece.kind === "stage" && Boolean(before) && before.said === "with";
  }

  coversWhatFollows(piece, kind) {
    if (!SHARED.includes(kind) || this.pending.counted) return false;
    const [before, ahead] = [this.before(), this.ahead()];
    if (ahead && ahead.kind === "gets") return true;
    if (!this.drafts.length) return !before || ["fate", "place", "all"].includes(before.kind);
    const [joint, listed] = [this.rightBefore(), Boolean(ahead) && LISTS.includes(ahead.kind)];
    if (kind in this.header && listed && joint && joint.kind === "and") return true; // "release four and keep two"
    if (!this.opensRun(piece) || this.everyone) return false;
    return kind in this.header || listed;
  }

  trails(piece, kind) {
    const [lots, ahead] = [this.drafts.filter((draft) => !draft.zero), this.ahead()];
    const misspelt = !piece.exact && ahead && ["count", "name"].includes(ahead.kind);
    if (!lots.length || (kind === "stage" && misspelt)) {
      this.ask(piece, piece.kind);
      return;
    }
    for (const draft of this.everyone ? lots : this.reached(piece, kind, lots)) {
      const covered = kind in this.header && !draft.own.has(kind) && ![null, piece.value].includes(draft[kind]);
      if (covered || !draft.give(kind, piece.value, piece.run)) this.ask(piece, piece.kind);
    }
    this.everyoneWaits = this.restWaits = false;
  }

  /** The list before a pause, or the last lot alone. */
  reached(piece, kind, lots) {
    const last = lots[lots.length - 1];
    const opens = this.opensRun(piece);
    if (last.part && !last.ownShared().length && opens && !last.runs.has(piece.run)) this.ask(piece, piece.kind);
    const own = last.series === null ? [last] : lots.filter((draft) => draft.series === last.series);
    const listed = [];
    for (const draft of [...lots].reverse()) {
      const alike = SHARED.every((one) => draft.own.has(one) === last.own.has(one));
      if (draft.own.has(kind) || draft.part || draft.split || !alike) break;
      listed.push(draft);
    }
    if (listed.length <= own.length || kind === "length_mm" || EGGS.includes(piece.value)) return own;
    const referring = this.earlierIn(piece.run).filter((one) => one.kind === "refer");
    if (referring.length && !referring[referring.length - 1].said.includes("one")) this.ask(piece, piece.kind);
    if (opens && !(kind in this.header)) return listed;
    if (this.oneRun || listed.filter((draft) => draft.runs.has(piece.run)).length > own.length) this.ask(piece, piece.kind);
    return own;
  }
}
