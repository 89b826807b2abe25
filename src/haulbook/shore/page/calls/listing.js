/** Reading a call from left to right into lots of animals. `haulbook.calls.listing` is the reference. */

import { Scope } from "./scope.js";
import { PASSED_OVER, SAID_OF } from "./state.js";

/** What enters nothing. With a slip in it, it may have been something that counts. */
const QUIET = [...PASSED_OVER, "chatter", "gets", "at", "and"];
const SILENT = [...QUIET, "yet", "ones"];
/** From so many words on, a phrase that enters nothing is known in spite of a slip. */
const LONG_PHRASE = 3;
const BEFORE_NAMES = ["just", "only", "really", "was", "were", "is", "are"];
const MAY_HIDE_A_NAME = ["filler", "and", "chatter", "oops"];
const NAMES = ["name", "stranger"];
const NOT_YET = /^(?:still no|still havent|havent)/;
const POINT_OUT = / (?:ones?|guys?|fella)$/;
const NUMBERS = ["count", "decimal", "length"];
const COUNTS = ["count", "vague", "name", "stranger"];
/** Kinds of pieces, and the method that takes one; any other is not understood. */
const STEPS = {
  ...Object.fromEntries(SILENT.map((kind) => [kind, "entersNothing"])),
  ...Object.fromEntries(Object.keys(SAID_OF).map((kind) => [kind, "saidOf"])),
  or: "offers", count: "count", vague: "vague", zero: "zero", hedge: "hedge", refer: "estimate", half: "half", rest: "rest",
  total: "total", correct: "correct", all: "allOfThem", doubt: "doubt", kinds: "kinds", name: "name", stranger: "stranger",
};

export class Listing extends Scope {
  /** Read all pieces; what no rule speaks of is put back. */
  read() {
    for (let at = 0; at < this.pieces.length; at++) {
      this.at = at;
      const piece = this.pieces[at];
      if (piece.kind !== "name" && !reliable(piece)) this.ask(piece, "words");
      if (NUMBERS.includes(piece.kind) && this.eachLength()) continue;
      this[STEPS[piece.kind] || "notUnderstood"](piece);
    }
    this.finish();
  }

  /** Take a word that was not understood as a name where one is due, else put it back. */
  notUnderstood(piece) {
    if (piece.kind === "loose" && this.pending.counted) {
      this.stranger(piece);
    } else if (!(piece.kind === "loose" && this.joinsUnread(piece))) {
      this.ask(piece, piece.kind === "decimal" ? "count" : "words");
      this.undone = this.undone || ["not", "undo"].includes(piece.kind);
    }
  }

  /** Pass over what says nothing, unless something that counts may be hidden in it. */
  entersNothing(piece) {
    this.hesitated = this.hesitated || piece.kind === "oops";
    let hidden = MAY_HIDE_A_NAME.includes(piece.kind) && !BEFORE_NAMES.includes(piece.said) && this.insideALot();
    if (this.pointsOut(piece)) hidden = true;
    else if (piece.value === "slip") hidden = hidden || (this.drafts.length > 0 && this.goesOnCounting());
    else if (piece.kind === "chatter") {
      hidden = hidden || this.pieces.some((one) => NAMES.includes(one.kind) && one.run === piece.run);
    } else if (piece.kind === "and") hidden = hidden || !this.goesOn();
    if (hidden) this.ask(piece, "words");
  }

  /** Whether a number waits for its name here; "two clumps of squid eggs" are two all the same. */
  insideALot() {
    const ahead = this.nameAhead();
    return this.pending.counted && Boolean(ahead) && ahead.stage !== "egg mass";
  }

  /** "The big one back", "small ones back": part of the lot before, and not clear how many. */
  pointsOut(piece) {
    const [ahead, many] = [this.ahead(), this.last !== null && this.last.count !== 1];
    return many && Boolean(ahead) && ahead.kind in SAID_OF && POINT_OUT.test(piece.said) && this.before() === null;
  }

  goesOn() {
    return Boolean(this.rightBehind()) || (!this.rightBefore() && this.at + 1 < this.pieces.length);
  }

  goesOnCounting() {
    return this.pieces.slice(this.at).some((one) => COUNTS.includes(one.kind));
  }

  /** Take "a grubby or a longhorn" as one question with both. */
  offers(piece) {
    const behind = this.pieces.slice(this.at + 1).filter((one) => one.run === piece.run);
    const [before, opens] = [this.before(), piece.said === "either"];
    if (opens && behind.some((one) => one.kind === "or")) return;
    const beside = Boolean(before) && before.kind === "name";
    const named = behind.some((one) => one.kind === "name") && !this.pending.counted;
    this.either = named && Boolean(this.last) && (beside || (opens && !before));
    if (!this.either) this.ask(piece, "words");
  }

  /** Drop "no eels yet", which is no true zero; "three eels so far" may be all that were called. */
  searchOn() {
    const yet = this.pieces.filter((piece) => piece.kind === "yet");
    const opened = (draft) => [...draft.runs].filter((run) => yet.some((piece) => piece.run === run));
    const denied = new Set(yet.filter((piece) => NOT_YET.test(piece.said)).map((piece) => piece.run));
    this.drafts = this.drafts.filter((draft) => !(draft.zero && opened(draft).length));
    this.drafts = this.drafts.filter((draft) => draft.counted || ![...draft.runs].some((run) => denied.has(run)));
    for (const draft of this.drafts) {
      if (draft.counted && opened(draft).length) this.put(Math.max(...opened(draft)), draft.said, "count");
    }
  }

  finish() {
    this.searchOn();
    if (this.pending.counted) this.put(Math.min(...this.pending.runs), this.pending.said, "words");
    if (this.correcting || this.everyoneWaits || this.headerWaits || this.restWaits) {
      const { run, said } = this.pieces[this.pieces.length - 1];
      this.put(run, said, "words");
    }
    for (const draft of this.drafts) {
      const run = Math.min(...draft.runs);
      if (draft.part && !draft.own.size) this.put(run, draft.said, "count");
      else if (draft.sure && !draft.counted) {
        if (draft.opens && !draft.plural && !this.oneRun) draft.count = 1;
        else this.put(run, draft.said, "count", draft.line());
      }
    }
  }

  put(run, said, about, line = null) {
    this.asks.push({ run, said, about, line });
  }
}

function reliable(piece) {
  if (QUIET.includes(piece.kind) && !piece.exact && piece.said.split(" ").length < LONG_PHRASE) return false;
  return piece.sure;
}
