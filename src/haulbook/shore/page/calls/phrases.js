/** Every phrase that may stand somewhere in a run, with what it costs there. `haulbook.calls.phrases` is the reference. */

import { GLUED, spellings } from "./spelling.js";
import { begins, meaningsOf } from "./words.js";

/** What a word costs that is read as nothing: one that means something to us or is no English, and any other. */
const [LEFT_OVER, LEFT_OVER_ORDINARY] = [2.6, 2.2];
/** Each letter beyond the eighth costs more. */
const [LONG_WORD, PER_LETTER] = [8, 0.1];
/** Added where a name that is not said as listed takes in a word that is a fate, stage or place. */
const SWALLOWED = 0.6;
/** Added to a slip in words that count nothing or undo something. */
const SLIP_IN_A_SMALL_WORD = 0.8;
const COUNTING = new Set([
  "name", "stranger", "number", "times", "vague", "zero", "fate", "stage", "place", "unit", "doubt", "kinds",
]);
const MOST_RUN_TOGETHER = 3;
/** The dearest slip in a number word; short: up to three letters. */
const [MOST_IN_A_NUMBER, MOST_IN_A_SHORT_NUMBER] = [1.21, 0.65];
const NUMBERS = ["number", "times", "zero"];
const SAY_SOMETHING = ["fate", "stage", "place", "zero"];
const DIGITS = /\d/;

/**
 * The marks that may stand in a run, by where they start.
 * A mark: {kind, value, said, start, end, stage, plural, cost, sure, rivals}; start and end count letters.
 */
export function phrasesOf(said, words, shorthand) {
  const found = new Map();
  const starts = [];
  let length = 0;
  for (const word of said) {
    starts.push(length);
    found.set(length, [alone(word, length, words)]);
    length += word.length;
  }
  const spelt = spellings(said, words, shorthand);
  for (const start of spelt.keys()) {
    if (!found.has(start)) found.set(start, []);
    follow(start, start, [], 0, spelt, words, (mark, path) => {
      const inside = pieces(said, starts, mark);
      mark.said = inside.join(" ");
      if (mark.kind === "name" && saySomething(looseWords(mark, path, inside, words), words)) mark.cost += SWALLOWED;
      found.get(start).push(mark);
    });
  }
  starts.forEach((start, i) => found.get(start).push(...runTogether(said.slice(i, i + MOST_RUN_TOGETHER), start, words)));
  return found;
}

function newMark(kind, value, said, start, end, more = {}) {
  return { kind, value, said, start, end, stage: null, plural: false, cost: 0, sure: true, rivals: [], ...more };
}

function pieces(said, starts, mark) {
  const inside = [];
  said.forEach((word, i) => {
    const at = starts[i];
    if (at < mark.end && mark.start < at + word.length) inside.push(word.slice(Math.max(0, mark.start - at), mark.end - at));
  });
  return inside;
}

/** The names that are spelt by the same letters with other spaces: "co sole", "moonjelly". */
function runTogether(said, start, words) {
  const found = [];
  for (let count = 1; count <= said.length; count++) {
    const some = said.slice(0, count);
    const key = some.join("");
    for (const { kind, value, stage, cost } of meaningsOf(words, key)) {
      if (kind !== "name") continue;
      found.push(newMark(kind, value, some.join(" "), start, start + key.length, { stage, cost: cost + GLUED }));
    }
  }
  return found;
}

/** A word as a number in digits, or as left over. */
function alone(word, start, words) {
  const end = start + word.length;
  if (DIGITS.test(word)) return newMark("digits", word, word, start, end);
  const forms = words.forms.get(word) || [];
  if (forms.some((form) => form.name) || !(forms.length || words.english.has(word))) {
    const cost = LEFT_OVER + PER_LETTER * Math.max(0, word.length - LONG_WORD);
    return newMark("unknown", word, word, start, end, { cost });
  }
  return newMark("ordinary", word, word, start, end, { cost: LEFT_OVER_ORDINARY });
}

/** Follow the words from one place on as long as they may become a phrase; take what they stand for then. */
function follow(begin, at, before, cost, spelt, words, take) {
  for (const word of spelt.get(at) || []) {
    const path = [...before, word.word];
    const total = cost + word.cost;
    const key = path.join("");
    if (!begins(words, key)) continue;
    for (const meaning of meaningsOf(words, key)) {
      if (NUMBERS.includes(meaning.kind) && word.slip > mostInANumber(word.word)) continue;
      take(markOf(meaning, begin, word, total), path);
    }
    follow(begin, word.end, path, total, spelt, words, take);
  }
}

function mostInANumber(word) {
  return word.length > 3 ? MOST_IN_A_NUMBER : MOST_IN_A_SHORT_NUMBER;
}

function markOf({ kind, value, stage, cost: own }, begin, { end, plural }, total) {
  const slipped = total && !COUNTING.has(kind) ? total + SLIP_IN_A_SMALL_WORD : total;
  return newMark(kind, value, "", begin, end, { stage, plural, cost: slipped + own });
}

/** The words of a name that may be no part of it: none where it is said as listed. */
function looseWords(mark, path, inside, words) {
  if (words.names.has(path.join(" "))) return mark.cost ? inside : [];
  return [...inside, ...path];
}

/** Whether one of the words is a fate, a stage, a place or a "no" by itself. */
function saySomething(said, words) {
  return said.some((word) => meaningsOf(words, word).some((meaning) => SAY_SOMETHING.includes(meaning.kind)));
}
