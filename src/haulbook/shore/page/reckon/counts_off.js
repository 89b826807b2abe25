/** Numbers that do not fit: what the book says against what can be, what was counted, what was looked for. */

import { outingOf } from "./fates.js";
import { flows, inWords, kindInWords } from "./flows.js";
import { isCounted } from "./happen.js";
import { placeOf, whatOfLine } from "./sides.js";
import { inTime } from "./standing.js";

/** Recounts that differ from the book, less what was entered as lost afterwards: [{entry, place, expected}]. */
export function countsOff(standing, happened) {
  return happened.counts.filter(({ entry, place, expected }) => {
    const missing = expected - entry.body.n;
    return missing && !(missing > 0 && missing <= lostAfter(entry, place, standing));
  });
}

function lostAfter(count, place, standing) {
  let lost = 0;
  for (const entry of standing) {
    if (entry.kind !== "move" || inTime(entry, count) <= 0) continue;
    for (const line of entry.body.lines) {
      if (line.to === "lost" && placeOf(entry, line.haul, line.from) === place && isCounted(count, whatOfLine(line))) {
        lost += line.n;
      }
    }
  }
  return lost;
}

/** Places that gave more than they had. */
export function belowZero(standing, happened, nameOf) {
  const short = happened.short().filter(({ place, what }) => happened.count(place, what) < 0);
  return flows(standing, short).map((flow) => {
    const { place, what } = flow;
    const n = happened.count(place, what);
    return {
      kind: "below-zero",
      subject: [place.outing || "station", place.place, what.taxon, what.stage || "-", what.unit, what.haul].join(" "),
      words: `${inWords(place)}: ${flow.arrived} ${kindInWords(what, nameOf)} arrived and ${flow.left} left, `
        + `${-n} too many: enter what arrived, or strike the line that took too many`,
      outing: place.outing || outingOf(what.haul),
      entries: ids([...flow.arriving, ...flow.leaving]),
    };
  });
}

/** Recounts that differ. */
export function countDiffers(standing, happened, nameOf) {
  return countsOff(standing, happened).map(({ entry, place, expected }) => {
    const { body } = entry;
    const stage = "stage" in body ? ` (${body.stage})` : "";
    const few = body.n < expected;
    const mend = few ? "say where they went (lost, with its cause)" : "enter the line that was never called";
    return {
      kind: "count-differs",
      subject: entry.id,
      words: `${inWords(place)}: the book says ${expected} ${nameOf(body.taxon)}${stage}, ${entry.by} found ${body.n} `
        + `at ${entry.at}: ${Math.abs(body.n - expected)} too ${few ? "few" : "many"}; ${mend}, or strike the count`,
      outing: place.outing,
      entries: [entry.id],
    };
  });
}

/** Searches that found none in a haul that yielded one: the zero is withdrawn, and said so. */
export function zeroAndCount(state, within, nameOf) {
  const searches = new Map();
  for (const { id, kind, body } of state.standing) {
    if (kind !== "searched-and-none") continue;
    for (const taxon of body.taxa) {
      const key = `${body.haul} ${taxon}`;
      if (!searches.has(key)) searches.set(key, { haul: body.haul, taxon, entries: [] });
      searches.get(key).entries.push(id);
    }
  }
  const found = [];
  for (const [subject, { haul, taxon, entries }] of searches) {
    const ones = yielded(state, (one) => one.haul === haul && within(one.taxon, taxon));
    if (!ones.length) continue;
    const n = ones.reduce((sum, one) => sum + one.n, 0);
    const names = [...new Set(ones.map((one) => nameOf(one.taxon)))];
    found.push({
      kind: "zero-and-count",
      subject,
      words: `${haul} was searched for ${nameOf(taxon)} and none found, and it yielded ${n || "some"} `
        + `(${names.join(", ")}): the zero is withdrawn. Strike the search, or settle it`,
      outing: outingOf(haul),
      entries: [...new Set([...entries, ...ones.flatMap((one) => one.entries)])],
    });
  }
  return found;
}

/** Animals of some kinds, and what was seen without a number. */
function yielded(state, wanted) {
  return [...state.lotsOf(wanted), ...state.present.filter(wanted).map((one) => ({ ...one, n: 0, entries: [] }))];
}

/** Names that no taxon stands for yet, once an outing. */
export function nameOpen(lots) {
  const named = new Map();
  for (const { haul, taxon, n, entries } of lots) {
    const outing = outingOf(haul);
    const key = `${outing} ${taxon}`;
    if (!named.has(key)) named.set(key, { outing, taxon, n: 0, entries: new Set() });
    const open = named.get(key);
    open.n += n;
    for (const id of entries) open.entries.add(id);
  }
  return [...named].map(([subject, { outing, taxon, n, entries }]) => ({
    kind: "name-open",
    subject,
    words: `${n} '${taxon.slice(1)}' of ${outing} ${n === 1 ? "has" : "have"} no taxon yet: `
      + "redetermine, or settle the name",
    outing,
    entries: [...entries],
  }));
}

function ids(entries) {
  return [...new Set(entries.map(({ id }) => id))];
}
