/** Hauls as facts: what started, landed and ended, told by one device or by several. */

import { haulOrder, outingOf } from "./fates.js";

const INSTANTS = { "haul-started": "started", "haul-landed": "landed", "haul-ended": "ended" };
const SAID = ["label", "site", "net", "set_type", "lat", "lon", "condition", "why", "depth_m"];
export const GEOMETRY = ["w", "d", "c", "b", "D", "L"];

/**
 * Every haul that was told of, in book order. Where two phones told of one, the first word holds, but for the end:
 * the last animal is dealt with when the last one says so.
 * @param {Array} standing entries, nothing struck, oldest first
 * @param {Iterable<string>} mentioned hauls that animals came out of, whether or not anybody said when they started
 * @returns {Array<{haul, outing, started?, landed?, ended?, condition?, remarks: string[], ...}>} times as written
 */
export function haulsOf(standing, mentioned) {
  const hauls = new Map();
  const told = (haul) => {
    if (!hauls.has(haul)) hauls.set(haul, { haul, outing: outingOf(haul), remarks: [] });
    return hauls.get(haul);
  };
  for (const haul of mentioned) told(haul);
  for (const entry of standing) {
    const { kind, body } = entry;
    if (kind === "remark" && "haul" in body) told(body.haul).remarks.push(body.text);
    else if (kind in INSTANTS) {
      const haul = told(body.haul);
      for (const [name, value] of Object.entries(saidBy(entry))) {
        if (!(name in haul) || name === "ended") haul[name] = value;
      }
    }
  }
  return [...hauls.values()].sort((one, other) => haulOrder(one.haul, other.haul));
}

function saidBy({ kind, at, body }) {
  const said = { [INSTANTS[kind]]: at };
  for (const name of SAID) if (name in body) said[name] = body[name];
  if ("area" in body) said.area_m2 = body.area.m2;
  const measures = GEOMETRY.filter((name) => name in body).map((name) => [name, body[name]]);
  if (measures.length) said.measures = Object.fromEntries(measures);
  return said;
}

/**
 * The permit's clock of a haul: net on the beach, or the nearest thing that somebody noted; undefined if nobody
 * did.
 */
export const landingOf = (haul) => haul?.landed ?? haul?.started ?? haul?.ended;
