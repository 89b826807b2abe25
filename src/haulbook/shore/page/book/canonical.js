/**
 * One way to write a value as text, so that a phone and the station come to the same hash.
 * Source: RFC 8785, for the values a book admits. `haulbook.custody.canonical` is the reference.
 */

const DECIMALS = 4;
/** Decimal degrees keep six decimals (0.1 m). */
const FINER = new Set(["lat", "lon"]);
const FINE = 6;
/** Below it other JSON writers fall back to an exponent, which a book does not hold. */
const LEAST_POSITION = 1e-4;
const DEEPEST = 32;
const HALF_A_CHARACTER = /\p{Cs}/u;

/** Something can't be written as asked, with a sentence for each thing that is off. Nothing was changed. */
export class Refused extends Error {
  /** @param {string[]} faults */
  constructor(faults) {
    super(faults.join("; "));
    this.name = "Refused";
    this.faults = faults;
  }
}

function text(value, where, mend, faults) {
  if (HALF_A_CHARACTER.test(value)) {
    faults.push(`${where} holds half a character; write it again`);
    return "";
  }
  const whole = value.normalize("NFC");
  if (!mend && whole !== value) faults.push(`${where} has accents written apart; text in a book is NFC`);
  return whole;
}

function number(value, where, decimals, faults) {
  if (!(Math.abs(value) <= Number.MAX_SAFE_INTEGER)) {
    faults.push(`${where} is ${value}; numbers go up to ${Number.MAX_SAFE_INTEGER}`);
    return 0;
  }
  if (Number(value.toFixed(decimals)) !== value) {
    faults.push(`${where} is ${value}; a measure has at most ${decimals} decimals`);
  }
  return value + 0; // so that -0 is 0
}

function object(value, where, mend, depth, faults) {
  const found = {};
  const names = new Set();
  for (const key of Object.keys(value)) {
    if (value[key] === undefined) continue;
    const name = text(key, `a key of ${where}`, mend, faults);
    if (names.has(name)) faults.push(`${where} has the key ${name} twice`);
    names.add(name);
    const fine = FINER.has(key) && Math.abs(value[key]) >= LEAST_POSITION;
    const item = admit(value[key], `${where}, ${key}`, mend, depth - 1, faults, fine ? FINE : DECIMALS);
    // not by assignment: a key may be called __proto__
    Object.defineProperty(found, name, { value: item, enumerable: true, writable: true, configurable: true });
  }
  return found;
}

function admit(value, where, mend, depth, faults, decimals = DECIMALS) {
  if (value === null || typeof value === "boolean") return value;
  if (typeof value === "string") return text(value, where, mend, faults);
  if (typeof value === "number") return number(value, where, decimals, faults);
  if (typeof value !== "object") {
    faults.push(`${where} is no text, number, true, false, null, list or object`);
    return null;
  }
  if (depth === 0) {
    faults.push(`${where} lies more than ${DEEPEST} lists or objects deep`);
    return null;
  }
  if (!Array.isArray(value)) return object(value, where, mend, depth, faults);
  return value.map((item, n) => admit(item, `${where} ${n + 1}`, mend, depth - 1, faults));
}

/**
 * The value as a book admits it: text in NFC, keys without a value left out.
 * @param {any} value
 * @param {string} where how to call it in a refusal
 * @param {boolean} mend bring text to NFC; off for what was hashed already, where other text is refused
 * @throws {Refused} naming every value that has no one way of being written
 */
export function admitted(value, where = "the value", mend = true) {
  const faults = [];
  const found = admit(value, where, mend, DEEPEST, faults);
  if (faults.length) throw new Refused(faults);
  return found;
}

/**
 * The RFC 8785 text of a value.
 * @param {any} value
 * @returns {string}
 * @throws {Refused} as `admitted`, with `mend` off
 */
export function canonical(value) {
  return written(admitted(value, "the value", false));
}

/**
 * The text of a value that `admitted` gave, without looking at it again; keys sorted by UTF-16 units.
 * @param {any} value
 * @returns {string}
 */
export function written(value) {
  if (value === null || typeof value !== "object") return JSON.stringify(value);
  if (Array.isArray(value)) return `[${value.map(written).join(",")}]`;
  const keys = Object.keys(value).sort();
  return `{${keys.map((key) => `${JSON.stringify(key)}:${written(value[key])}`).join(",")}}`;
}
