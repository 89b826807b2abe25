/**
 * What it costs to take one spelling for a slip of another: a weighted edit distance.
 * Optimal string alignment (Damerau 1964, Levenshtein 1966). `haulbook.calls.slips` is the reference and says why.
 */

const [DOUBLED, SWAPPED, LIKE, NEAR_KEY, DROPPED, ADDED, CHANGED] = [0.5, 0.6, 0.6, 0.7, 0.8, 0.9, 1.1];
const FIRST_LETTER = 0.4;
/** The share of its cost that a slip keeps between words that sound alike. */
export const SOUNDS_ALIKE = 0.6;
/** A word of so many letters or fewer is short: those all sound alike. */
export const SHORT = 5;
const ROWS = ["qwertyuiop", "asdfghjkl", "zxcvbnm"];
const ALIKE = ["aeiouy", "ckqs", "szx", "fv", "mn", "dt", "bp", "gj", "wu"];
const A = 97;
const LETTERS = 26;

/** What a letter costs that stands for another, by 26 times the one plus the other. */
const CHANGE = changes();

function changes() {
  const at = new Map();
  ROWS.forEach((keys, row) => [...keys].forEach((key, i) => at.set(key, [row, i + row * 0.5])));
  const costs = new Float64Array(LETTERS * LETTERS).fill(CHANGED);
  const put = (one, other, cost) => (costs[(one.charCodeAt(0) - A) * LETTERS + other.charCodeAt(0) - A] = cost);
  for (const [one, [row, column]] of at) {
    for (const [other, [row2, column2]] of at) {
      if (Math.abs(row - row2) <= 1 && Math.abs(column - column2) <= 1) put(one, other, NEAR_KEY);
    }
  }
  for (const group of ALIKE) for (const one of group) for (const other of group) put(one, other, LIKE);
  for (const one of at.keys()) put(one, one, 0);
  return costs;
}

/** Which letters a word has, as bits. */
export function letters(word) {
  let bits = 0;
  for (let i = 0; i < word.length; i++) bits |= 1 << (word.charCodeAt(i) - A);
  return bits;
}

/** What two words cost at the least that have these letters. */
export function leastCost(bits, other) {
  const [extra, missing] = [ones(bits & ~other), ones(other & ~bits)];
  return LIKE * Math.min(extra, missing) + DROPPED * Math.abs(extra - missing);
}

function ones(bits) {
  let count = 0;
  for (; bits; bits &= bits - 1) count++;
  return count;
}

/**
 * What it costs to read `said` as `meant`, both lower-case letters; infinite above `most`.
 * @param {boolean} alike whether the two sound alike and neither is short
 */
export function slipCost(said, meant, most, alike = false) {
  const first = said[0] !== meant[0] ? FIRST_LETTER : 0;
  const share = alike ? SOUNDS_ALIKE : 1;
  const cost = aligned(said, meant, (most - first) / share) * share + first;
  return cost <= most ? cost : Infinity;
}

function aligned(said, meant, most) {
  const length = meant.length;
  let before = [];
  let row = [0];
  for (let j = 0; j < length; j++) row.push(row[j] + (j && meant[j] === meant[j - 1] ? DOUBLED : DROPPED));
  for (let i = 0; i < said.length; i++) {
    const letter = said.charCodeAt(i);
    const doubled = i && letter === said.charCodeAt(i - 1) ? DOUBLED : ADDED;
    const next = [row[0] + doubled];
    let least = next[0];
    for (let j = 0; j < length; j++) {
      const wanted = meant.charCodeAt(j);
      const dropped = j && wanted === meant.charCodeAt(j - 1) ? DOUBLED : DROPPED;
      let best = row[j] + CHANGE[(letter - A) * LETTERS + wanted - A];
      if (row[j + 1] + doubled < best) best = row[j + 1] + doubled;
      if (next[j] + dropped < best) best = next[j] + dropped;
      const swapped = i && j && letter === meant.charCodeAt(j - 1) && said.charCodeAt(i - 1) === wanted;
      if (swapped && letter !== wanted && before[j - 1] + SWAPPED < best) best = before[j - 1] + SWAPPED;
      next.push(best);
      if (best < least) least = best;
    }
    if (least > most) return Infinity;
    [before, row] = [row, next];
  }
  return row[length];
}
