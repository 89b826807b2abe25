/**
 * Discrepancies between devices: the same thing told twice, told too late, or a piece of a chain that is not here.
 */

import { outingOf } from "./fates.js";
import { GEOMETRY } from "./hauls.js";
import { instantOf, isInstant } from "./time.js";

const STARTS_APART_MS = 5 * 60000;
const CHANGES_AN_ACCOUNT = new Set(["haul-started", "haul-landed", "haul-ended", "move", "redetermination", "lengths",
  "present", "searched-and-none", "place"]);

const upTo = (one, other) => (one < other ? -1 : 1);

/** Adds to the list of a key. */
export function addTo(map, key, item) {
  const list = map.get(key);
  if (list) list.push(item);
  else map.set(key, [item]);
}

/** What two devices called of one haul, taxon and stage: the same animals twice, or two lots. */
export function doubleCount(standing, nameOf) {
  const calls = new Map();
  for (const { id, kind, device, body } of standing) {
    for (const line of kind === "move" ? body.lines : []) {
      if (line.from !== "sea") continue;
      const key = `${line.haul}\t${line.taxon}\t${line.stage ?? ""}`;
      if (!calls.has(key)) calls.set(key, { line, devices: new Map() });
      addTo(calls.get(key).devices, device, { n: line.n, id });
    }
  }
  const twice = [...calls.values()].filter(({ devices }) => devices.size > 1);
  return twice.map(({ line: { haul, taxon, stage }, devices }) => {
    const counts = [...devices].map(([device, lines]) => [device, lines.reduce((sum, { n }) => sum + n, 0)])
      .sort(([one], [other]) => upTo(one, other));
    const all = counts.reduce((sum, [, n]) => sum + n, 0);
    const most = Math.max(...counts.map(([, n]) => n));
    const said = counts.map(([device, n]) => `${device} called ${n}`).join(" and ");
    return {
      kind: "double-count",
      subject: [haul, taxon, stage || "-", ...counts.map(([device]) => device)].join(" "),
      words: `${said} ${nameOf(taxon)}${stage ? ` (${stage})` : ""} of ${haul}: ${all} if both stand, `
        + `at most ${most} if they are the same. Strike one, or settle that both stand`,
      outing: outingOf(haul),
      entries: [...new Set([...devices.values()].flat().map(({ id }) => id))],
    };
  });
}

/** Hauls that were told of twice with starts more than 5 minutes apart, or with another geometry. */
export function startedTwice(standing) {
  const told = new Map();
  for (const entry of standing) {
    if (entry.kind !== "haul-started" && entry.kind !== "haul-landed") continue;
    addTo(told, entry.body.haul, entry);
  }
  const found = [];
  for (const [haul, entries] of told) {
    const differs = [...startsApart(entries), ...geometryDiffers(entries)];
    if (!differs.length) continue;
    found.push({
      kind: "started-twice",
      subject: haul,
      words: `${haul} was told of twice, and the two differ in ${differs.join(", ")}: strike the wrong one; `
        + "if they were two hauls, strike one with its lines and enter it under its own number",
      outing: outingOf(haul),
      entries: entries.map(({ id }) => id),
    });
  }
  return found;
}

function startsApart(entries) {
  const starts = entries.filter(({ kind }) => kind === "haul-started")
    .sort((one, other) => instantOf(one.at) - instantOf(other.at));
  if (!starts.length) return [];
  const [first, last] = [starts[0].at, starts[starts.length - 1].at];
  return instantOf(last) - instantOf(first) > STARTS_APART_MS ? [`when it started (${first}, ${last})`] : [];
}

function geometryDiffers(entries) {
  const found = [];
  for (const name of ["net", "set_type", ...GEOMETRY, "area", "condition"]) {
    const said = new Map();
    for (const { body } of entries) if (name in body) said.set(JSON.stringify(body[name]), body[name]);
    if (said.size > 1) found.push(`${name} (${[...said.values()].map(measureInWords).join(", ")})`);
  }
  return found;
}

function measureInWords(said) {
  if (said === null || typeof said !== "object") return String(said);
  return "m" in said ? `${said.m} m` : `${said.m2} m²`;
}

/** What changes an account that was signed without it, and calls of a haul that had ended. */
export function lateLines(entries, standing) {
  const covers = covered(standing);
  const byId = new Map();
  if (covers.size) for (const entry of entries) addTo(byId, entry.id, entry);
  const ended = new Map(standing.filter(({ kind }) => kind === "haul-ended").map((entry) => [entry.body.haul, entry]));
  const found = [];
  for (const entry of standing) {
    for (const outing of [...changedBy(entry, byId, covers)].sort(upTo)) {
      found.push({
        kind: "late-line",
        subject: `${entry.id} ${outing}`,
        words: `${entry.kind} ${entry.seq} of ${entry.device} changes ${outing}, which was signed without it: `
          + "sign again, or strike it",
        outing,
        entries: [entry.id],
      });
    }
    const end = calledAfterEnd(entry, ended);
    if (end) {
      found.push({
        kind: "late-line",
        subject: `${entry.id} ${end.body.haul}`,
        words: `${entry.device} called animals of ${end.body.haul} at ${entry.at}; it had ended at ${end.at}: `
          + "strike the end and enter it again, or settle the line",
        outing: entry.outing,
        entries: [entry.id, end.id],
      });
    }
  }
  return found;
}

/** For each signed outing the last number of each device that a sign-off covers. */
export function covered(standing) {
  const found = new Map();
  for (const { kind, outing, body } of standing) {
    if (kind !== "outing-signed" || outing === null) continue;
    const last = found.get(outing) ?? new Map();
    for (const [device, seq] of Object.entries(body.covers)) last.set(device, Math.max(seq, last.get(device) ?? 0));
    found.set(outing, last);
  }
  return found;
}

function changedBy(entry, byId, covers) {
  if (!covers.size) return [];
  const touched = new Set();
  if (CHANGES_AN_ACCOUNT.has(entry.kind) && entry.outing !== null) touched.add(entry.outing);
  else if (entry.kind === "strike") {
    for (const struck of entry.body.entries.flatMap((id) => byId.get(id) ?? [])) {
      if (struck.outing !== null && isCovered(struck, struck.outing, covers)) touched.add(struck.outing);
    }
  }
  return [...touched].filter((outing) => covers.has(outing) && !isCovered(entry, outing, covers));
}

function isCovered({ device, seq }, outing, covers) {
  return seq <= (covers.get(outing)?.get(device) ?? 0);
}

function calledAfterEnd(entry, ended) {
  if (entry.kind !== "move" || !isInstant(entry.at)) return null;
  for (const line of entry.body.lines) {
    const end = line.from === "sea" ? ended.get(line.haul) : undefined;
    if (end && isInstant(end.at) && instantOf(end.at) < instantOf(entry.at)) return end;
  }
  return null;
}
