/** What is known while a call is read, and what stands around the piece that is read now. `haulbook.calls.state` is the reference. */

import { Draft } from "./drafts.js";

/** Kinds of pieces that are said of animals, and the field of a draft they go to. */
export const SAID_OF = { fate: "fate", place: "place", stage: "stage", length: "length_mm" };
/** What may be said of a whole list at once. */
export const SHARED = ["fate", "place"];
/** What says nothing of its own. */
export const PASSED_OVER = ["filler", "adjective", "the", "of", "here", "oops", "more"];
/** What may stand between a number and its name. */
const BEFORE_A_NAME = [...PASSED_OVER, "stage", "doubt", "hedge", "kinds", "fate"];
const ARE_NAMES = ["name", "stranger", "loose"];

export class State {
  /**
   * @param {Array} pieces of a call
   * @param {string[]} stops the mark of punctuation behind each run
   * @param {object} words
   */
  constructor(pieces, stops, words) {
    Object.assign(this, { pieces, stops, words, drafts: [], asks: [], pending: new Draft(), header: {} });
    this.headerWaits = this.everyone = this.everyoneWaits = this.restWaits = false;
    this.correcting = this.hesitated = this.either = this.undone = false;
    this.whole = this.group = null;
    this.at = 0;
    this.oneRun = new Set(pieces.map((piece) => piece.run)).size <= 1;
  }

  /** The lot that was spoken of last. */
  get last() {
    return this.drafts.length ? this.drafts[this.drafts.length - 1] : null;
  }

  /** Put a piece back to the caller. */
  ask({ run, said }, about) {
    this.asks.push({ run, said, about, line: null });
  }

  /** The piece just before this one in its run. */
  rightBefore() {
    return this.beside(this.at - 1);
  }

  /** The piece just behind this one in its run. */
  rightBehind() {
    return this.beside(this.at + 1);
  }

  beside(at) {
    const piece = this.pieces[at];
    return piece && piece.run === this.pieces[this.at].run ? piece : null;
  }

  /** The last piece before that says something, in the same run. */
  before() {
    for (let i = this.at - 1; i >= 0 && this.beside(i); i--) {
      const piece = this.pieces[i];
      if (piece.kind !== "and" && !PASSED_OVER.includes(piece.kind)) return piece;
    }
    return null;
  }

  /** The next piece that says something, in the same run unless anywhere. */
  ahead(anywhere = false) {
    for (let i = this.at + 1; i < this.pieces.length && (anywhere || this.beside(i)); i++) {
      if (!PASSED_OVER.includes(this.pieces[i].kind)) return this.pieces[i];
    }
    return null;
  }

  /** The name, or what may be one, that this piece stands before. */
  nameAhead() {
    for (let i = this.at + 1; i < this.pieces.length && this.beside(i); i++) {
      if (ARE_NAMES.includes(this.pieces[i].kind)) return this.pieces[i];
      if (!BEFORE_A_NAME.includes(this.pieces[i].kind)) return null;
    }
    return null;
  }

  /** The pieces of a run that stand before this one. */
  earlierIn(run) {
    return this.pieces.slice(0, this.at).filter((piece) => piece.run === run);
  }

  /** Whether its run holds nothing before a piece but what is said of animals. */
  opensRun(piece) {
    return this.earlierIn(piece.run).every(
      ({ kind }) => kind in SAID_OF || PASSED_OVER.includes(kind) || ["all", "and", "rest"].includes(kind),
    );
  }
}
