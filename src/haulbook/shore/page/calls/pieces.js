/** Marks put together into what a call is made of: numbers, lengths, places. `haulbook.calls.pieces` is the reference. */

import { numberAt } from "./numbers.js";
import { GLUED } from "./spelling.js";

/** Words that stand for a number where a call begins with one, before a name. */
const HOMOPHONES = new Map([["to", 2], ["too", 2], ["tree", 3], ["for", 4], ["fore", 4], ["won", 1], ["ate", 8]]);
const MOST_BUCKETS = 99;
const MOST_LENGTH_MM = 9999;
/** Words that open a number upwards where a name follows. */
const BEHIND_A_NUMBER = ["plus", "some"];
const LEAST_OPEN = 10;
const LOOSE = ["ordinary", "unknown", "digits"];
const HEDGE_KINDS = ["hedge", "bound", "at"];
/** Words that before a length doubt the length, not the name. */
const HEDGES = ["maybe", "perhaps", "probably", "possibly", "could be", "might be"];
const ARTICLES = ["a", "an"];

/**
 * The pieces of one run.
 * A piece: {kind, value, said, run, sure, exact, plural, stage, rivals, unit}; unit: millimetres that the unit of a length has.
 */
export function piecesOf(marks, run) {
  const found = [];
  for (let at = 0; at < marks.length; ) {
    const [piece, after] = next(marks, at, run);
    found.push(piece);
    at = after;
  }
  return withRanges(withUnits(found));
}

function newPiece(kind, value, said, run, more = {}) {
  return { kind, value, said, run, sure: true, exact: true, plural: false, stage: null, rivals: [], unit: 0, ...more };
}

function next(marks, at, run) {
  const mark = marks[at];
  const number = numberAt(marks, at);
  if (number) {
    return [joined(number.whole ? "count" : "decimal", number.value, marks.slice(at, number.after), run), number.after];
  }
  if (mark.kind === "place") return place(marks, at, run);
  const kind = LOOSE.includes(mark.kind) ? "loose" : mark.kind;
  if (kind === "loose" && HOMOPHONES.has(mark.said) && mayBeANumber(marks, at)) {
    return [newPiece("count", HOMOPHONES.get(mark.said), mark.said, run), at + 1];
  }
  const { value, said, plural, stage, rivals } = mark;
  const sure = mark.sure && !(kind === "zero" && mark.cost > 0);
  return [newPiece(kind, value, said, run, { sure, exact: mark.cost === 0, plural, stage, rivals }), at + 1];
}

function place(marks, at, run) {
  const mark = marks[at];
  const number = numberAt(marks, at + 1);
  if (number && numbersAPlace(number) && !counts(marks, mark, number.after)) {
    return [joined("place", `${mark.value} ${number.value}`, marks.slice(at, number.after), run), number.after];
  }
  const value = mark.value === "cooler" ? mark.value : null;
  return [newPiece("place", value, mark.said, run, { sure: mark.sure, exact: mark.cost === 0 }), at + 1];
}

function joined(kind, value, used, run) {
  const said = used.map((one) => one.said).join(" ");
  return newPiece(kind, value, said, run, { sure: used.every((one) => one.sure), exact: used.every((one) => one.cost === 0) });
}

function numbersAPlace({ whole, value }) {
  return whole && value !== null && value > 0 && value <= MOST_BUCKETS;
}

/** Whether the number after "cooler", which needs none, counts what follows. */
function counts(marks, mark, after) {
  return mark.value === "cooler" && after < marks.length && marks[after].kind === "name";
}

/** Whether a number may stand here: first, or after "and", right before a name said as listed. */
function mayBeANumber(marks, at) {
  const opens = at === 0 || ["and", "correct"].includes(marks[at - 1].kind);
  const behind = marks.slice(at + 1).find((mark) => !["filler", "adjective", "stage"].includes(mark.kind));
  if (!opens || !behind) return false;
  return behind.kind === "at" || (behind.kind === "name" && behind.cost <= GLUED);
}

/** Turn a number before a unit into a length; a hedge on it goes, and so do "long", "each". */
function withUnits(pieces) {
  const found = [];
  for (const piece of pieces) {
    const before = found.length ? found[found.length - 1].kind : "";
    if (piece.kind === "unit" && ["count", "decimal"].includes(before)) {
      const number = found.pop();
      while (found.length && hedges(found[found.length - 1])) found.pop();
      found.push(lengthOf(number, piece));
    } else if (piece.kind !== "across") {
      found.push(piece);
    } else if (before !== "length") {
      found.push({ ...piece, kind: before === "count" && piece.said === "total" ? "filler" : "loose" });
    }
  }
  return found;
}

function hedges({ kind, said }) {
  return HEDGE_KINDS.includes(kind) || HEDGES.includes(said);
}

function lengthOf(number, unit) {
  const factor = Number(unit.value);
  const said = `${number.said} ${unit.said}`;
  return { ...number, kind: "length", value: inMm(number.value, factor), said, sure: number.sure && unit.sure, unit: factor };
}

/** A number of units in millimetres, to the tenth; null where no animal is as long. */
export function inMm(number, factor) {
  if (typeof number !== "number") return null;
  const length = Math.floor(number * factor * 10 + 0.5) / 10;
  return length > 0 && length <= MOST_LENGTH_MM ? length : null;
}

/** Turn "two or three", "ten to fifteen", "over a hundred" and "thirty odd" into a number that nobody said. */
function withRanges(pieces) {
  const found = [];
  pieces.forEach((piece, at) => {
    const before = found.length ? found[found.length - 1] : null;
    const named = at + 1 < pieces.length && pieces[at + 1].kind === "name";
    if (piece.kind === "count" && isAnArticle(piece, found)) return;
    if (piece.kind === "count" && before && before.kind === "bound") {
      found.push(leftOpen(found.splice(-1), piece));
    } else if (["count", "length"].includes(piece.kind) && offered(found)) {
      found.push(leftOpen(found.splice(before.kind === "and" ? -3 : -2), piece));
    } else if (before && before.kind === "count" && opensUpwards(before, piece, named)) {
      found.push(leftOpen(found.splice(-1), piece));
    } else {
      found.push(piece);
    }
  });
  return found;
}

/** "One of them was a buffalo", in which "a" counts nothing. */
function isAnArticle(piece, found) {
  const was = found.length > 0 && ["was", "is"].includes(found[found.length - 1].said);
  return was && ARTICLES.includes(piece.said) && found.some((one) => one.kind === "count");
}

/** Whether a second number is offered: "three or", "ten to", "two maybe", "between ten and". */
function offered(found) {
  const [opening, number, joint] = [undefined, undefined, undefined, ...found].slice(-3);
  if (!number || number.kind !== "count") return false;
  if (joint.kind === "and") return Boolean(opening) && opening.said === "between";
  return ["or", "doubt"].includes(joint.kind) || (joint.kind === "loose" && joint.said === "to");
}

/** "Two hundred plus silversides", "thirty odd"; "an odd sculpin" is one. */
function opensUpwards(number, piece, named) {
  const many = number.value !== null && number.value >= LEAST_OPEN;
  return many && (piece.kind === "beyond" || (named && BEHIND_A_NUMBER.includes(piece.said)));
}

/** A number, or a length, that was left open. */
function leftOpen(before, last) {
  const parts = [...before, last];
  const [kind, value] = last.kind === "length" ? ["length", null] : ["vague", "count"];
  const sure = parts.every((one) => one.kind === "loose" || one.sure);
  return { ...last, kind, value, said: parts.map((one) => one.said).join(" "), sure };
}
