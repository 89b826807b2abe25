/**
 * What is left of each clause: left = limit - before - n, from the kit and the entries of its outing, nothing else.
 */

import { stageAndUnit } from "./fates.js";
import { accountOf, CERTAINLY, NOT, rulesOf, SURELY } from "./meant.js";

/** What may only be done where a clause allows it (default deny). */
const NEEDS_ALLOWANCE = new Set(["retained", "killed", "sampled"]);

/**
 * Where every clause of the kit stands with everything that this device knows.
 * @param {object} kit
 * @param {State} state of ledger.js
 * @param {string|null} haul the one that is on, for clauses that count by haul; without one they stand as before
 *   any haul
 * @returns {Array<{clause, n, possible, of, ofPossible, left, leftAtWorst}>} clause: the kit's own; left null
 *   without a number, and for a percentage that is not met
 */
export function standings(kit, state, haul = null) {
  const [rules, account] = [rulesOf(kit), accountOf(state)];
  return kit.clauses.map((clause) => standingOf(rules, clause, account, haul));
}

/** Where one clause stands. */
export function standingOf(rules, clause, account, haul) {
  const here = rules.count(clause, clause.basis, account, haul);
  const of = clause.of ? rules.count(clause, clause.of, account, haul) : { n: 0, possible: 0 };
  const standing = {
    clause,
    n: clause.before + here.n,
    possible: clause.before_possible + here.possible,
    of: (clause.before_of ?? 0) + of.n,
    ofPossible: (clause.before_of_possible ?? 0) + of.possible,
  };
  standing.left = leftOf(clause, standing.n, standing.of);
  standing.leftAtWorst = leftOf(clause, standing.n + standing.possible, standing.of);
  return standing;
}

function leftOf(clause, n, of) {
  if (clause.percent) return FULL.has(percentStatus(clause, n, of)) ? 0 : null;
  return clause.limit === null ? null : Math.max(0, clause.limit - n);
}

const FULL = new Set(["reached", "exceeded", "closed"]);

/**
 * How a percentage stands: pending, open, closed, reached or exceeded; compared exactly, 100 n with percent times
 * d.
 */
export function percentStatus({ percent, min_n: minN = 0 }, n, d) {
  const [whole, decimals = ""] = percent.split(".");
  const allowed = Number(whole + decimals) * d;
  if (d < minN || d === 0) return "pending";
  if (n === 0) return Number(whole + decimals) === 0 ? "closed" : "open";
  const got = 100 * n * 10 ** decimals.length;
  if (got < allowed) return "open";
  return got === allowed ? "reached" : "exceeded";
}

/** A line of a move as clauses see it: what nobody said is null. */
export function asAnimals(line) {
  const [stage, unit] = stageAndUnit(line);
  return {
    n: 1, said: null, origin: null, sex: null, doubt: null, length_mm: null, length_type: null, haul_assumed: false,
    later: [], ...line, stage, unit,
  };
}

/**
 * The least that is left for these animals and one basis, and how surely any clause allows it.
 * @param {object} kit
 * @param {State} state
 * @param {object} animals a line of a move, or animals of the state: {taxon, haul, stage?, ...}
 * @param {string} basis as "retained"
 * @returns {{left: number|null, allowed: "certainly"|"possibly"|"not", clause: object|null}} left null: no clause
 *   has a number; clause: the one that has least left
 */
export function leftFor(kit, state, animals, basis) {
  const [rules, account] = [rulesOf(kit), accountOf(state)];
  const asked = asAnimals(animals);
  const haul = account.haulOf(asked.haul);
  let [least, by, allowed] = [null, null, NOT];
  for (const clause of kit.clauses) {
    if (clause.basis !== basis) continue;
    const meant = rules.meant(clause, asked, haul);
    if (clause.kind === "limit" && clause.limit !== 0) allowed = Math.max(allowed, meant);
    if (meant !== CERTAINLY || clause.limit === null) continue;
    const { n } = standingOf(rules, clause, account, haul.haul);
    const room = Math.max(0, clause.limit - n);
    if (least === null || room < least) [least, by] = [room, clause];
  }
  if (NEEDS_ALLOWANCE.has(basis) && allowed === NOT) least = 0;
  return { left: least, allowed: SURELY[allowed], clause: by };
}

/** Whether a taxon is another or lies within it, by the kit's own tree. */
export function withinOf(kit) {
  const { parents } = rulesOf(kit);
  return (taxon, other) => {
    for (let key = taxon; key; key = parents.get(key)) if (key === other) return true;
    return false;
  };
}
