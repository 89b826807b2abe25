/** Whole numbers, halves and tenths out of words and digits. `haulbook.calls.numbers` is the reference. */

/** Larger numbers are slips of a finger or no count at all. */
const MOST_COUNT = 99999;
const NUMBERS = ["digits", "number", "article", "half", "times"];
/** Kinds of marks, and the method that takes one. */
const STEPS = {
  digits: "digits", number: "word", article: "article", more: "more", half: "half", times: "times", and: "and", point: "point",
};

/**
 * The number that begins at a mark; null where none does.
 * @returns {{value: number|null, whole: boolean, after: number}|null} value: null above 99 999; whole: it can count
 *   animals; after: the mark behind it
 */
export function numberAt(marks, at) {
  const reading = new Reading(marks, at);
  while (reading.at < marks.length && reading.takes(marks[reading.at])) continue;
  return reading.read();
}

/** A number while it is read: `current` gathers up to a thousand, `total` the thousands. */
class Reading {
  constructor(marks, at) {
    Object.assign(this, { marks, start: at, at, total: 0, current: 0 });
    this.seen = this.onlyDigits = this.onlyArticle = this.ended = false;
  }

  takes(mark) {
    return mark.kind in STEPS && !this.ended && this[STEPS[mark.kind]](mark);
  }

  read() {
    if (!this.seen) return null;
    const value = this.total + this.current;
    return { value: value <= MOST_COUNT ? value : null, whole: !this.ended, after: this.at };
  }

  digits(mark) {
    if (this.seen && !this.onlyArticle) return false;
    const value = Number(mark.said);
    return mark.said.includes(".") ? this.ends(value, 1) : this.goesOn(value, 1, true);
  }

  word(mark) {
    const value = Number(mark.value);
    if (this.onlyDigits || !this.adds(value)) return false;
    return this.goesOn(this.onlyArticle ? value : this.current + value);
  }

  article() {
    if (this.seen) return false;
    this.goesOn(1);
    this.onlyArticle = true;
    return true;
  }

  more() {
    if (this.at !== this.start || !this.nextIs(1, ...NUMBERS)) return false;
    this.at += 1;
    return true;
  }

  half() {
    const skipped = this.nextIs(1, "article") ? 2 : 1;
    if (this.seen && !this.onlyArticle) return false;
    if (this.nextIs(skipped, "times")) {
      return this.goesOn(Math.floor(Number(this.marks[this.at + skipped].value) / 2), skipped + 1);
    }
    return this.nextIs(skipped, "unit") && this.ends(0.5, skipped);
  }

  times(mark) {
    const times = Number(mark.value);
    if ((!this.seen && mark.cost > 0 && times === 12) || this.current >= times) return false;
    this.goesOn(Math.max(this.current, 1) * times);
    if (times === 1000) [this.total, this.current] = [this.total + this.current, 0];
    return true;
  }

  and() {
    const before = this.at > this.start ? this.marks[this.at - 1] : null;
    if (!this.seen || !before) return false;
    if (before.kind === "times" && this.nextIs(1, "number")) {
      this.at += 1;
      return true;
    }
    const half = this.nextIs(1, "article") ? 2 : 1;
    if (!this.nextIs(half, "half")) return false;
    if (before.kind === "times") return this.goesOn(this.current + Math.floor(Number(before.value) / 2), half + 1);
    if (this.nextIs(half + 1, "times")) {
      const times = Number(this.marks[this.at + half + 1].value);
      return this.goesOn(this.current * times + Math.floor(times / 2), half + 2);
    }
    return this.ends(this.current + 0.5, half + 1);
  }

  point() {
    if (!this.seen || !this.nextIs(1, "number", "digits")) return false;
    const said = this.marks[this.at + 1].value;
    return said.length === 1 && this.ends(this.current + Number(said) / 10, 2);
  }

  goesOn(value, used = 1, digits = false) {
    Object.assign(this, { current: value, onlyDigits: digits, seen: true, onlyArticle: false });
    this.at += used;
    return true;
  }

  ends(value, used) {
    this.ended = true;
    return this.goesOn(value, used);
  }

  nextIs(ahead, ...kinds) {
    const mark = this.marks[this.at + ahead];
    return Boolean(mark) && kinds.includes(mark.kind);
  }

  /** Whether a number word goes on with what came before: "twenty" + "four", not "fifteen" + "five". */
  adds(value) {
    if (!this.seen || this.onlyArticle || this.current % 100 === 0) return true;
    return value < 10 && this.current % 10 === 0 && this.current % 100 >= 20;
  }
}
