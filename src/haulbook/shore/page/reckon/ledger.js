/**
 * What the book says: replay(entries) lets everything that stands happen again; extend(state, entries) goes on from
 * there. Both give the same state, whatever the order in which entries come in. Equal to `haulbook.custody`
 * (ledger, replay).
 */

import { notFound, outOfSea, outside } from "./balance.js";
import { isInside } from "./fates.js";
import { happenAll } from "./happen.js";
import { haulsOf } from "./hauls.js";
import { apartOf, asCalled, inBookOrder, individuals, kindsOf } from "./kinds.js";
import { entriesOf } from "./past.js";
import { placesOf } from "./places.js";
import { saysOf } from "./says.js";
import { placeOf, whatOf } from "./sides.js";
import { identityOf, inTime, struckBy } from "./standing.js";
import { strikeProblems, strikeWords } from "./strikes.js";

/**
 * The book of an outing as this device knows it.
 * @param {Array<object>} entries of the book, in any order; repeated ones count once
 * @returns {State}
 */
export function replay(entries) {
  const known = new Map();
  for (const entry of entries) if (!known.has(identityOf(entry))) known.set(identityOf(entry), entry);
  return began([...known.values()].sort(inTime), known);
}

/**
 * The state with more entries. The state handed in is used up: go on with the one that is returned.
 * @param {State} state
 * @param {Array<object>} entries
 * @returns {State}
 */
export function extend(state, entries) {
  const more = [];
  for (const entry of entries) {
    if (state.known.has(identityOf(entry))) continue;
    state.known.set(identityOf(entry), entry);
    more.push(entry);
  }
  if (!more.length) return state;
  more.sort(inTime);
  const last = state.entries[state.entries.length - 1];
  const goesOn = (!last || inTime(last, more[0]) < 0)
    && more.every(({ kind, id }) => kind !== "strike" && kind !== "outing-opened" && !state.strikes.has(id));
  if (!goesOn) return began([...state.entries, ...more].sort(inTime), state.known);
  for (const entry of more) {
    state.happened.happen(entry);
    state.entries.push(entry);
    state.standing.push(entry);
  }
  return new State(state);
}

function began(entries, known) {
  const strikes = struckBy(entries);
  const standing = entries.filter((entry) => !strikes.has(entry.id));
  return new State({ entries, known, strikes, standing, happened: happenAll(standing) });
}

/**
 * Readings of the book, each worked out when it is first asked for. Counts are whole animals; n of a haul, a place
 * or the balance counts individuals only, since egg masses, colonies, blades and grams are no animals. Times are as
 * written.
 */
class State {
  constructor({ entries, known, strikes, standing, happened }) {
    Object.assign(this, { entries, known, strikes, standing, happened });
    this.worked = new Map();
  }

  once(name, work) {
    if (!this.worked.has(name)) this.worked.set(name, work());
    return this.worked.get(name);
  }

  /** Ids of struck entries. */
  get struck() {
    return this.once("struck", () => new Set(this.strikes.keys()));
  }

  /** All animals, alike ones together, see kinds.js: [{haul, taxon, n, stage, unit, fate, place, ...}]. */
  get kinds() {
    return this.once("kinds", () => kindsOf(this.happened));
  }

  /** Those that came out of a haul. */
  get wild() {
    return this.once("wild", () => this.kinds.filter(({ haul }) => haul.includes("/")));
  }

  /** The same, each lot by itself with its entries, in the order in which the station lists them. */
  get animals() {
    return this.lotsOf(() => true);
  }

  /** Those of some kinds, as `animals`. */
  lotsOf(wanted) {
    return inBookOrder(apartOf(this.wild.filter(wanted), this.happened));
  }

  /** Seen, not counted: [{haul, taxon}], each once. */
  get present() {
    return this.once("present", () => saidOnce(this.standing, "present", (body) => [body.taxon]));
  }

  /** Searched and none: [{haul, taxon}], each once, whether or not the haul yielded one after all. */
  get searched() {
    return this.once("searched", () => saidOnce(this.standing, "searched-and-none", (body) => body.taxa));
  }

  /** Entries of lengths taken. */
  get lengths() {
    return this.once("lengths", () => this.standing.filter(({ kind }) => kind === "lengths"));
  }

  /**
   * Hauls in order: [{haul, startedAt, landedAt, endedAt, condition, n, taxa: [{taxon, stage, unit, n}],
   * ...hauls.js}].
   */
  get hauls() {
    return this.once("hauls", () => {
      const mentioned = [...this.wild, ...this.present, ...this.searched].map(({ haul }) => haul);
      return haulsOf(this.standing, mentioned).map((haul) => {
        const taxa = asCalled(this.wild.filter((kind) => kind.haul === haul.haul));
        return {
          ...haul, startedAt: haul.started ?? null, landedAt: haul.landed ?? null, endedAt: haul.ended ?? null,
          condition: haul.condition ?? null, n: individuals(taxa), taxa,
        };
      });
    });
  }

  /** The facts of a haul; undefined where nobody told of it. */
  haul(key) {
    return this.hauls.find(({ haul }) => haul === key);
  }

  /** Inside places with what is in them: net, buckets, coolers; see places.js. */
  get places() {
    return this.once("places", () => placesOf(this.happened, this.kinds));
  }

  /** One of the places by name, as "bucket 2"; undefined where nothing was said of it. */
  place(name) {
    return this.places.find(({ place }) => place === name);
  }

  /** Individuals at each place outside: {back: n, ...}. */
  get outside() {
    return this.once("outside", () => outside(this.wild, this.happened));
  }

  /** Individuals that came out of the sea. */
  get outOfSea() {
    return this.once("outOfSea", () => outOfSea(this.happened));
  }

  /**
   * What the difference is made of: [{place, taxon, stage, n, entry}], n above 0 not found, below 0 never arrived.
   */
  get notFound() {
    return this.once("notFound", () => notFound(this));
  }

  /** Individuals whose whereabouts are known. */
  get accounted() {
    return this.outOfSea - this.difference;
  }

  /** Out of the sea less accounted for; 0 when everything balances. */
  get difference() {
    return this.notFound.reduce((sum, { n }) => sum + n, 0);
  }

  /**
   * Every entry in order of time with what it says: [{entry, kind, at, struckBy, says: [...], text}], see says.js.
   */
  get calls() {
    return this.once("calls", () => this.entries.map((entry) => ({
      entry, kind: entry.kind, at: entry.at, struckBy: this.strikes.get(entry.id) ?? null,
      says: saysOf(entry), text: entry.body.text ?? null,
    })));
  }

  /** Names that no taxon stands for yet: [{name, n, hauls, entries}]. */
  get openNames() {
    return this.once("openNames", () => openNames(this.wild));
  }

  /** What stands against striking these entries, see strikes.js. */
  strikeProblems(ids) {
    return strikeProblems(this, ids);
  }

  /**
   * Why these entries can't be struck, in words to show; null where they can. `nameOf` says a taxon's key in words.
   */
  refuseStrike(ids, nameOf) {
    const problems = strikeProblems(this, ids);
    return problems.length ? problems.map((one) => strikeWords(one, nameOf)).join(" ") : null;
  }

  /** Ids of the entries that would have to be struck too. */
  inTheWay(ids) {
    const entries = strikeProblems(this, ids).flatMap((one) => one.entries ?? []);
    return [...new Set(entries.map(({ id }) => id))];
  }

  /** Whether a line takes animals from an inside place where this device has not seen as many arrive. */
  notSeenHere(line, outing = null) {
    if (!isInside(line.from)) return false;
    return this.happened.count(placeOf({ outing }, line.haul, line.from), whatOf(line)) < line.n;
  }
}

function openNames(kinds) {
  const names = new Map();
  for (const { taxon, n, haul, lots } of kinds) {
    if (!taxon.startsWith("?")) continue;
    if (!names.has(taxon)) names.set(taxon, { name: taxon, n: 0, hauls: new Set(), entries: new Set() });
    const open = names.get(taxon);
    open.n += n;
    open.hauls.add(haul);
    for (const id of lots.flatMap(entriesOf)) open.entries.add(id);
  }
  return [...names.values()].map((open) => ({ ...open, hauls: [...open.hauls], entries: [...open.entries] }));
}

function saidOnce(standing, kind, taxaOf) {
  const found = new Map();
  for (const { kind: said, body } of standing) {
    if (said !== kind) continue;
    for (const taxon of taxaOf(body)) found.set(`${body.haul}\t${taxon}`, { haul: body.haul, taxon });
  }
  return [...found.values()];
}
