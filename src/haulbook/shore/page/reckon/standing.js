/** Which entries stand, and in which order they happened: instant, then device, number and hash. */

import { momentOf } from "./time.js";

/** Order of two texts. */
export const byText = (one, other) => (one < other ? -1 : one > other ? 1 : 0);

/** Sort order of the order in which things happened. */
export function inTime(one, other) {
  return momentOf(one) - momentOf(other) || byText(one.device, other.device) || one.seq - other.seq
    || byText(one.hash, other.hash);
}

/** Id and hash: two entries with both alike are the same. */
export const identityOf = (entry) => `${entry.id} ${entry.hash}`;

/**
 * Id of each struck entry with the id of the first strike that names it. A strike is not struck.
 * @param {Array} entries in order of time
 * @returns {Map<string, string>}
 */
export function struckBy(entries) {
  const strikes = entries.filter((entry) => entry.kind === "strike");
  const ids = new Set(strikes.map((entry) => entry.id));
  const struck = new Map();
  for (const strike of strikes) {
    for (const id of strike.body.entries) if (!ids.has(id) && !struck.has(id)) struck.set(id, strike.id);
  }
  return struck;
}
