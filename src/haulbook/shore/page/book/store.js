/**
 * What this phone knows, and what only it knows. Nothing here is ever deleted but the note that an entry waits to
 * be sent.
 *
 * @typedef {import("./entry.js").Entry} Entry
 * @typedef {{kind: string, body: object, at?: string, id?: string, outing?: string|null, by?: string,
 *   madeAt?: string}} Draft
 */

import { Aside } from "./aside.js";
import { Channel } from "./channel.js";
import { Refused } from "./canonical.js";
import { Connection } from "./database.js";
import { inBookOrder, makeEntry } from "./entry.js";
import { uuid7 } from "./ids.js";
import { instantHere } from "./instants.js";
import * as shelves from "./shelves.js";
import { NotEnrolled, NotStored, backWords, problemOf } from "./trouble.js";

export { NotStored, Refused };

const SLOW_MS = 6000;
const CLOCK_MS = 120000;
const WHO = ["device", "token", "person", "cursor", "lastOk"];
/** The longest link an entry can get: what fits with it fits in any chain. */
const LONGEST = { device: "d".repeat(64), seq: Number.MAX_SAFE_INTEGER, prev: "0".repeat(64) };

/**
 * @param {string} name of the database
 * @param {{now?: function(): number}} options `now` gives milliseconds since 1970
 * @returns {Promise<Store>} also where the phone refuses to store anything: see `problem`
 */
export async function openStore(name = "haulbook", { now = () => Date.now() } = {}) {
  const store = new Store(name, now);
  await store.refresh([...WHO, "outing", "by"]);
  await store.retry();
  return store;
}

export class Store {
  constructor(name, now) {
    this.name = name;
    this.now = now;
    /** Key of this phone, as d1; null until it is enrolled, and after its storage was cleared. */
    this.device = null;
    this.token = null;
    this.person = null;
    this.outing = null;
    this.by = null;
    this.cursor = null;
    this.lastOk = null;
    /** {what: open|quota|write|slow|device, words} while something could not be stored, else null. */
    this.problem = null;
    /** {backMs, words} when the clock of this phone went back between two lines, else null. */
    this.clock = null;
    this.connection = new Connection(name);
    this.listeners = new Set();
    this.aside = new Aside(name, (draft) => this.complete(draft));
    this.channel = new Channel(name, (news) => this.heard(news));
  }

  /** Drafts that are not stored, oldest first: in memory, and aside where the browser lets us. */
  get unsaved() {
    return this.aside.drafts;
  }

  /** A new id, for drafts that have to name each other: {id: store.newId(), kind, body}. */
  newId() {
    return uuid7(this.now());
  }

  /**
   * Take on a device key. What was written before stays, under the key it was written with.
   * @param {{device: string, token: string, person: string|null}} said by the station
   */
  async enrol({ device, token, person }) {
    try {
      await this.run("readwrite", (tx) => shelves.enrol(tx, { device, token, person }));
    } catch (error) {
      this.say(problemOf(error, this.unsaved.length));
      throw new NotStored(this.problem, []);
    }
    await this.refresh();
    this.tell({ what: "device" });
    await this.retry();
  }

  /**
   * Say for which outing and by whom the next lines are.
   * @param {{outing?: string|null, by?: string}} said
   */
  async use(said) {
    for (const key of ["outing", "by"]) if (said[key] !== undefined) this[key] = said[key];
    const { outing, by } = this;
    try {
      await this.run("readwrite", (tx) => shelves.note(tx, { outing, by }));
      this.tell({ what: "use" });
    } catch (error) {
      this.say(problemOf(error, this.unsaved.length)); // it holds for as long as the page is open
    }
  }

  /**
   * Write lines: numbered, linked, hashed and on the disk, all of them or none.
   * @param {Draft[]} drafts `at` is now where it is left out
   * @returns {Promise<Entry[]>}
   * @throws {Refused} a draft that is no well-formed line: nothing is kept of it
   * @throws {NotStored} the phone would not store: the lines are in `unsaved` and go first next time
   */
  async append(drafts) {
    const fresh = drafts.map((draft) => this.complete(draft));
    const ids = new Set(fresh.map((draft) => draft.id));
    const entries = await this.write([...this.unsaved.filter((draft) => !ids.has(draft.id)), ...fresh], fresh);
    return entries.filter((entry) => ids.has(entry.id));
  }

  /** Try again to write what is unsaved; true when nothing is left. */
  async retry() {
    try {
      if (this.unsaved.length) await this.write([...this.unsaved], []);
    } catch (error) {
      if (!(error instanceof NotStored)) throw error;
    }
    return this.unsaved.length === 0;
  }

  /** Let go of unsaved lines that somebody takes back into their own hands; returns them. */
  letGo(ids) {
    const gone = this.unsaved.filter((draft) => ids.includes(draft.id));
    this.settled(ids);
    this.channel.send({ what: "unsaved", ids });
    return gone;
  }

  /**
   * Every known entry, own and others', in book order.
   * @param {string|null} [outing] null: those without outing; left out: all
   * @returns {Promise<Entry[]>}
   */
  async entries(outing) {
    const found = await this.run("readonly", (tx) => shelves.entriesOf(tx, outing));
    return found.sort(inBookOrder);
  }

  /**
   * What is only on this phone: waiting to be sent, or rejected by the station.
   * @returns {Promise<{n: number, oldestAt: string|null, rejected: number, pictures: number}>} `n` counts both
   */
  unsent() {
    return this.run("readonly", shelves.unsent);
  }

  /** @returns {Promise<{entry: Entry, why: string, at: string}[]>} what the station would not take */
  rejected() {
    return this.run("readonly", shelves.rejected);
  }

  /** Send again what was rejected, as after the station was mended. */
  sendAgain() {
    return this.run("readwrite", shelves.sendAgain).then(() => this.tell({ what: "outbox" }));
  }

  /** Send again everything that was written here: the station lost what it had. */
  async sendEverything() {
    await this.run("readwrite", shelves.sendEverything);
    this.cursor = null;
    this.tell({ what: "outbox" });
  }

  /** The next own entries to send, oldest first. */
  batch(most, bytes) {
    return this.run("readonly", (tx) => shelves.batch(tx, most, bytes));
  }

  /**
   * Note what the station answered, all of it or nothing.
   * @param {{verdicts: {hash: string, answer: string, why: string|null}[], entries: Entry[], cursor: string}} said
   */
  async settle({ verdicts, entries, cursor }) {
    const at = this.now();
    const fresh = await this.run("readwrite", async (tx) => {
      await shelves.settle(tx, verdicts, instantHere(at));
      await shelves.note(tx, { cursor, lastOk: at });
      return shelves.takeIn(tx, entries, false);
    });
    Object.assign(this, { cursor, lastOk: at });
    if (verdicts.length) this.tell({ what: "outbox" });
    if (fresh.length) this.tell({ what: "entries", entries: fresh });
  }

  /**
   * Bring in what `readCopy` found in a file: entries as they are (own ones wait to be sent; another device's can
   * only be handed in by itself or as a file), and lines that were never stored as new lines of this phone.
   * @param {{entries: Entry[], drafts: Draft[]}} copy
   * @returns {Promise<{fresh: number, others: number, drafts: number}>}
   */
  async bringIn({ entries, drafts }) {
    const fresh = await this.run("readwrite", (tx) => shelves.takeIn(tx, entries, true));
    if (fresh.length) this.tell({ what: "entries", entries: fresh });
    if (drafts.length) await this.append(drafts);
    const others = fresh.filter((entry) => entry.device !== this.device).length;
    return { fresh: fresh.length, others, drafts: drafts.length };
  }

  /** The kit of an outing with all entries left to `entries`, or null. */
  kit(outing = this.outing) {
    return this.run("readonly", (tx) => shelves.kit(tx, outing));
  }

  /** @returns {Promise<{outing: string, site: string, made_at: string, digest: string}[]>} */
  kits() {
    return this.run("readonly", shelves.kits);
  }

  /**
   * Keep a kit. A newer one replaces all but entries; an older one only brings its entries.
   * @returns {Promise<boolean>} whether it is now the kit of its outing
   */
  async keepKit(kit) {
    const { kept, fresh } = await this.run("readwrite", (tx) => shelves.keepKit(tx, kit));
    if (kept) this.tell({ what: "kit", outing: kit.plan.outing });
    if (fresh.length) this.tell({ what: "entries", entries: fresh });
    return kept;
  }

  /** What the screen wants kept by name; with a value, keeps it. */
  async setting(key, value) {
    if (value === undefined) return this.run("readonly", (tx) => shelves.setting(tx, key));
    await this.run("readwrite", (tx) => shelves.note(tx, { [`setting ${key}`]: value }));
    this.tell({ what: "setting", key });
    return value;
  }

  /** Ask the browser not to clear this page's storage. `false` is a normal answer: then send or save a copy. */
  async persist() {
    const storage = navigator.storage;
    if (!storage || !storage.persist) return { asked: false, granted: false };
    return { asked: true, granted: await storage.persist().catch(() => false) };
  }

  /**
   * Hear of changes: {what: entries|outbox|pictures|kit|device|use|setting|problem|clock|unsaved, ...}; `elsewhere`
   * in another tab. What `entries` brings is new here, and `written` where it was written on this phone.
   * @returns {function(): void} stops it
   */
  onChange(listener) {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  /** Read again who this phone is: another tab may have changed it, or the browser cleared it. */
  async refresh(names = WHO) {
    const before = this.device;
    try {
      Object.assign(this, await this.run("readonly", (tx) => shelves.noted(tx, names)));
      this.by = this.by || this.person;
      if (before && !this.device) this.say(problemOf(new NotEnrolled(), this.unsaved.length));
      else if (!this.unsaved.length) this.say(null);
    } catch (error) {
      this.say(problemOf(error));
    }
  }

  close() {
    this.channel.close();
    this.connection.close();
  }

  run(mode, body) {
    return this.connection.run(mode, body);
  }

  /** A draft with all it needs, looked at as if it were a line already. */
  complete({ kind, body, at, id, outing = this.outing, by = this.by, madeAt }) {
    const now = this.now();
    const link = { ...LONGEST, id: id || uuid7(now), madeAt: madeAt || instantHere(now) };
    const entry = makeEntry({ kind, body, at: at || instantHere(now), by, outing }, link);
    return { id: entry.id, kind, body: entry.body, at: entry.at, by, outing: entry.outing, madeAt: entry.made_at };
  }

  async write(drafts, fresh, pictures = []) {
    const slow = setTimeout(() => {
      this.aside.hold(fresh);
      this.say(problemOf("slow", this.unsaved.length));
    }, SLOW_MS);
    try {
      const { entries, written, backMs } = await this.run("readwrite", (tx) => shelves.write(tx, drafts, pictures));
      this.settled(drafts.map((draft) => draft.id));
      this.watchClock(backMs);
      if (written.length) this.tell({ what: "entries", entries: written, written: true });
      return entries;
    } catch (error) {
      if (error instanceof Refused) throw error;
      this.aside.hold(fresh);
      if (error instanceof NotEnrolled) this.device = null;
      const problem = problemOf(error, this.unsaved.length);
      this.say(problem);
      throw new NotStored(problem, fresh);
    } finally {
      clearTimeout(slow);
    }
  }

  /** These lines are stored, or taken back: nothing is held of them any more. */
  settled(ids) {
    this.aside.drop(ids);
    if (!this.unsaved.length) this.say(null);
  }

  /** What was said of the clock stays until the page is opened anew: the lines stand as they do. */
  watchClock(backMs) {
    if (backMs <= CLOCK_MS) return;
    this.clock = { backMs, words: backWords(backMs) };
    this.announce({ what: "clock" });
  }

  say(problem) {
    if (!problem && !this.problem) return;
    this.problem = problem;
    this.announce({ what: "problem" });
  }

  tell(news) {
    this.channel.send(news);
    this.announce(news);
  }

  async heard(news) {
    if (news.what === "device" || news.what === "outbox") await this.refresh();
    if (news.written) this.settled(news.entries.map((entry) => entry.id));
    if (news.what === "unsaved") this.settled(news.ids);
    if (news.what === "device") await this.retry();
    this.announce({ ...news, elsewhere: true });
  }

  /** A listener that fails must not make a line look as if it was not stored. */
  announce(news) {
    for (const listener of this.listeners) {
      try {
        listener(news);
      } catch (error) {
        setTimeout(() => {
          throw error;
        });
      }
    }
  }
}
