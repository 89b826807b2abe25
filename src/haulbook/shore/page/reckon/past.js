/** Reads the past of a lot as facts: its fate, when that fell, and what happened later. */

import { isSink, LATER, SINKS } from "./fates.js";
import { TOLD } from "./lots.js";

/** What all steps of a lot say together; kept with the lot until another step comes. */
export function pastOf(lot) {
  if (lot.past?.steps === lot.steps) return lot.past;
  const past = {
    steps: lot.steps, fate: null, fated: null, later: [], basis: "counted", subsample: null,
    said: null, cause: null, doubt: null, haulAssumed: false,
  };
  for (const step of lot.steps) addStep(past, step);
  past.alike = alikeKey(lot, past);
  lot.past = past;
  return past;
}

/**
 * Lots of one kind in one place with the same key differ in nothing but when, by whom and in which words they were
 * called.
 */
function alikeKey({ told }, { fate, fated, later, basis, doubt, haulAssumed }) {
  const key = TOLD.map((name) => told[name] ?? "").join("\t") + basis + (doubt ?? "") + (haulAssumed ? "?" : "");
  return fated === null ? key : `${key}\n${fate}${later.length ? JSON.stringify(later) : ""}`;
}

function addStep(past, { entry, line, fate }) {
  if (entry.kind === "redetermination") {
    if (past.doubt === "name") past.doubt = null;
    return;
  }
  if (line) {
    readLine(past, line, entry);
    if (isSink(line.to)) {
      if (past.fate !== null) {
        past.later.push({ kind: LATER[line.to], at: entry.at, entry: entry.id });
        return;
      }
      fate = SINKS[line.to];
    }
  }
  if (past.fate === null && fate !== null) {
    past.fate = fate;
    past.fated = entry.at;
  }
}

function readLine(past, line, entry) {
  past.basis = line.basis ?? past.basis;
  past.said = past.said || (line.said ?? null);
  past.cause = line.cause ?? past.cause;
  past.doubt = line.doubt ?? past.doubt;
  past.haulAssumed = past.haulAssumed || (line.haul_assumed ?? false);
  if (line.subsample) {
    const { method, of, counted, batch = null } = line.subsample;
    past.subsample = { method, of, counted, batch, entry: entry.id };
  }
}

/** Ids of the entries that say all this of a lot, oldest first. */
export const entriesOf = (lot) => [...new Set(lot.steps.map(({ entry }) => entry.id))];

/** `at` of the entry that called a lot. */
export const calledOf = (lot) => lot.steps[0].entry.at;

/**
 * A lot as facts: keys as in a line of a move, and fate, place, fated (`at` of the cut-off; null while at the
 * beach) and later [{kind, at, entry}].
 */
export function animalsOf(place, lot, fateNow) {
  const past = pastOf(lot);
  const { told, what } = lot;
  return {
    haul: what.haul, taxon: what.taxon, n: lot.n, stage: what.stage, unit: what.unit,
    fate: past.fate ?? fateNow, place: place.place, basis: past.basis,
    sex: told.sex ?? null, origin: told.origin ?? null, mark: told.mark ?? null, berried: told.berried ?? null,
    length_mm: told.length_mm ?? null, length_type: told.length_type ?? null,
    said: past.said, doubt: past.doubt, cause: past.cause, haul_assumed: past.haulAssumed,
    fated: past.fated, later: past.later, subsample: past.basis === "expanded" ? past.subsample : null,
  };
}
