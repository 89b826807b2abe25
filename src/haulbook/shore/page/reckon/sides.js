/**
 * Places and kinds of animals as objects, one for each for as long as the page is open: so they are compared and
 * looked up by identity, and a line's kind is worked out once however often the book is read.
 */

import { isSink, isTank, outingOf, stageAndUnit } from "./fates.js";

const kinds = new Map();
const ofLine = new WeakMap();

/** The kind that something speaks of: {taxon, stage, unit, haul}. Only like is taken for like. */
export function whatOf(said) {
  const [stage, unit] = stageAndUnit(said);
  const key = `${said.taxon}\t${stage ?? ""}\t${unit}\t${said.haul}`;
  let what = kinds.get(key);
  if (!what) kinds.set(key, what = Object.freeze({ taxon: said.taxon, stage, unit, haul: said.haul }));
  return what;
}

/** The same for a line of an entry, which never changes. */
export function whatOfLine(line) {
  let what = ofLine.get(line);
  if (!what) ofLine.set(line, what = whatOf(line));
  return what;
}

const places = new Map();

/** A place of an outing; null for tanks, which are the station's. */
export function placeNamed(outing, place) {
  let ofOuting = places.get(outing);
  if (!ofOuting) places.set(outing, ofOuting = new Map());
  let found = ofOuting.get(place);
  if (!found) ofOuting.set(place, found = Object.freeze({ outing, place }));
  return found;
}

/** Whose place a line means: tanks are the station's, sinks the haul's outing's, all else the entry's. */
export function placeOf({ outing }, haul, place) {
  if (isTank(place)) return placeNamed(null, place);
  if (outing === null || isSink(place)) return placeNamed(outingOf(haul), place);
  return placeNamed(outing, place);
}

/** The place that an entry is about as a whole, as one that sets it up or counts what is in it. */
export function ownPlace({ outing, body: { place } }) {
  return placeNamed(isTank(place) ? null : outing, place);
}
