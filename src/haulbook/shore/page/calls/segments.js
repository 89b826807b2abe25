/** The cheapest reading of a run (Viterbi 1967), and what in it is sure. `haulbook.calls.segments` is the reference. */

import { phrasesOf } from "./phrases.js";

const PER_SEGMENT = 0.1;
/** Two names side by side, with neither number nor "and" between them, are seldom called. */
const AFTER_A_NAME = 0.8;
/** How much more any other meaning must cost for one to be sure. */
const MARGIN = 0.7;
const NAMES = ["name", "stranger"];
const LEFT_OVER = ["digits", "ordinary", "unknown"];

/** The marks of a run, in order and without gaps. */
export function readRun(said, words, shorthand) {
  const edges = phrasesOf(said, words, shorthand);
  const length = said.reduce((sum, word) => sum + word.length, 0);
  const { cost, path } = cheapest(edges, length, null);
  return path.map((mark) => (LEFT_OVER.includes(mark.kind) ? mark : judged(mark, edges, length, cost)));
}

/** Whether a mark is sure; a name that is not carries the taxa that rival it. */
function judged(mark, edges, length, cost) {
  const other = cheapest(edges, length, mark);
  if (other.cost - cost >= MARGIN) return mark;
  const rivals = other.path.filter((one) => one.kind === "name" && one.start < mark.end && mark.start < one.end);
  const ambiguous =
    mark.kind === "name"
      ? rivals.some((one) => one.start === mark.start && one.end === mark.end)
      : ["fate", "stage"].includes(mark.kind) && rivals.some((one) => one.stage !== mark.value);
  if (mark.cost === 0 && !ambiguous) return mark;
  return { ...mark, sure: false, rivals: [...new Set(rivals.map((one) => one.value))] };
}

/** The cheapest path without what is banned, and its cost; a name right behind a name costs extra. */
function cheapest(edges, length, banned) {
  const best = new Map([[0, { cost: 0, from: -1, mark: null }]]); // by twice the letters, odd behind a name
  for (let at = 0; at < length; at++) {
    for (const named of [0, 1]) {
      const here = best.get(2 * at + named);
      if (!here) continue;
      for (const mark of edges.get(at) || []) {
        const name = NAMES.includes(mark.kind) ? 1 : 0;
        const cost = here.cost + mark.cost + PER_SEGMENT + (named && name ? AFTER_A_NAME : 0);
        const was = best.get(2 * mark.end + name);
        if (cost < (was ? was.cost : Infinity) && !means(mark, banned)) {
          best.set(2 * mark.end + name, { cost, from: 2 * at + named, mark });
        }
      }
    }
  }
  const [plain, named] = [best.get(2 * length), best.get(2 * length + 1)];
  let node = !plain || (named && named.cost < plain.cost) ? named : plain;
  if (!node) return { cost: Infinity, path: [] };
  const { cost } = node;
  const path = [];
  for (; node.mark; node = best.get(node.from)) path.unshift(node.mark);
  return { cost, path };
}

/** Whether a mark means the banned thing, there or thereabouts. */
function means(mark, banned) {
  if (!banned || mark.kind !== banned.kind || mark.value !== banned.value) return false;
  return mark.start < banned.end && banned.start < mark.end;
}
