/**
 * What the body of each kind holds, so that the page never writes a line the station can't take in.
 * `haulbook.custody.bodies` and `lines` are the reference; the tests hold both to the same verdicts.
 */

import {
  above, entryId, flag, from, fromPlace, has, haul, haulOrEntry, heldPlace, inside, isId, isSource,
  mappingOf, oneOf, orNull, record, sha256, some, taxon, text, thing, whole,
} from "./checks.js";

export { isId };

const stage = oneOf("larva", "young", "adult", "egg mass");
const unit = oneOf("individual", "egg_mass", "colony", "blade", "gram");
const sex = oneOf("female", "male", "hermaphrodite");

const subsample = record(
  { method: oneOf("scoops"), of: whole(1), counted: some(whole(0)) },
  { batch: text },
  (said) => said.counted.length > said.of && "more scoops counted than there were",
);

const eggs = (said) => said.stage === "egg mass" || said.unit === "egg_mass";

function eggsAgree(line) {
  const agree = (line.stage || "egg mass") === "egg mass" && (line.unit || "egg_mass") === "egg_mass";
  return eggs(line) && !agree && "egg masses count in egg_mass";
}

/**
 * What counted scoops stand for: all scoops times the mean of the counted, rounded up, since a permit counts
 * whole animals. Source: Cochran (1977), Sampling Techniques, ch. 2.
 */
function estimateOf({ of, counted }) {
  const sum = counted.reduce((total, n) => total + n, 0);
  return Math.ceil((of * sum) / counted.length);
}

function scoopsFit(line) {
  if (!line.subsample) {
    return line.basis === "expanded" && isSource(line.from) && "expanded, but the scoops counted are not there";
  }
  if (line.basis !== "expanded") return "has a subsample, so its basis is expanded";
  return line.n !== estimateOf(line.subsample) && `the scoops make ${estimateOf(line.subsample)}, not ${line.n}`;
}

const lengthHasType = (line) => has(line, "length_mm") !== has(line, "length_type") && "a length says its type";

function wayIsOpen(line) {
  if (line.from === line.to) return "nothing moved";
  if (line.to === "escaped" && line.from !== "sea") return "escaped means before landing, from sea";
  if (line.to === "back-in-net" && !["sea", "net"].includes(line.from)) return "back in the net only from it";
  return line.to === "lost" && !has(line, "cause") && "lost needs its cause";
}

const seaIsInAHaul = (line) => line.from === "sea" && !line.haul.includes("/") && "sea animals have a haul";

const moveLine = record(
  { taxon, n: whole(1), from: fromPlace, to: heldPlace, haul: haulOrEntry },
  {
    haul_assumed: flag, said: text, stage, sex, unit, basis: oneOf("counted", "expanded", "judged"), subsample,
    length_mm: above(0), length_type: text, origin: oneOf("wild", "hatchery"), mark: text, berried: flag,
    doubt: oneOf("name", "count"), cause: text,
  },
  eggsAgree, scoopsFit, lengthHasType, wayIsOpen, seaIsInAHaul,
);

const identity = record({ taxon }, { stage: orNull(stage) });

function changes({ was, now, unit: counted }) {
  const same = was.taxon === now.taxon && (was.stage || null) === (now.stage || null);
  if (same) return "nothing changed";
  const unitOf = (side) => (eggs({ stage: side.stage, unit: counted }) ? "egg_mass" : counted || "individual");
  return unitOf(was) !== unitOf(now) && "animals and egg masses count in other units";
}

const redeterminationLine = record(
  { place: heldPlace, haul: haulOrEntry, n: whole(1), was: identity, now: identity },
  { unit },
  changes,
);

const geometry = record({ m: above(0), basis: oneOf("measured", "assumed") });
const area = record({ m2: above(0), basis: oneOf("measured", "assumed"), said_by: text });
const permits = some(record({ permit: text, version: text }), 0);
const measured = {
  temperature_c: from(-5, 60), salinity: from(0), oxygen_mg_l: from(0), oxygen_percent: from(0), ph: from(0, 14),
  tan_mg_n_l: from(0),
};

const together = (one, other) => (body) => has(body, one) !== has(body, other) && `${one} and ${other} go together`;

function onePlace(body) {
  if (has(body, "place") === has(body, "haul")) return "a reading is taken in a place or in a haul";
  return !Object.keys(measured).some((key) => has(body, key)) && "a reading says what was read";
}

function placeAct(body) {
  if (body.act === "purpose" && !has(body, "purpose")) return "say what it is for: keep, hold or release";
  if (has(body, "purpose") && !body.place.startsWith("bucket ")) return "only buckets have a purpose";
  return body.act === "left-beach" && body.place.startsWith("tank ") && "no tank stands on the beach";
}

const weightsMatch = (body) => has(body, "g") && body.g.length !== body.mm.length && "one weight a length, or none";

const BODIES = new Map(Object.entries({
  "outing-opened": record({
    plan: orNull(thing), digest: orNull(sha256), pack: text, version: text, permits, looked_for: some(taxon, 0),
  }),
  "outing-closed": record({}, { remark: text }),
  "outing-signed": record({
    covers: mappingOf(whole(1)), digest: sha256, role: text, report_digests: some(sha256, 0),
  }),
  "haul-started": record(
    { haul },
    { label: text, site: text, net: text, set_type: text, lat: from(-90, 90), lon: from(-180, 180) },
    together("lat", "lon"),
  ),
  "haul-landed": record(
    { haul, condition: oneOf(1, 2, 3, 4, 5, 9) },
    {
      why: text, w: geometry, d: geometry, c: geometry, b: geometry, D: geometry, L: geometry, depth_m: from(0),
      area,
    },
  ),
  "haul-ended": record({ haul }),
  move: record({ lines: some(moveLine) }, { text }),
  redetermination: record({ lines: some(redeterminationLine), why: text }),
  lengths: record(
    { haul, taxon, length_type: text, mm: some(above(0)) },
    { stage, g: some(above(0)), sex, clipped: flag, tissue: flag, voucher_no: text },
    weightsMatch,
  ),
  present: record({ haul, taxon }),
  "searched-and-none": record({ haul, taxa: some(taxon) }),
  place: record(
    { place: inside, act: oneOf("set-up", "water-changed", "air", "lid", "purpose", "left-beach") },
    { purpose: oneOf("keep", "hold", "release"), litres: above(0), air_per_h: from(0) },
    placeAct,
  ),
  reading: record(
    { instrument: text },
    { place: inside, haul, ...measured, scale: text },
    onePlace, together("ph", "scale"),
  ),
  "counted-again": record({ place: inside, taxon, n: whole(0) }, { stage, unit }),
  strike: record({ entries: some(entryId), reason: text }, { instead: some(entryId, 0) }),
  settled: record({ key: text, answer: text, why: text }),
  care: record(
    { place: inside, act: oneOf("fed", "ate", "refused", "cleaned", "treated", "checked") },
    { taxon, g: above(0), what: text, prescribed_by: text },
  ),
  paper: record(
    {
      permit: text,
      act: oneOf("notice-sent", "receipt", "permission", "report-signed", "report-sent", "cleared"),
    },
    { clause: text, sha256, digest: sha256 },
  ),
  picture: record({ of: entryId, sha256, bytes: whole(1) }),
  remark: record({ text }, { haul, place: inside }),
}));

const OF_A_HAUL = [
  "haul-started", "haul-landed", "haul-ended", "lengths", "present", "searched-and-none",
];
const OF_AN_OUTING = ["outing-opened", "outing-closed", "outing-signed", ...OF_A_HAUL];
const OF_A_PLACE = ["place", "counted-again"];

const ofOuting = (key, outing) => key.slice(0, key.lastIndexOf("/")) === outing;

function lineFits(line, outing, id) {
  if (line.from === "sea" && !ofOuting(line.haul, outing)) return `${line.haul} is no haul of ${outing}`;
  const alien = ["born", "brought"].includes(line.from) && line.haul !== id;
  return alien && `${line.from} animals carry the id of this entry as their haul`;
}

/**
 * What is off in the body of an entry, as sentences; an unknown kind has no faults.
 * @param {string} kind
 * @param {object} body as `admitted` gave it
 * @param {string|null} outing of the entry, whose hauls the body may name
 * @param {string} id of the entry
 * @returns {string[]}
 */
export function faultsOf(kind, body, outing, id) {
  const faults = thing(body, "the body");
  const check = BODIES.get(kind);
  if (faults.length || !check) return faults;
  const found = check(body, kind);
  if (found.length) return found;
  const needs = OF_AN_OUTING.includes(kind) || (OF_A_PLACE.includes(kind) && !body.place.startsWith("tank "));
  if (outing === null && needs) return [`${kind} belongs to an outing, and this entry has none`];
  if (OF_A_HAUL.includes(kind)) return ofOuting(body.haul, outing) ? [] : [`${body.haul} is no haul of ${outing}`];
  return kind === "move" ? body.lines.map((line) => lineFits(line, outing, id)).filter((fault) => fault) : [];
}


