/**
 * How surely a clause of the kit means an animal, and what the animals of the outing add to it. Equal to
 * `haulbook.shore.left`, which spells out the rules (A4.3 rules 1, 3, 7, 9, 10).
 */

import { raises } from "./fates.js";
import { landingOf } from "./hauls.js";
import { calledOf, entriesOf, pastOf } from "./past.js";
import { instantOf } from "./time.js";

/** How surely; the least of several answers is the answer. */
export const NOT = 0;
export const POSSIBLY = 1;
export const CERTAINLY = 2;
export const SURELY = ["not", "possibly", "certainly"];

const rules = new WeakMap();

/** The clauses of a kit, ready to count by. */
export function rulesOf(kit) {
  if (!rules.has(kit)) rules.set(kit, new Rules(kit));
  return rules.get(kit);
}

/** Clauses that hold together, and the names they are said in. */
export class Rules {
  constructor({ clauses, permits, taxa }) {
    this.clauses = clauses;
    this.known = new WeakMap();
    this.parents = new Map(taxa.map(({ key, parent }) => [key, parent ?? null]));
    this.chargeTo = new Map(permits.filter((one) => one.charge_to).map((one) => [one.permit, one.charge_to]));
    this.members = new Map(clauses.map((clause) => (
      [clause, { certain: new Set(clause.members), possible: new Set(clause.possible) }])));
    this.instead = new Map(clauses.map((clause) => [clause, clauses.filter((other) => (
      other.permit === clause.permit && (other.instead_of ?? []).includes(clause.id)))]));
  }

  /**
   * How surely a clause means these, after other clauses took out what is theirs; worked out once for the same
   * animals.
   */
  meant(clause, animals, haul) {
    let known = this.known.get(animals);
    if (!known || known.site !== haul.site || known.net !== haul.net) {
      known = { site: haul.site, net: haul.net, answers: new Map() };
      this.known.set(animals, known);
    }
    if (!known.answers.has(clause)) known.answers.set(clause, this.meantBy(clause, animals, haul));
    return known.answers.get(clause);
  }

  meantBy(clause, animals, haul) {
    let answer = this.scope(clause, animals, haul);
    if (answer === NOT) return NOT;
    for (const other of this.instead.get(clause)) {
      const theirs = this.scope(other, animals, haul);
      if (theirs === CERTAINLY) return NOT;
      if (theirs === POSSIBLY) answer = Math.min(answer, POSSIBLY);
    }
    return answer;
  }

  /** Whether the clause's permit charges these to another one, which surely means them. */
  chargedElsewhere(clause, animals, haul) {
    const other = this.chargeTo.get(clause.permit);
    return other !== undefined
      && this.clauses.some((one) => one.permit === other && this.scope(one, animals, haul) === CERTAINLY);
  }

  /** Animals of the outing that count in a clause: [{animals, n, meant}]; `haul` for a clause that counts by haul. */
  charges(clause, basis, account, haul) {
    const by = clause.period === "haul" ? haul : null;
    if (!account.charges.has(this)) account.charges.set(this, new Map());
    const charges = account.charges.get(this);
    const key = `${clause.permit}\t${clause.id}\t${basis}\t${by ?? ""}`;
    if (!charges.has(key)) charges.set(key, this.charged(clause, basis, account, by));
    return charges.get(key);
  }

  charged(clause, basis, account, haul) {
    const found = [];
    for (const animals of basis === "sampled" ? account.sampled : this.told(clause, account.animals)) {
      if (animals.unit !== clause.unit) continue;
      const cameIn = account.haulOf(animals.haul);
      const meant = Math.min(
        this.meant(clause, animals, cameIn),
        raised(clause, basis, animals, cameIn),
        inPeriod(clause, animals, haul, account.hauls.size),
      );
      if (meant === NOT || this.chargedElsewhere(clause, animals, cameIn)) continue;
      found.push({ animals, n: animals.n, meant });
    }
    return found;
  }

  /** Animals as a clause has to tell them apart: by what was said of each where it asks for a word. */
  told(clause, animals) {
    if (!clause.only?.words) return animals;
    return animals.flatMap((kind) => (this.named(clause, kind) === NOT ? [] : apart(kind)));
  }

  /** {n, possible}: what counts surely, and what may on top. */
  count(clause, basis, account, haul) {
    const sum = { n: 0, possible: 0 };
    for (const { n, meant } of this.charges(clause, basis, account, haul)) {
      if (meant === CERTAINLY) sum.n += n;
      else sum.possible += n;
    }
    return sum;
  }

  scope(clause, animals, haul) {
    if (animals.unit !== clause.unit) return NOT;
    const only = clause.only ?? {};
    const named = this.named(clause, animals);
    if (named === NOT) return NOT;
    return Math.min(
      named,
      listed(animals.stage, only.stage),
      worded(animals.said, only.words),
      listed(animals.origin, only.origin),
      listed(animals.sex, only.sex),
      sized(animals, only.size),
      listed(haul.site, only.area),
      listed(haul.net, only.gear),
      only.purpose ? POSSIBLY : CERTAINLY,
    );
  }

  named(clause, animals) {
    let { taxon } = animals;
    if (animals.doubt === "name" && this.parents.has(taxon)) taxon = this.parents.get(taxon);
    if (taxon === null || !this.parents.has(taxon)) return clause.unnamed === "certain" ? CERTAINLY : POSSIBLY;
    const { certain, possible } = this.members.get(clause);
    if (certain.has(taxon)) return CERTAINLY;
    return possible.has(taxon) ? POSSIBLY : NOT;
  }
}

const accounts = new WeakMap();

/** What clauses count in a state of the book: {animals, hauls, haulOf, lengths, sampled, charges}. */
export function accountOf(state) {
  if (!accounts.has(state)) accounts.set(state, accountFrom(state.wild, state.hauls, state.lengths));
  return accounts.get(state);
}

/** The same for animals that are not all in the book yet; `animals` as kinds.js puts them together. */
export function accountFrom(animals, hauls, lengths) {
  const byKey = new Map(hauls.map((haul) => [haul.haul, haul]));
  return {
    animals,
    hauls: byKey,
    haulOf: (key) => byKey.get(key) ?? { haul: key },
    lengths,
    charges: new Map(), // rules -> what they worked out of it
    sampled: sampledOf(lengths, byKey),
  };
}

/** Animals of a kind, those of each lot by themselves: [{...kind, n, said, called, call, entries}]. */
export function apart(kind) {
  if (!kind.lots) return [kind];
  return kind.lots.map((lot) => ({
    ...kind, n: lot.n, said: pastOf(lot).said, called: calledOf(lot), entries: entriesOf(lot), call: lot.called,
    lots: null,
  }));
}

/** How surely an animal raises a basis: by its fate at the beach, or by what came later. */
export function raised(clause, basis, animals, haul) {
  const { fate, place, later } = animals;
  if (basis === "sampled" || raises(fate, place, basis)) return CERTAINLY;
  if (basis === "lethal" && clause.retained_is_lethal && raises(fate, place, "retained")) return CERTAINLY;
  if ((basis === "killed" || basis === "lethal") && later.some(({ kind }) => kind === "killed")) return CERTAINLY;
  if (basis !== "died" && basis !== "lethal") return NOT;
  if (fate === "fate_unknown") return POSSIBLY;
  const event = deathIn(clause, animals, haul);
  if (!event) return NOT;
  return event.kind === "died" ? CERTAINLY : POSSIBLY;
}

/** The first later event that counts as a death in a clause: died or lost within its hours after the landing. */
export function deathIn(clause, animals, haul) {
  if (!animals.later.length) return undefined;
  const landed = instantOf(landingOf(haul) ?? animals.called ?? calledOf(animals.lots[0]));
  return animals.later.find(({ kind, at }) => (kind === "died" || kind === "lost")
    && clause.window_h > 0 && instantOf(at) - landed <= clause.window_h * 3600000);
}

function inPeriod(clause, animals, haul, hauls) {
  if (clause.period !== "haul") return CERTAINLY;
  if (!haul) return NOT;
  if (animals.haul_assumed && hauls > 1) return POSSIBLY;
  return animals.haul === haul ? CERTAINLY : NOT;
}

/** Animals of which tissue was taken, as the lengths say, whatever their fate. */
function sampledOf(lengths, hauls) {
  return lengths.filter(({ body }) => body.tissue && body.mm.length && landingOf(hauls.get(body.haul)))
    .map(({ id, body }, call) => ({
      call, haul: body.haul, taxon: body.taxon, n: body.mm.length, unit: "individual", stage: body.stage ?? null,
      sex: body.sex ?? null, fate: "unaccounted", place: "net", later: [], called: landingOf(hauls.get(body.haul)),
      entries: [id],
    }));
}

function listed(value, wanted) {
  if (!wanted?.length || wanted.includes(value)) return CERTAINLY;
  return value === null || value === undefined ? POSSIBLY : NOT;
}

function worded(said, words) {
  if (!words?.length) return CERTAINLY;
  return words.some((word) => hears(said ?? "", word)) ? CERTAINLY : POSSIBLY;
}

const LETTER = /[\p{L}\p{N}_]/u;

/** Whether a word, or the word and an s, stands in what was said, not as part of a longer one. */
function hears(said, word) {
  const [text, wanted] = [said.toLowerCase(), word.toLowerCase()];
  const edge = (at) => LETTER.test(text[at - 1] ?? "") !== LETTER.test(text[at] ?? "");
  for (let at = text.indexOf(wanted); at >= 0; at = text.indexOf(wanted, at + 1)) {
    const end = at + wanted.length;
    if (edge(at) && (edge(end) || (text[end] === "s" && edge(end + 1)))) return true;
  }
  return false;
}

function sized({ length_mm: mm, length_type: type }, size) {
  if (!size) return CERTAINLY;
  if (mm === null || mm === undefined || (size.type && type !== size.type)) return POSSIBLY;
  const longEnough = (size.min_mm ?? null) === null || size.min_mm <= mm;
  const shortEnough = (size.max_mm ?? null) === null || mm < size.max_mm;
  return longEnough && shortEnough ? CERTAINLY : NOT;
}
