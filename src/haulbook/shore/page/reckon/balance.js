/** The balance of an outing: what came out of the sea, where it is, and what is not found. Individuals only. */

import { countsOff } from "./counts_off.js";
import { isSink, stageAndUnit } from "./fates.js";

/** Individuals that came out of the sea. */
export function outOfSea(happened) {
  return happened.outOf().reduce(
    (sum, { source, what, n }) => sum + (source === "sea" && what.unit === "individual" ? n : 0), 0);
}

/** Individuals at each place outside: {back: n, ...}. */
export function outside(kinds, happened) {
  const totals = {};
  const add = (place, unit, n) => {
    if (isSink(place) && unit === "individual") totals[place] = (totals[place] ?? 0) + n;
  };
  for (const { place, unit, n } of kinds) add(place, unit, n);
  // Renamed among those that had gone there, and more than ever had.
  for (const { place, what, n } of happened.short()) add(place.place, what.unit, -n);
  return totals;
}

/** What somebody counted again and did not find, or that was taken where it had never arrived (n below 0). */
export function notFound(state) {
  const settled = new Set(state.standing.filter(({ kind }) => kind === "settled").map(({ body }) => body.key));
  const stands = ({ entry: { id, body } }) => (
    !settled.has(`count-differs:${id}`) && stageAndUnit(body)[1] === "individual");
  const off = countsOff(state.standing, state.happened).filter(stands)
    .map(({ entry, place, expected }) => ({
      place: place.place, taxon: entry.body.taxon, stage: entry.body.stage ?? null, n: expected - entry.body.n,
      entry: entry.id,
    }));
  const short = state.happened.short()
    .filter(({ what }) => what.unit === "individual" && what.haul.includes("/"))
    .map(({ place, what, n }) => ({ place: place.place, taxon: what.taxon, stage: what.stage, n: -n, entry: null }));
  return [...off, ...short];
}
