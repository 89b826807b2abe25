/** What is missing from the chains of a book: numbers that are not there, and numbers used twice. */

import { addTo, covered } from "./told_twice.js";

/**
 * Gaps and forks of all devices, also where a sign-off speaks of entries that are not here.
 * @param {Array} entries
 * @param {Array} standing
 * @param {boolean} whole whether the book holds all that its devices wrote; of one outing alone gaps say nothing
 */
export function looseChains(entries, standing, whole) {
  const last = new Map();
  for (const devices of covered(standing).values()) {
    for (const [device, seq] of devices) last.set(device, Math.max(seq, last.get(device) ?? 0));
  }
  const devices = new Map([...last.keys()].map((device) => [device, new Map()]));
  for (const entry of entries) {
    if (!devices.has(entry.device)) devices.set(entry.device, new Map());
    addTo(devices.get(entry.device), entry.seq, entry);
  }
  const found = [];
  for (const [device, numbers] of [...devices].sort(([one], [other]) => (one < other ? -1 : 1))) {
    if (whole) found.push(...gaps(device, numbers, last.get(device) ?? 0));
    found.push(...forks(device, numbers));
  }
  return found;
}

function gaps(device, numbers, saidLast) {
  const found = [];
  let before = 0;
  for (const seq of [...numbers.keys()].sort((one, other) => one - other)) {
    if (seq > before + 1) found.push(gap(device, before + 1, seq - 1, numbers.get(seq)));
    before = seq;
  }
  if (saidLast > before) found.push(gap(device, before + 1, saidLast, numbers.get(before) ?? []));
  return found;
}

function gap(device, first, last, beside) {
  const [span, verb] = first === last ? [first, "is"] : [`${first} to ${last}`, "are"];
  return fault("gap", `${device} ${first}-${last}`, `${span} of ${device} ${verb} `
    + "not here: bring in what that device still holds, or a saved copy of it", beside);
}

function forks(device, numbers) {
  const found = [];
  for (const seq of [...numbers.keys()].sort((one, other) => one - other)) {
    const here = numbers.get(seq);
    if (here.length > 1) {
      found.push(fault("fork", `${device} ${seq}`,
        `${device} has ${here.length} different entries ${seq}: it wrote on from an older copy of itself`, here));
    }
    const before = numbers.get(seq - 1) ?? [];
    const elsewhere = before.length ? here.filter(({ prev }) => before.every(({ hash }) => hash !== prev)) : [];
    if (elsewhere.length) {
      found.push(fault("fork", `${device} ${seq - 1}-${seq}`,
        `${seq} of ${device} goes on after another entry ${seq - 1} than the one that is here: `
        + "one of the two was changed, or written in a second copy of the device", elsewhere));
    }
  }
  return found;
}

function fault(kind, subject, words, entries) {
  const outings = new Set(entries.map(({ outing }) => outing));
  const outing = outings.size === 1 ? [...outings][0] : null;
  return { kind, subject, words, outing, entries: entries.map(({ id }) => id) };
}
