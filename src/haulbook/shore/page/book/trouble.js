/** What to say when the phone would not store. */

/** This phone has no device key: it was never enrolled, or its storage was cleared. */
export class NotEnrolled extends Error {
  constructor() {
    super("this phone is not enrolled");
    this.name = "NotEnrolled";
  }
}

/** The database itself did not open. */
export class NotOpened extends Error {
  /** @param {Error} cause */
  constructor(cause) {
    super(`no database: ${cause.message}`);
    this.name = cause.name === "QuotaExceededError" ? cause.name : "NotOpened";
  }
}

/** Lines that were not stored. They are held in memory, and written before whatever is written next. */
export class NotStored extends Error {
  /**
   * @param {{what: string, words: string}} problem
   * @param {Draft[]} drafts
   */
  constructor(problem, drafts) {
    super(problem.words);
    this.name = "NotStored";
    this.what = problem.what;
    this.drafts = drafts;
    /** The calls as they were said, to hand back to whoever typed them. */
    this.texts = drafts.map((draft) => draft.body.text).filter((text) => text);
  }
}

const WORDS = {
  open: "This browser gives the page no place to store lines. Close private windows, free space, open the page anew.",
  quota: "The storage of this phone is full. Delete photos or apps; the lines are tried again with the next one.",
  write: "The phone would not store the line. It is tried again with the next one.",
  slow: "Storing takes long.",
  device: "This phone is not enrolled, or its storage was cleared. Enrol it: the lines held here are stored then.",
};

function whatOf(error) {
  if (error === "slow") return "slow";
  if (error instanceof NotEnrolled) return "device";
  if (error.name === "QuotaExceededError") return "quota";
  return error instanceof NotOpened ? "open" : "write";
}

/**
 * @param {Error|"slow"} error
 * @param {number} held lines that are in memory only
 * @returns {{what: string, words: string}}
 */
export function problemOf(error, held = 0) {
  const what = whatOf(error);
  const lines = held === 1 ? "1 line is" : `${held} lines are`;
  const rest = held ? ` ${lines} only in this open page: keep it open, or save them as a file.` : "";
  return { what, words: WORDS[what] + rest };
}

/** @param {number} backMs by which the clock went back between two lines */
export function backWords(backMs) {
  const minutes = Math.round(backMs / 60000);
  const span = minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
  return `The clock of this phone went back ${span}. Set it. The lines keep their order; their times are off.`;
}
