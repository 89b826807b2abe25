/** Inside places and what is in them, put together for reading. */

import { isInside } from "./fates.js";
import { grouped, individuals } from "./kinds.js";

const WHAT = ["taxon", "stage", "unit", "haul"];
const KNOWN = ["sex", "origin", "mark", "length_mm", "length_type", "berried", "basis", "doubt", "haul_assumed", "below"];

/**
 * Net, buckets, coolers (tanks too, where a book of the station is read): net first, then by kind and number.
 * @returns {Array<{outing, place, purpose, litres, airPerH, lid, leftAt, changedAt, reading, readings, flow, lots,
 *   n}>} litres and airPerH (per hour) null where nobody said; leftAt as written, changedAt in ms (new water), null
 *   if not; reading: the last entry of a reading there; flow: [{at ms, taxon, n}] of individuals, below 0 where
 *   they went; lots: [{taxon, stage, unit, haul, n, sex?, berried?, ...}] in the order of the calls, n below 0 with
 *   `below` where more left than arrived
 */
export function placesOf(happened, kinds) {
  const { waters, purposes, offBeach } = happened;
  const inside = new Map();
  const rowsOf = (place) => {
    if (!inside.has(place)) inside.set(place, []);
    return inside.get(place);
  };
  for (const place of [...waters.keys(), ...happened.held.keys()]) if (isInside(place.place)) rowsOf(place);
  for (const kind of kinds) if (isInside(kind.place)) rowsOf(kind.at).push(kind);
  for (const { place, what, n } of happened.short()) {
    if (isInside(place.place)) rowsOf(place).push({ ...what, n: -n, below: true, call: Infinity });
  }
  return [...inside].map(([place, rows]) => {
    const water = waters.get(place);
    const lots = grouped(rows, [...WHAT, ...KNOWN]).sort((one, other) => one.call - other.call).map(asLot);
    return {
      outing: place.outing, place: place.place, purpose: purposes.get(place) ?? null,
      litres: water?.litres ?? null, airPerH: water?.airPerH ?? null, lid: water?.lid ?? false,
      leftAt: offBeach.get(place) ?? null, changedAt: water?.changedAt ?? null,
      reading: water?.readings[water.readings.length - 1] ?? null, readings: water?.readings ?? [],
      flow: water?.flow ?? [], lots, n: individuals(lots),
    };
  }).sort((one, other) => byKind(one.place, other.place));
}

/** What is known of a lot, without what nobody said. */
function asLot(kind) {
  const lot = { taxon: kind.taxon, stage: kind.stage, unit: kind.unit, haul: kind.haul, n: kind.n };
  for (const name of KNOWN) if (kind[name] !== null && kind[name] !== undefined) lot[name] = kind[name];
  return lot;
}

const KINDS = ["net", "bucket", "cooler", "tank"];

function byKind(one, other) {
  const [[kindA, nameA = ""], [kindB, nameB = ""]] = [one.split(" "), other.split(" ")];
  return KINDS.indexOf(kindA) - KINDS.indexOf(kindB) || Number(nameA) - Number(nameB) || (nameA < nameB ? -1 : 1);
}
