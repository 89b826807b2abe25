/** Whether a word is tally shorthand for another. `haulbook.calls.shorthand` is the reference. */

const VOWELS = "aeiouy";
/** For the beginning of a word, by its letters; the last one for all longer ones. */
const CUT = [9.9, 9.9, 0.9, 0.6, 0.35, 0.2];
const [SKELETON, PER_CONSONANT] = [0.7, 0.15];
const MOST_LEFT_OUT = 1;
/** Three letters stand for words of six at most. */
const [SHORT, LONGEST_OF_SHORT] = [3, 6];

/** What it costs to read `said` as short for `meant`: its beginning, or its letters with others left out. */
export function shorthandCost(said, meant) {
  if (said.length < 2 || said.length >= meant.length || said[0] !== meant[0]) return Infinity;
  if (meant.startsWith(said)) return CUT[Math.min(said.length, CUT.length - 1)];
  if (said.length < SHORT || (said.length === SHORT && meant.length > LONGEST_OF_SHORT)) return Infinity;
  let [at, leftOut] = [0, 0];
  for (const letter of said) {
    const found = meant.indexOf(letter, at);
    if (found < 0) return Infinity;
    leftOut += consonants(meant.slice(at, found));
    at = found + 1;
  }
  const leftOff = consonants(meant.slice(at));
  return Math.max(leftOut, leftOff) > MOST_LEFT_OUT ? Infinity : SKELETON + PER_CONSONANT * (leftOut + leftOff);
}

function consonants(letters) {
  return [...letters].filter((one) => !VOWELS.includes(one)).length;
}
