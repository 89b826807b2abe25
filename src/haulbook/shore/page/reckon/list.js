/** The list of a haul, read back large before it ends: what was called, in the order in which it was called. */

import { asCalled } from "./kinds.js";

/**
 * @param {State} state
 * @param {string} haul
 * @returns {{rows: [{taxon, stage, unit, n, fates: {fate: n}, places: {place: n}, expanded, judged, doubt}],
 *   present: taxa, none: taxa}} n under the names that animals have now; none: searched and none, less what the
 *   haul yielded after all
 */
export function haulList(state, haul, within = Object.is) {
  const animals = state.wild.filter((kind) => kind.haul === haul);
  const rows = asCalled(animals).map(({ taxon, stage, unit, n }) => {
    const alike = animals.filter((lot) => lot.taxon === taxon && lot.stage === stage && lot.unit === unit);
    const sum = (lots) => lots.reduce((total, lot) => total + lot.n, 0);
    return {
      taxon, stage, unit, n, fates: totals(alike, "fate"), places: totals(alike, "place"),
      expanded: sum(alike.filter(({ basis }) => basis === "expanded")),
      judged: sum(alike.filter(({ basis }) => basis === "judged")),
      doubt: alike.some(({ doubt }) => doubt !== null),
    };
  });
  const present = state.present.filter((one) => one.haul === haul).map(({ taxon }) => taxon);
  const found = [...rows.map(({ taxon }) => taxon), ...present];
  const none = state.searched.filter((one) => one.haul === haul && !found.some((taxon) => within(taxon, one.taxon)))
    .map(({ taxon }) => taxon);
  return { rows, present, none };
}

function totals(lots, name) {
  const found = {};
  for (const lot of lots) found[lot[name]] = (found[lot[name]] ?? 0) + lot.n;
  return found;
}
