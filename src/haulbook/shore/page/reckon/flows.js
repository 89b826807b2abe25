/** What went into a place and out of it, line by line, for those who have to mend a balance. */

import { SOURCES } from "./fates.js";
import { placeOf, whatOf, whatOfLine } from "./sides.js";

/**
 * Flows of these places and kinds.
 * @param {Array} standing entries, oldest first
 * @param {Array<{place, what}>} sides of sides.js
 * @returns {Array<{arrived, left, arriving: entries, leaving: entries}>} one for each side
 */
export function flows(standing, sides) {
  const found = sides.map(({ place, what }) => ({ place, what, arrived: 0, left: 0, arriving: [], leaving: [] }));
  if (!found.length) return found;
  for (const entry of standing) {
    for (const [place, what, n] of postings(entry)) {
      const flow = found.find((one) => one.place === place && one.what === what);
      if (!flow) continue;
      if (n > 0) {
        flow.arrived += n;
        flow.arriving.push(entry);
      } else {
        flow.left -= n;
        flow.leaving.push(entry);
      }
    }
  }
  return found;
}

/** Each place and kind that an entry changes, with the number: below zero where animals leave. */
function* postings(entry) {
  if (entry.kind === "move") {
    for (const line of entry.body.lines) {
      const what = whatOfLine(line);
      if (!SOURCES.includes(line.from)) yield [placeOf(entry, line.haul, line.from), what, -line.n];
      yield [placeOf(entry, line.haul, line.to), what, line.n];
    }
  } else if (entry.kind === "redetermination") {
    for (const line of entry.body.lines) {
      const place = placeOf(entry, line.haul, line.place);
      yield [place, whatOf({ ...line, ...line.was }), -line.n];
      yield [place, whatOf({ ...line, ...line.now }), line.n];
    }
  }
}

/** A place as people say it. */
export const inWords = ({ outing, place }) => (outing ? `${place} of ${outing}` : place);

const SAME = (key) => key;

/** Taxon, stage and haul as people say them. */
export function kindInWords({ taxon, stage, unit, haul }, nameOf = SAME) {
  const said = stage ? ` (${stage})` : "";
  const counted = unit === "individual" || unit === "egg_mass" ? "" : ` [${unit}]`;
  return `${nameOf(taxon)}${said}${counted} of ${haul}`;
}
