/**
 * Drafts of what is done in one act: "rest back", "empty bucket 3", some from a bucket, a recount, a strike. A
 * draft is {kind, body}; whoever writes it adds `at`.
 */

import { haulOrder } from "./fates.js";
import { landingOf } from "./hauls.js";
import { grouped } from "./kinds.js";
import { instantOf } from "./time.js";

/**
 * Everything that is still in a place goes somewhere: one move with a line per taxon, stage, unit and haul.
 * @param {State} state
 * @param {string} place "bucket 3", "net", "cooler 1"
 * @param {string} to another inside place or a sink: "back", "cooler 1", "dead-back", "lost" ...
 * @param {{cause?: string, text?: string, haul?: string}} [more] cause: needed for "lost"; haul: only what came in
 *   that haul
 * @returns {{kind: "move", body}|null} null where nothing is in it
 */
export function emptyPlace(state, place, to, { cause, text, haul } = {}) {
  const lots = whatIsIn(state, place).filter((lot) => !haul || lot.haul === haul);
  if (!lots.length) return null;
  return move(lots.map((lot) => lineOf(lot, place, to, lot.n, cause)), text);
}

/** "Rest back": what is still in the net goes back, of one haul or of all. */
export function restBack(state, haul, text = "rest back") {
  return emptyPlace(state, "net", "back", { text, haul });
}

/**
 * Some animals of a kind go from a place: of the only haul they can be of, or, where nobody can tell, of the last
 * landed.
 * @param {State} state
 * @param {{place, to, taxon, n, stage?, unit?, haul?, said?, cause?, text?}} what `stage` left out: whichever are
 *   there; `haul`: of that one only
 * @returns {{kind: "move", body}|null} where fewer are known to be there than are taken, the rest is taken all the
 *   same; null where no haul is known that they could be of
 */
export function take(state, { place, to, taxon, stage, unit = "individual", haul, n, said, cause, text }) {
  const there = whatIsIn(state, place).filter((lot) => lot.taxon === taxon && lot.unit === unit
    && (stage === undefined || lot.stage === stage) && (!haul || lot.haul === haul));
  const landed = [...there].sort((one, other) => lastLanded(state, one.haul, other.haul));
  const assumed = new Set(there.map((lot) => lot.haul)).size > 1 && there.reduce((sum, lot) => sum + lot.n, 0) > n;
  const lines = [];
  let wanted = n;
  for (const lot of landed) {
    const some = Math.min(wanted, lot.n);
    if (!some) break;
    lines.push({ ...lineOf(lot, place, to, some, cause), ...(assumed ? { haul_assumed: true } : {}) });
    wanted -= some;
  }
  if (wanted) {
    const of = haul ?? landed[0]?.haul ?? state.hauls[state.hauls.length - 1]?.haul;
    const [line] = lines;
    if (!of) return null;
    if (line) line.n += wanted;
    else lines.push(lineOf({ taxon, stage: stage ?? null, unit, haul: of }, place, to, wanted, cause));
  }
  if (said) lines[0].said = said;
  return move(lines, text);
}

/** Order in which animals of several hauls are taken: the last landed first. */
function lastLanded(state, one, other) {
  const [a, b] = [one, other].map((haul) => instantOf(landingOf(state.haul(haul)) ?? NEVER));
  return b - a || haulOrder(other, one);
}

const NEVER = "1970-01-01";

/** What a place holds by taxon, stage, unit and haul; nothing of what is below zero. */
export function whatIsIn(state, place) {
  const lots = state.place(place)?.lots ?? [];
  return grouped(lots, ["taxon", "stage", "unit", "haul"]).filter(({ n }) => n > 0)
    .map(({ taxon, stage, unit, haul, n }) => ({ taxon, stage, unit, haul, n }));
}

function lineOf({ taxon, stage, unit, haul }, from, to, n, cause) {
  return {
    taxon, n, from, to, haul,
    ...(stage ? { stage } : {}),
    ...(unit === "individual" || unit === "egg_mass" ? {} : { unit }),
    ...(cause ? { cause } : {}),
  };
}

const move = (lines, text) => ({ kind: "move", body: { lines, ...(text ? { text } : {}) } });

/** What somebody found in a place, all stages together unless one is said. */
export function countedAgain({ place, taxon, stage, unit, n }) {
  const own = unit === "individual" || unit === "egg_mass" ? undefined : unit;
  const body = { place, taxon, n, ...(stage ? { stage } : {}), ...(own ? { unit: own } : {}) };
  return { kind: "counted-again", body };
}

/**
 * A strike of entries, or why it may not be: {draft} or {refused: words, inTheWay: ids}. Struck together with those
 * in the way it may be.
 */
export function strike(state, ids, { reason = "slip", instead, nameOf } = {}) {
  const refused = state.refuseStrike(ids, nameOf);
  if (refused) return { refused, inTheWay: state.inTheWay(ids) };
  const body = { entries: [...new Set(ids)], reason, ...(instead?.length ? { instead } : {}) };
  return { draft: { kind: "strike", body } };
}
