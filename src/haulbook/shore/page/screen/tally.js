/**
 * The outing as this phone knows it, and everything that is written into it. One of these is open at a time.
 *
 * What was pressed counts on the screen at once: `pending` holds lines on their way to the disk, and those that the
 * phone would not store, until their entries are there.
 */

import { extend, replay } from "../reckon/ledger.js";
import { duties, notices, stops } from "../reckon/duties.js";
import { leftFor, standings, withinOf } from "../reckon/left.js";
import { animalsInWords } from "../reckon/names.js";
import { openThings } from "../reckon/questions.js";
import { minutes } from "../reckon/bucket.js";
import { warnings } from "../reckon/company.js";
import { curve, nextTurn, windowOf } from "../reckon/tide.js";
import { isoLocal, localTime } from "../reckon/time.js";

const KEPT = /^(?:bucket|cooler) /;
const CHOICES = ["fate", "set", "landing", "keep", "instrument", "tank", "noticed", "tiles", "questions", "notices"];

export class Tally {
  /**
   * @param {Object} store opened by `openStore`
   * @param {function(): number} now ms since 1970
   */
  constructor(store, now = () => Date.now()) {
    Object.assign(this, { store, now, kit: null, spoken: null, state: replay([]), arriving: null });
    this.pending = new Map(); // id -> draft
    this.listeners = new Set();
    store.onChange((news) => this.heard(news));
  }

  /**
   * Open an outing with its kit. Everything is fetched first and put in place at once, so that nobody sees half of it.
   * @param {Object} kit
   * @param {function(): Object} compile makes the words that calls are understood by: not before the first call needs them
   * @returns {Promise<Object>} what was kept for the outing: choices, open questions and notices
   */
  async open(kit, compile) {
    const { outing } = kit.plan;
    this.arriving = [];
    if (this.store.outing !== outing) await this.store.use({ outing });
    const [entries, ...choices] = await Promise.all([
      this.store.entries(outing),
      ...CHOICES.map((key) => this.store.setting(`${outing} ${key}`)),
    ]);
    const kept = Object.fromEntries(CHOICES.map((key, i) => [key, choices[i]]));
    const state = replay([...entries, ...this.arriving]);
    const names = new Map(kit.taxa.map((taxon) => [taxon.key, taxon]));
    Object.assign(this, {
      kit,
      spoken: null,
      compile,
      names,
      state,
      arriving: null,
      fate: kept.fate ?? { to: "back" },
      set: kept.set ?? null,
      landing: kept.landing ?? null,
      tiles: kept.tiles ?? null,
      instrument: kept.instrument ?? "",
      tank: kept.tank ?? "",
      noticed: new Set(kept.noticed),
    });
    this.keep = kept.keep ?? this.buckets("keep")[0]?.place ?? null;
    for (const draft of this.store.unsaved) this.pending.set(draft.id, draft);
    return kept;
  }

  /** Keep a choice of the recorder for this outing. */
  async remember(key, value) {
    this[key] = value;
    await this.store.setting(`${this.outing} ${key}`, value instanceof Set ? [...value] : value);
    this.tell(key);
  }

  listen(listener) {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  tell(what) {
    for (const listener of this.listeners) listener(what);
  }

  heard({ what, entries, outing }) {
    if (what === "entries" && this.arriving)
      this.arriving.push(...entries.filter((entry) => entry.outing === this.store.outing));
    else if (what === "entries" && this.kit) this.take(entries);
    else if (what === "kit" && this.kit && outing === this.outing) this.tell("newer kit");
    else if (what !== "setting") this.tell(what);
  }

  take(entries) {
    const ours = entries.filter((entry) => entry.outing === this.outing);
    for (const { id } of entries) this.pending.delete(id);
    if (!ours.length) return;
    this.state = extend(this.state, ours);
    this.tell("state");
  }

  get outing() {
    return this.kit.plan.outing;
  }

  /** The words that calls are understood by. */
  get vocabulary() {
    this.spoken = this.spoken ?? this.compile();
    return this.spoken;
  }

  /** Clock time at the site: "05:42". */
  clock(ms) {
    return localTime(isoLocal(ms, this.kit.zone));
  }

  /** Now, as the book writes it. */
  instant() {
    return isoLocal(this.now(), this.kit.zone);
  }

  // Names and places

  taxon(key) {
    return this.names.get(key);
  }

  /** The name on the screen; a name as written where no taxon stands for it. */
  nameOf(key) {
    return key.startsWith("?") ? key.slice(1) : (this.names.get(key)?.names[0] ?? key);
  }

  /** Buckets and coolers, of the kit and of the book, with what is in them; those of one purpose where asked. */
  places() {
    const known = this.state.places.filter(({ place }) => KEPT.test(place));
    const planned = this.kit.places
      .filter(({ place }) => !known.some((one) => one.place === place))
      .map((one) => ({
        lots: [],
        n: 0,
        lid: false,
        leftAt: null,
        readings: [],
        flow: [],
        litres: one.litres,
        airPerH: one.air_per_h ?? null,
        place: one.place,
        purpose: one.purpose,
        outing: this.outing,
      }));
    return [...known, ...planned].map((one) => this.withPlan(one)).sort((a, b) => order(a.place, b.place));
  }

  withPlan(place) {
    const planned = this.kit.places.find((one) => one.place === place.place);
    if (!planned) return place;
    return {
      ...place,
      purpose: place.purpose ?? planned.purpose,
      litres: place.litres ?? planned.litres,
      airPerH: place.airPerH ?? planned.air_per_h ?? null,
    };
  }

  place(name) {
    if (name === "net") return this.state.place("net") ?? { place: "net", lots: [], n: 0 };
    return this.places().find(({ place }) => place === name) ?? { place: name, lots: [], n: 0, purpose: null };
  }

  buckets(purpose) {
    return this.places().filter((one) => one.purpose === purpose && one.place.startsWith("bucket "));
  }

  /** Whether going there is keeping: a bucket to keep, a cooler, a tank. */
  isKept(to) {
    return (
      /^(?:cooler|tank) /.test(to) || to === "killed-kept" || (/^bucket /.test(to) && this.place(to).purpose === "keep")
    );
  }

  /** Whether this phone says what may be kept. */
  get isKeeper() {
    return !this.kit.keep_device || this.kit.keep_device === this.store.device;
  }

  // Hauls

  /** Number of a haul's key. */
  number(haul) {
    return Number(haul.slice(haul.lastIndexOf("/") + 1));
  }

  get hauls() {
    return this.state.hauls;
  }

  /** The haul that is on: started and not ended; null between hauls. */
  get on() {
    return [...this.hauls].reverse().find((haul) => haul.startedAt && !haul.endedAt) ?? null;
  }

  get lastHaul() {
    return this.hauls[this.hauls.length - 1] ?? null;
  }

  get nextNumber() {
    return (this.lastHaul ? this.number(this.lastHaul.haul) : 0) + 1;
  }

  /** When a haul landed, also where how it went is not noted yet. */
  landedAt(haul) {
    return haul?.landedAt ?? (this.landing && haul && this.landing.haul === haul.haul ? this.landing.at : null);
  }

  get closed() {
    const last = this.state.standing.filter(({ kind }) => kind === "outing-closed").pop();
    return last ?? null;
  }

  // Writing

  /**
   * Write drafts. They count on the screen from now on, stored or not.
   * @param {Array<{kind: string, body: Object, at?: string, id?: string}>} drafts
   * @returns {Promise<Object[]|null>} entries; null where the phone would not store them (said loudly elsewhere)
   */
  async write(drafts) {
    const at = this.instant();
    const whole = drafts.map((draft) => ({ ...draft, id: draft.id ?? this.store.newId(), at: draft.at ?? at }));
    for (const draft of whole) this.pending.set(draft.id, draft);
    this.tell("pending");
    try {
      return await this.store.append(this.opening(whole));
    } catch (error) {
      if (error.name !== "NotStored") {
        for (const { id } of whole) this.pending.delete(id);
        this.tell("pending");
        throw error;
      }
      this.tell("problem");
      return null;
    }
  }

  /** The first line of an outing says what was planned. */
  opening(drafts) {
    const said =
      this.state.entries.some(({ kind }) => kind === "outing-opened") ||
      [...this.pending.values()].some(({ kind }) => kind === "outing-opened");
    if (said) return drafts;
    const { plan, plan_digest: digest, pack, permits, looked_for } = this.kit;
    const body = {
      plan,
      digest,
      pack: pack.key,
      version: pack.version,
      looked_for,
      permits: permits.map(({ permit, version }) => ({ permit, version })),
    };
    const draft = { id: this.store.newId(), kind: "outing-opened", body, at: drafts[0].at };
    this.pending.set(draft.id, draft);
    return [draft, ...drafts];
  }

  /** Lines on their way: [{taxon, stage, n, haul, ...}]. */
  pendingLines() {
    return [...this.pending.values()].flatMap(({ kind, body }) =>
      kind === "move" ? body.lines.filter(({ from }) => from === "sea") : [],
    );
  }

  /** Animals called from a haul, by taxon and stage: Map("taxon|stage" -> n), pending ones counted. */
  counts(haul) {
    const counts = new Map();
    const add = ({ taxon, stage, n }) => {
      const key = tileKey(taxon, stage);
      counts.set(key, (counts.get(key) ?? 0) + n);
    };
    const known = haul && this.hauls.find((one) => one.haul === haul);
    if (known) known.taxa.forEach(add);
    for (const line of this.pendingLines()) if (line.haul === haul) add(line);
    return counts;
  }

  // Reckoning

  standings(haul = this.on?.haul ?? this.lastHaul?.haul) {
    return standings(this.kit, this.state, haul);
  }

  left(line, basis = "retained") {
    return leftFor(this.kit, this.state, line, basis);
  }

  /** What has to be said because of a line that is not written yet. */
  notices(line) {
    return notices(this.kit, line, this.state);
  }

  duties() {
    return duties(this.kit, this.state);
  }

  stops() {
    return stops(this.kit, this.state, this.on?.haul ?? null);
  }

  /** What stands between the outing and its closing, and what may wait. */
  openThings() {
    return openThings(this.state, this.outing, { within: withinOf(this.kit), nameOf: (key) => this.nameOf(key) });
  }

  /** Minutes of oxygen until somebody has to act: {low, mid, high, words, refused?}; null: never. */
  minutes(place) {
    const clock = minutes(this.kit, place, null, this.now());
    return { ...clock.act, refused: clock.refused, words: clock.words };
  }

  warnings(place) {
    return warnings(this.kit, place);
  }

  turn(at = this.now()) {
    return nextTurn(this.kit, at);
  }

  get window() {
    if (this.windowFor !== this.kit) [this.windowFor, this.known] = [this.kit, windowOf(this.kit)];
    return this.known;
  }

  curve(from, to) {
    return curve(this.kit, from, to);
  }

  /** "4 rock gunnel", "1 winter flounder, young". */
  words(animals) {
    return animalsInWords(this.kit, animals);
  }
}

export const tileKey = (taxon, stage) => `${taxon}|${stage || ""}`;

function order(one, other) {
  const [a, b] = [one.startsWith("cooler"), other.startsWith("cooler")];
  return a - b || Number(one.split(" ")[1]) - Number(other.split(" ")[1]);
}
