/** What is read and written within one transaction; each function takes the transaction first. */

import { asked } from "./database.js";
import { makeEntry } from "./entry.js";
import { NotEnrolled } from "./trouble.js";

const on = (tx, name) => tx.objectStore(name);

/** Note values by name. */
export async function note(tx, values) {
  for (const key of Object.keys(values)) on(tx, "meta").put(values[key], key);
}

/** The values of these names, null where nothing was noted. */
export async function noted(tx, keys) {
  const found = {};
  for (const key of keys) {
    const value = await asked(on(tx, "meta").get(key));
    found[key] = value === undefined ? null : value;
  }
  return found;
}

export async function setting(tx, key) {
  return asked(on(tx, "meta").get(`setting ${key}`));
}

/** A phone under another key asks the station for everything again: it may be another station. */
export async function enrol(tx, { device, token, person }) {
  const before = await asked(on(tx, "meta").get("device"));
  await note(tx, { device, token, person });
  if (before !== device) await note(tx, { cursor: null });
}

/** The last entry of a device, or undefined. */
async function lastOf(tx, device) {
  const range = IDBKeyRange.bound([device, 0], [device, Infinity]);
  const cursor = await asked(on(tx, "entries").index("chain").openCursor(range, "prev"));
  return cursor ? cursor.value : undefined;
}

/**
 * Number, link, hash and store drafts. Readwrite transactions come one after the other in all tabs, so that the
 * chain can't fork. A draft whose id is there already was stored before: its answer got lost.
 * `pictures` are those that some of the drafts name: they are stored with them, or nothing is.
 */
export async function write(tx, drafts, pictures) {
  const device = await asked(on(tx, "meta").get("device"));
  if (!device) throw new NotEnrolled(); // asked here, not of the page's memory: storage may have been cleared
  let last = await lastOf(tx, device);
  const [entries, written] = [[], []];
  let backMs = 0;
  for (const draft of drafts) {
    const there = await asked(on(tx, "entries").index("id").get(draft.id));
    if (there) {
      entries.push(there);
      continue;
    }
    const link = { device, seq: last ? last.seq + 1 : 1, prev: last ? last.hash : null };
    const entry = makeEntry(draft, { ...link, id: draft.id, madeAt: draft.madeAt });
    if (last) backMs = Math.max(backMs, Date.parse(last.made_at) - Date.parse(entry.made_at));
    on(tx, "entries").add(entry);
    on(tx, "outbox").add(waits(entry));
    entries.push(entry);
    written.push(entry);
    last = entry;
  }
  for (const { id, sha256, bytes } of pictures) on(tx, "pictures").put({ id, sha256, bytes });
  return { entries, written, backMs };
}

const waits = ({ device, seq, hash, made_at }) => ({ device, seq, hash, made_at });

export async function entriesOf(tx, outing) {
  if (typeof outing === "string") return asked(on(tx, "entries").index("outing").getAll(outing));
  const all = await asked(on(tx, "entries").getAll());
  return outing === null ? all.filter((entry) => entry.outing === null) : all;
}

/**
 * Take in entries from elsewhere; returns those that are new. Own ones go on the chain: a phone whose last lines
 * were lost gets them back from the station, and goes on after them. `toSend`: own ones wait to be sent.
 */
export async function takeIn(tx, entries, toSend) {
  if (!entries.length) return [];
  const device = await asked(on(tx, "meta").get("device"));
  const known = new Set(await asked(on(tx, "entries").getAllKeys()));
  const fresh = entries.filter((entry) => !known.has(entry.hash) && known.add(entry.hash));
  for (const entry of fresh) {
    on(tx, "entries").add(entry);
    if (toSend && entry.device === device) on(tx, "outbox").put(waits(entry));
  }
  return fresh;
}

export async function unsent(tx) {
  const waiting = await asked(on(tx, "outbox").count());
  const turnedDown = await asked(on(tx, "rejected").getAll());
  const first = (await asked(on(tx, "outbox").getAll(null, 1)))[0];
  const dates = [first && first.made_at, ...turnedDown.map((one) => one.made_at)].filter((date) => date);
  dates.sort((one, other) => Date.parse(one) - Date.parse(other));
  const pictures = await asked(on(tx, "pictures").count());
  return { n: waiting + turnedDown.length, oldestAt: dates[0] || null, rejected: turnedDown.length, pictures };
}

/** The next picture to send, oldest first, none of those in `tried`; null while a line waits: lines go first. */
export async function nextPicture(tx, tried) {
  if (await asked(on(tx, "outbox").count())) return null;
  const ids = await asked(on(tx, "pictures").getAllKeys());
  const next = ids.find((id) => !tried.has(id));
  return next ? asked(on(tx, "pictures").get(next)) : null;
}

/** Let go of a picture that the station has. */
export async function letGoPicture(tx, id) {
  on(tx, "pictures").delete(id);
}

export async function rejected(tx) {
  const found = [];
  for (const { hash, why, at } of await asked(on(tx, "rejected").getAll())) {
    found.push({ entry: await asked(on(tx, "entries").get(hash)), why, at });
  }
  return found.sort((one, other) => one.entry.seq - other.entry.seq);
}

export async function sendAgain(tx) {
  for (const { device, seq, hash, made_at } of await asked(on(tx, "rejected").getAll())) {
    on(tx, "outbox").put({ device, seq, hash, made_at });
  }
  on(tx, "rejected").clear();
}

export async function sendEverything(tx) {
  const device = await asked(on(tx, "meta").get("device"));
  for (const entry of await asked(on(tx, "entries").getAll())) {
    if (entry.device !== device) continue;
    on(tx, "outbox").put(waits(entry));
    on(tx, "rejected").delete(entry.hash);
  }
  await note(tx, { cursor: null });
}

/** At most `most` entries, and of `bytes` no more than the first that goes beyond. */
export async function batch(tx, most, bytes) {
  const found = [];
  let size = 0;
  for (const { hash } of await asked(on(tx, "outbox").getAll(null, most))) {
    const entry = await asked(on(tx, "entries").get(hash));
    size += JSON.stringify(entry).length;
    if (found.length && size > bytes) break;
    found.push(entry);
  }
  return found;
}

/** Note verdicts: stored and duplicate wait no more, rejected are kept apart with the reason. */
export async function settle(tx, verdicts, at) {
  for (const { hash, answer, why } of verdicts) {
    const entry = await asked(on(tx, "entries").get(hash));
    if (!entry) continue; // the storage was cleared while the answer was under way
    const { device, seq, made_at } = entry;
    on(tx, "outbox").delete([device, seq, hash]);
    if (answer === "rejected") on(tx, "rejected").put({ hash, device, seq, made_at, why, at });
  }
}

export async function kit(tx, outing) {
  const kept = outing && (await asked(on(tx, "kits").get(outing)));
  return kept ? kept.kit : null;
}

export async function kits(tx) {
  const kept = await asked(on(tx, "kits").getAll());
  return kept.map(({ outing, made_at, digest, kit: { plan } }) => ({ outing, site: plan.site, made_at, digest }));
}

/** Keep the newer of two kits; of two made at one instant the same is kept in either order. */
export async function keepKit(tx, { entries, ...rest }) {
  const outing = rest.plan.outing;
  const before = await asked(on(tx, "kits").get(outing));
  const later = before && Date.parse(rest.made_at) - Date.parse(before.made_at);
  const kept = !before || later > 0 || (later === 0 && rest.digest > before.digest);
  if (kept) {
    on(tx, "kits").put({ outing, digest: rest.digest, made_at: rest.made_at, kit: { ...rest, entries: [] } });
  }
  return { kept, fresh: await takeIn(tx, entries, false) };
}
