/** Words put into the order in which a call is read: "keep two" as "two kept". `haulbook.calls.order` is the reference. */

import { PASSED_OVER, SHARED } from "./state.js";

const BETWEEN = [...PASSED_OVER, "and"];

/** Pieces by the run they stand in, in order. */
export function byRun(pieces) {
  const found = new Map();
  for (const piece of pieces) {
    if (!found.has(piece.run)) found.set(piece.run, []);
    found.get(piece.run).push(piece);
  }
  return found;
}

/** The pieces of a call in that order. */
export function inOrder(pieces) {
  const found = [];
  let named = false;
  for (const own of byRun(pieces).values()) {
    found.push(...(named ? numberFirst(own) : allFirst(own)));
    named = named || own.some((piece) => ["name", "stranger"].includes(piece.kind));
  }
  return found;
}

/** Turn the pairs of "keep two and release three", "b2 4" round, where a run behind a name holds nothing else. */
function numberFirst(own) {
  const said = own.filter((piece) => !BETWEEN.includes(piece.kind));
  const turned = said.every((piece, i) => (i % 2 ? piece.kind === "count" : SHARED.includes(piece.kind)));
  if (!said.length || said.length % 2 || !turned) return allFirst(own);
  let [found, held] = [[], []];
  for (const piece of own) {
    const shared = SHARED.includes(piece.kind);
    if (shared || piece.kind === "and") [found, held] = [[...found, ...held], []];
    (shared ? held : found).push(piece);
  }
  return [...found, ...held];
}

/** Put an "all" or "the rest" that ends a run before the fate or place it stands behind. */
function allFirst(own) {
  const said = own.filter((piece) => !BETWEEN.includes(piece.kind));
  const [before, last] = said.slice(-2);
  if (said.length < 2 || !["all", "rest"].includes(last.kind) || !SHARED.includes(before.kind)) return own;
  const at = own.indexOf(before);
  return [...own.slice(0, at), last, ...own.slice(at).filter((piece) => piece !== last)];
}
