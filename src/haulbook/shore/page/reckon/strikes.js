/**
 * May these entries be struck? A question for whoever is about to write the strike. Equal to
 * `haulbook.custody.striking`.
 */

import { flows, kindInWords } from "./flows.js";
import { happenAll } from "./happen.js";
import { localTime } from "./time.js";

/**
 * What stands against striking these, everything together; nothing where they may be struck.
 * @param {State} state
 * @param {Array<string>} ids every entry that the strike is to name
 * @returns {Array<{why: "unknown" | "struck" | "strike", id, by?}
 *   | {why: "below", place, what, n, left, entries}>} entries: those in the way, oldest first
 */
export function strikeProblems(state, ids) {
  const named = [...new Set(ids)];
  const unfit = named.map((id) => unfitFor(state, id)).filter(Boolean);
  if (unfit.length) return unfit;
  const left = state.standing.filter(({ id }) => !named.includes(id));
  const after = happenAll(left);
  const worse = after.short().filter(({ place, what }) => (
    after.count(place, what) < Math.min(0, state.happened.count(place, what))));
  return flows(left, worse).map((flow) => {
    const { place, what, left: went, leaving } = flow;
    return { why: "below", place, what, n: after.count(place, what), left: went, entries: leaving };
  });
}

function unfitFor(state, id) {
  const entry = state.entries.find((one) => one.id === id);
  if (!entry) return { why: "unknown", id };
  if (state.strikes.has(id)) return { why: "struck", id, by: state.strikes.get(id) };
  return entry.kind === "strike" ? { why: "strike", id } : null;
}

const WORDS = {
  unknown: "That line is not on this phone.",
  struck: "That line is struck already.",
  strike: "A struck line stays struck: enter it again.",
};

/** One of these problems in words to show. */
export function strikeWords(problem, nameOf) {
  if (problem.why !== "below") return WORDS[problem.why];
  const { place, what, n, left, entries } = problem;
  const names = entries.map((entry) => `line ${entry.seq} of ${entry.device} at ${localTime(entry.at) || entry.at}`);
  return `${place.place} would hold ${n} ${kindInWords(what, nameOf)}: ${left} went on from there. `
    + `In the way: ${names.join(", ")}. Strike these too, or enter first what arrived.`;
}
