/**
 * What follows when a clause is met: who is told by when, what stops, and the pack's own notices.
 * Equal to `haulbook.permit.follow` (A4.2 on_any, on_reach, on_exceed; A4.3 rules 15, 16).
 */

import { isSink, LATER, raises, SOURCES } from "./fates.js";
import { landingOf } from "./hauls.js";
import { asAnimals, percentStatus } from "./left.js";
import { accountFrom, accountOf, apart, CERTAINLY, deathIn, NOT, rulesOf } from "./meant.js";
import { calledOf } from "./past.js";
import { placeOf } from "./sides.js";
import { byText } from "./standing.js";
import { dayAfter, instantOf, isoLocal } from "./time.js";

/** What each stop means on the beach. None of them ends the recording or the release. */
export const WHAT_STOPS = {
  taxon: "keep none, release at once and unhandled where possible, no set where it is expected",
  haul: "open the net and end this haul",
  outing: "no further set on this outing",
  permit: "no outing under this permit until the agency has cleared it",
};

/** Kinds of notice that the pack gives, the weightiest first. */
const OF_THE_PACK = ["hazardous", "protected", "invasive", "introduced"];

/**
 * Everybody who has to be told, with the clock that runs.
 * @param {object} kit
 * @param {State} state
 * @returns {Array<{key, kind: "on_any"|"on_reach"|"on_exceed", taxon, why, words, clause, to, haul, since,
 *   clockEndsAt, writtenBy, stop, stopWords, entries}>} since, clockEndsAt: instants on the permit's clock (ISO),
 *   writtenBy a date; null where nothing is said of them. `key` names a duty while it stands
 */
export function duties(kit, state) {
  return dutiesOf(kit, accountOf(state)).filter(({ to }) => to);
}

/**
 * Stops in force: those of the kit, and those that the outing brought about.
 * @param {string|null} haul the one that is on
 * @returns {Array<{permit, clause, stop: "taxon"|"haul"|"outing"|"permit", why, words}>} clause: its id
 */
export function stops(kit, state, haul = null) {
  const holds = ({ stop, haul: of }) => stop !== "none" && (stop !== "haul" || of === haul);
  const made = dutiesOf(kit, accountOf(state)).filter(holds).map(({ clause, stop, why, stopWords }) => (
    { permit: clause.permit, clause: clause.id, stop, why, words: stopWords }));
  const key = ({ permit, clause, stop, why }) => `${permit}\t${clause}\t${stop}\t${why}`;
  return [...new Map([...kit.stops, ...made].map((one) => [key(one), one])).values()];
}

/**
 * What has to be said because of a line, before it is written.
 * @param {object} kit
 * @param {object} line of a move
 * @param {State} [state] everything known before the line; without it only the pack speaks
 * @param {string} [at] when the line happens, for what is told from the event on
 * @returns {Array<{taxon, kind, words, clause, clockEndsAt, ...}>} pack's notices first (clause and clockEndsAt
 *   null), then what follows from the line, as in `duties`; `to` null where something stops and nobody has to be
 *   told
 */
export function notices(kit, line, state, at) {
  const said = packNotices(kit, line.taxon);
  if (!state) return said;
  const before = accountOf(state);
  const known = new Set(dutiesOf(kit, before).map(({ key }) => key));
  const after = followed(kit, withLine(state, before, line, at), asAnimals(line));
  return [...said, ...[...after.values()].filter(({ key }) => !known.has(key))];
}

/**
 * What the pack says of a taxon: protected, invasive ... Of a group also what it says of the groups above, tallied
 * with it.
 */
export function packNotices(kit, taxon) {
  const byKey = taxaOf(kit);
  const found = new Map();
  for (const key of [taxon, ...kinOf(kit, taxon)]) {
    for (const [kind, words] of Object.entries(byKey.get(key)?.notice ?? {})) {
      if (!found.has(kind)) found.set(kind, { taxon: key, kind, words, clause: null, clockEndsAt: null });
    }
  }
  return [...found.values()].sort((one, other) => OF_THE_PACK.indexOf(one.kind) - OF_THE_PACK.indexOf(other.kind));
}

/** Of a group, the names above it in the same tally group: they speak for all that is not told apart. */
function kinOf(kit, taxon) {
  if (kit.taxa.every(({ parent }) => parent !== taxon)) return [];
  const byKey = taxaOf(kit);
  const kin = [];
  for (let key = byKey.get(taxon)?.parent; key; key = byKey.get(key).parent) {
    if (byKey.get(key).group === byKey.get(taxon).group) kin.push(key);
  }
  return kin;
}

const taxa = new WeakMap();

/** The taxa of a kit by key. */
export function taxaOf(kit) {
  if (!taxa.has(kit)) taxa.set(kit, new Map(kit.taxa.map((taxon) => [taxon.key, taxon])));
  return taxa.get(kit);
}

/** The account as it would be with a line that is not written yet; `at`: when that would be. */
function withLine(state, account, line, at) {
  const asked = asAnimals(line);
  const fate = state.happened.fateNow(placeOf({ outing: null }, line.haul, line.to));
  const rest = [[...account.hauls.values()], account.lengths];
  if (SOURCES.includes(line.from)) {
    const last = state.entries[state.entries.length - 1];
    const called = landingOf(account.hauls.get(line.haul)) ?? at ?? last?.at ?? "1970-01-01";
    const caught = { ...asked, place: line.to, fate, called, call: Infinity, entries: [] };
    return accountFrom([...account.animals, caught], ...rest);
  }
  const animals = [];
  let wanted = line.n;
  for (const kind of account.animals) {
    if (!isFrom(kind, asked)) {
      animals.push(kind);
      continue;
    }
    for (const lot of apart(kind)) {
      const n = Math.min(wanted, lot.n);
      wanted -= n;
      if (lot.n > n) animals.push({ ...lot, n: lot.n - n });
      if (n) animals.push({ ...lot, n, place: line.to, call: Infinity, ...becomes(lot, line.to, fate, at) });
    }
  }
  return accountFrom(animals, ...rest);
}

/** What going somewhere makes of animals: their fate, or an event beside the one that was settled before. */
function becomes(lot, to, fate, at) {
  if (lot.fated === null) return { fate };
  return isSink(to) && at ? { later: [...lot.later, { kind: LATER[to], at, entry: null }] } : {};
}

function isFrom(kind, line) {
  return kind.place === line.from && ["taxon", "stage", "unit", "haul"].every((name) => kind[name] === line[name]);
}

const known = new WeakMap();

/** Everything that follows now, told or not; worked out once for what the book says. */
function dutiesOf(kit, account) {
  const done = known.get(account);
  if (done?.kit === kit) return done.duties;
  const found = [...followed(kit, account).values()];
  known.set(account, { kit, duties: found });
  return found;
}

/**
 * Everything that follows, by key; only of clauses that may mean `ofThese` where it is asked because of some
 * animals.
 */
function followed(kit, account, ofThese) {
  const rules = rulesOf(kit);
  const found = new Map();
  for (const clause of kit.clauses) {
    if (!clause.on_any && !clause.on_reach && !clause.on_exceed) continue;
    if (ofThese && rules.named(clause, ofThese) === NOT) continue;
    for (const haul of clause.period === "haul" ? account.hauls.keys() : [null]) {
      for (const met of metIn(rules, clause, account, haul)) {
        const duty = dutyOf(kit, account, clause, met);
        if (!found.has(duty.key)) found.set(duty.key, duty);
      }
    }
  }
  return found;
}

/** Consequences that hold: on_any for each haul, the others once. [{kind, why, animals}] */
function metIn(rules, clause, account, haul) {
  const sure = rules.charges(clause, clause.basis, account, haul).filter(({ meant }) => meant === CERTAINLY);
  if (!sure.length) return [];
  const status = statusOf(rules, clause, account, haul, sure);
  const reached = clause.on_reach && (status === "reached" || status === "exceeded");
  const exceeded = clause.on_exceed && status === "exceeded";
  if (!clause.on_any && !reached && !exceeded) return [];
  const met = clause.on_any ? firstOfEachHaul(sure).map((animals) => (
    { kind: "on_any", why: `any ${clause.basis} animal`, animals })) : [];
  const crossed = (above) => crossing(rules, clause, account, haul, sure, above);
  if (reached) met.push({ kind: "on_reach", why: "limit reached", animals: crossed(0) });
  if (exceeded) met.push({ kind: "on_exceed", why: "limit exceeded", animals: crossed(1) });
  return met;
}

function firstOfEachHaul(charges) {
  const firsts = new Map();
  for (const { animals } of charges) {
    const first = firsts.get(animals.haul);
    if (!first || animals.call < first.call) firsts.set(animals.haul, animals);
  }
  return [...firsts.values()].map((animals) => inOrder([animals])[0]);
}

/** Animals lot by lot as they were called. */
const inOrder = (kinds) => kinds.flatMap(apart).sort((one, other) => one.call - other.call);

function landedAt(animals, account) {
  return instantOf(landingOf(account.haulOf(animals.haul)) ?? animals.called ?? calledOf(animals.lots[0]));
}

function statusOf(rules, clause, account, haul, certain) {
  const n = clause.before + certain.reduce((total, charge) => total + charge.n, 0);
  if (clause.percent) {
    const of = (clause.before_of ?? 0) + rules.count(clause, clause.of, account, haul).n;
    return percentStatus(clause, n, of);
  }
  if (clause.limit === null) return "open";
  if (n > clause.limit) return "exceeded";
  return n === clause.limit && clause.limit > 0 ? "reached" : "open";
}

/** The animals with which the count met the limit (above: 0) or went above it (1). */
function crossing(rules, clause, account, haul, charges, above) {
  const hauls = byHaul(charges, account);
  const last = hauls[hauls.length - 1];
  if (clause.percent) {
    const met = crossingPercent(rules, clause, account, haul, hauls, above) ?? last;
    return lastOf(met.kinds);
  }
  let total = clause.before;
  for (const { kinds, n } of hauls) {
    if (total + n < clause.limit + above) {
      total += n;
      continue;
    }
    return inOrder(kinds).find((animals) => (total += animals.n) >= clause.limit + above);
  }
  return lastOf(last.kinds);
}

/** The animals that were called last. */
function lastOf(kinds) {
  const lastCall = ({ lots, call }) => (lots ? lots.reduce((most, lot) => Math.max(most, lot.called), 0) : call);
  const calls = kinds.map(lastCall);
  return inOrder([kinds[calls.indexOf(Math.max(...calls))]]).pop();
}

/**
 * Charges by haul, in the order of landing: [{haul, at, kinds, n}]. Where nobody noted an instant of the haul, each
 * lot by itself as it was called.
 */
function byHaul(charges, account) {
  const found = new Map();
  for (const { animals: kind } of charges) {
    const { haul } = kind;
    const landed = landingOf(account.haulOf(haul));
    for (const animals of landed ? [kind] : apart(kind)) {
      const at = instantOf(landed ?? animals.called);
      const key = `${haul}\t${at}`;
      if (!found.has(key)) found.set(key, { key, haul, at, kinds: [], n: 0 });
      found.get(key).kinds.push(animals);
      found.get(key).n += animals.n;
    }
  }
  return [...found.values()].sort((one, other) => one.at - other.at || byText(one.haul, other.haul));
}

/** A percentage is met by the haul after which it first was; its last line stands for it. */
function crossingPercent(rules, clause, account, haul, hauls, above) {
  const met = above ? ["exceeded"] : ["reached", "exceeded"];
  const sure = ({ meant }) => meant === CERTAINLY;
  const of = byHaul(rules.charges(clause, clause.of, account, haul).filter(sure), account);
  const order = [...new Map([...hauls, ...of].map((one) => [one.key, one])).values()]
    .sort((one, other) => one.at - other.at || byText(one.haul, other.haul));
  let [n, d] = [clause.before, clause.before_of ?? 0];
  for (const { key, haul: metBy } of order) {
    n += hauls.find((one) => one.key === key)?.n ?? 0;
    d += of.find((one) => one.key === key)?.n ?? 0;
    if (met.includes(percentStatus(clause, n, d))) return hauls.filter((one) => one.haul === metBy).pop();
  }
  return undefined;
}

function dutyOf(kit, account, clause, { kind, why, animals }) {
  const rule = clause[kind];
  const zone = kit.permits.find(({ permit }) => permit === clause.permit)?.zone ?? kit.zone;
  const event = rule.clock_from === "event" ? eventOf(clause, animals, account) : null;
  const since = event ? instantOf(event.at) : landedAt(animals, account);
  const by = rule.within_h === undefined || rule.within_h === null ? null : since + rule.within_h * 3600000;
  const days = rule.written_within_d ?? null;
  const started = isoLocal(since, zone);
  return {
    key: [clause.permit, clause.id, rule.notify ?? "", why, animals.haul].join("\t"),
    kind, taxon: animals.taxon, why, clause, to: rule.notify ?? null, haul: animals.haul, since: started,
    clockEndsAt: by === null ? null : isoLocal(by, zone),
    writtenBy: days === null ? null : dayAfter(started, days),
    stop: rule.stop, stopWords: WHAT_STOPS[rule.stop] ?? null, words: clause.text, entries: animals.entries,
  };
}

/** The later event by which these animals count, if it was not their fate at the beach. */
function eventOf(clause, animals, account) {
  const { basis } = clause;
  const atTheBeach = raises(animals.fate, animals.place, basis)
    || (basis === "lethal" && clause.retained_is_lethal && raises(animals.fate, animals.place, "retained"));
  if (basis === "sampled" || atTheBeach) return null;
  const killed = animals.later.find(({ kind }) => kind === "killed");
  if (killed && (basis === "killed" || basis === "lethal")) return killed;
  return deathIn(clause, animals, account.haulOf(animals.haul)) ?? null;
}
