/**
 * Entries: what was written, as a device's how-manieth line, linked to the line before.
 * `haulbook.custody.entry` is the reference, and takes in every entry made here.
 *
 * @typedef {{at: string, body: object, by: string, device: string, hash: string, id: string, kind: string,
 *   made_at: string, outing: string|null, prev: string|null, seq: number}} Entry
 */

import { isId, faultsOf } from "./bodies.js";
import { Refused, admitted, canonical, written } from "./canonical.js";
import { isInstant, isTime } from "./instants.js";
import { sha256hex } from "./sha256.js";

/** Bytes of an entry's canonical form above which the station takes it no more. */
export const MOST_BYTES = 65536;

const KEYS = ["at", "body", "by", "device", "hash", "id", "kind", "made_at", "outing", "prev", "seq"];
const PERSON = /^p[0-9]+$/;
const DEVICE = /^[a-z][a-z0-9-]{0,63}$/;
const OUTING = /^[^\s/]+$/;
const KIND = /^[a-z][a-z0-9-]{0,63}$/;
const SHA256 = /^[0-9a-f]{64}$/;

const is = (pattern) => (value) => typeof value === "string" && pattern.test(value);

const ENVELOPE = [
  ["id", isId, "a UUID in lower case"],
  ["at", isTime, "an instant with offset, or a date, month or year"],
  ["made_at", isInstant, "an instant with offset"],
  ["by", is(PERSON), "a person's key, as p3, never a name"],
  ["outing", (value) => value === null || is(OUTING)(value), "an outing, as 2027-05-14-a, or null"],
  ["kind", is(KIND), "a kind, as move"],
  ["device", is(DEVICE), "the key of a device, as d1"],
  ["seq", (value) => Number.isSafeInteger(value) && value >= 1, "a whole number from 1 on"],
  ["prev", (value) => value === null || is(SHA256)(value), "a SHA-256, or null for a device's first entry"],
];

function faultsIn(values) {
  const faults = ENVELOPE.filter(([key, good]) => !good(values[key])).map(
    ([key, , wanted]) => `${key} is ${JSON.stringify(values[key])}; it takes ${wanted}`,
  );
  if (faults.length) return faults;
  if ((values.seq === 1) !== (values.prev === null)) return ["the first entry, and only the first, has no prev"];
  return faultsOf(values.kind, values.body, values.outing, values.id);
}

/**
 * @param {{kind: string, body: object, at: string, by: string, outing: string|null}} draft
 * @param {{device: string, seq: number, prev: string|null, id: string, madeAt: string}} link
 * @returns {Entry}
 * @throws {Refused} with everything that is off
 */
export function makeEntry({ kind, body, at, by, outing }, { device, seq, prev, id, madeAt }) {
  const values = admitted({ at, body, by, device, id, kind, made_at: madeAt, outing, prev, seq }, "the entry");
  const faults = faultsIn(values);
  if (faults.length) throw new Refused(faults);
  const text = written(values);
  if (new TextEncoder().encode(text).length + HASH_BYTES > MOST_BYTES) {
    throw new Refused([`the entry is over ${MOST_BYTES / 1024} kB; write it as several`]);
  }
  return { ...values, hash: sha256hex(text) };
}

/** `"hash":"…",` in the canonical form. */
const HASH_BYTES = 64 + '"hash":"",'.length;

/** Whether what an entry says is what was once hashed. */
export function isWhole(entry) {
  try {
    const { hash, ...rest } = entry;
    return is(SHA256)(hash) && sha256hex(canonical(rest)) === hash;
  } catch (error) {
    return false;
  }
}

/**
 * What is off with something that should be an entry, as sentences; none is good.
 * @param {any} value as read from JSON
 * @returns {string[]}
 */
export function faultsOfEntry(value) {
  if (value === null || typeof value !== "object" || Array.isArray(value)) return ["an entry is a JSON object"];
  const keys = Object.keys(value).sort();
  if (keys.length !== KEYS.length || keys.some((key, n) => key !== KEYS[n])) {
    return [`an entry has the keys ${KEYS.join(", ")}`];
  }
  try {
    admitted(value, "the entry", false);
  } catch (error) {
    return error.faults;
  }
  const faults = faultsIn(value);
  if (!faults.length && !isWhole(value)) faults.push("the hash does not match what is written there");
  return faults;
}

/** Sort order of a book: outing, device, seq; null outing last. */
export function inBookOrder(one, other) {
  const key = (entry) => [entry.outing === null ? 1 : 0, entry.outing || "", entry.device, entry.seq, entry.hash];
  const [left, right] = [key(one), key(other)];
  const at = left.findIndex((part, n) => part !== right[n]);
  return at < 0 ? 0 : left[at] < right[at] ? -1 : 1;
}
