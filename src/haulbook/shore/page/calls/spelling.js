/** Which words of the dictionary a typed or heard word may be, and at what cost. `haulbook.calls.spelling` is the reference. */

import { shorthandCost } from "./shorthand.js";
import { leastCost, letters, SHORT, slipCost, SOUNDS_ALIKE } from "./slips.js";
import { soundKey } from "./sound.js";

/** Added where what stands there is a word of English: then it is seldom a slip. */
export const ORDINARY = 1;
const SPLIT = 0.6;
export const GLUED = 0.2;
/** By the letters of the word that is meant; the last one for all longer ones. */
const MOST_COST = [0, 0, 0, 0.71, 1.01, 1.21, 1.71, 1.81, 2.11, 2.21, 2.61];
/** A word that can be read as one at this cost is not cut in two. */
const WELL_READ = 0.8;
const MOST_REMEMBERED = 5000;
const MOST_KEPT = 8;
const LEAST_PIECE = 3;
const SHORT_PIECES = ["no", "of", "on"];
const SPELT = /^[a-z]+$/;

/**
 * Every reading of every word of a run, by where it starts.
 * @param {string[]} said the run's words
 * @returns {Map<number, Array<{start, end, word, plural, cost, slip}>>} start and end count letters, spaces left out
 */
export function spellings(said, words, shorthand) {
  const found = new Map();
  const add = (one) => (found.get(one.start) || found.set(one.start, []).get(one.start)).push(one);
  let start = 0;
  said.forEach((word, i) => {
    const end = start + word.length;
    readings(word, start, words, shorthand).forEach(add);
    if (i + 1 < said.length) {
      for (const form of words.forms.get(word + said[i + 1]) || []) {
        add({ start, end: end + said[i + 1].length, word: form.word, plural: form.plural, cost: GLUED, slip: 0 });
      }
    }
    start = end;
  });
  return found;
}

/** The forms that a word may be a slip or shorthand of with what it costs, cheapest first. */
export function near(word, words, shorthand = false) {
  const key = shorthand ? `${word} ` : word;
  if (words.remembered.size > MOST_REMEMBERED) words.remembered.clear();
  let found = words.remembered.get(key);
  if (!found) words.remembered.set(key, (found = lookedUp(word, words, shorthand)));
  return found;
}

function lookedUp(word, words, shorthand) {
  const extra = words.english.has(word) ? ORDINARY : 0;
  const best = new Map();
  const take = (form, cost) => {
    const was = best.get(form.word);
    if (cost + extra < (was ? was[1] : Infinity)) best.set(form.word, [form, cost + extra]);
  };
  slips(word, words, take);
  if (shorthand) shortFor(word, words, take);
  const ranked = [...best.values()].sort((one, other) => one[1] - other[1] || (one[0].word < other[0].word ? -1 : 1));
  return ranked.slice(0, MOST_KEPT * (shorthand ? 2 : 1));
}

function slips(word, words, take) {
  const [bits, sound] = [letters(word), soundKey(word)];
  for (let length = Math.max(3, word.length - 2); length < word.length + 3; length++) {
    const most = MOST_COST[Math.min(length, MOST_COST.length - 1)];
    const long = sound !== "" && Math.min(word.length, length) > SHORT;
    for (const form of words.byLength.get(length) || []) {
      const least = leastCost(bits, form.bits);
      if (least > (long ? most / SOUNDS_ALIKE : most)) continue;
      const alike = long && sound === form.sound;
      if (least <= (alike ? most / SOUNDS_ALIKE : most)) take(form, slipCost(word, form.spelt, most, alike));
    }
  }
}

function shortFor(word, words, take) {
  const singular = word.endsWith("s") ? word.slice(0, -1) : word;
  for (const forms of words.byLength.values()) {
    for (const form of forms) {
      if (!form.shortens || form.plural || form.spelt[0] !== word[0]) continue;
      take(form, Math.min(shorthandCost(word, form.spelt), shorthandCost(singular, form.spelt)));
    }
  }
}

function readings(word, start, words, shorthand) {
  if (!SPELT.test(word)) return [];
  const end = start + word.length;
  const exact = words.forms.get(word) || [];
  const found = exact.map((form) => ({ start, end, word: form.word, plural: form.plural, cost: 0, slip: 0 }));
  if (exact.some((form) => form.own)) return found;
  const whole = near(word, words, shorthand);
  for (const [form, cost] of whole) found.push({ start, end, word: form.word, plural: form.plural, cost, slip: cost });
  const cuts = !words.english.has(word) && word.length > LEAST_PIECE && (!whole.length || whole[0][1] > WELL_READ);
  return cuts ? found.concat(split(word, start, words, !whole.length)) : found;
}

/** Two words that may have run together: both as they are listed, or, where nothing else fits, with slips. */
function split(word, start, words, thorough) {
  const found = [];
  const end = start + word.length;
  for (let cut = LEAST_PIECE; cut < word.length - 1; cut++) {
    const [left, right] = [word.slice(0, cut), word.slice(cut)];
    if (right.length < LEAST_PIECE && !SHORT_PIECES.includes(right)) continue;
    let lefts = asListed(left, words);
    let rights = asListed(right, words);
    const tries = rights.length || (thorough && Math.min(left.length, right.length) > 3);
    if (!lefts.length && left.length > 2 && tries) lefts = near(left, words).slice(0, 3);
    if (lefts.length && !rights.length && right.length > 2) rights = near(right, words).slice(0, 3);
    if (!lefts.length || !rights.length) continue;
    const middle = start + cut;
    for (const [{ word: one, plural }, cost] of lefts) {
      found.push({ start, end: middle, word: one, plural, cost: cost + SPLIT, slip: cost });
    }
    for (const [{ word: one, plural }, cost] of rights) found.push({ start: middle, end, word: one, plural, cost, slip: cost });
  }
  return found;
}

function asListed(word, words) {
  return (words.forms.get(word) || []).map((form) => [form, 0]);
}
