/**
 * Bring entries to the station and get those of other devices: docs/reference/sync.md.
 * Nothing is dropped here. Whether there is a station is found out by asking it, never from navigator.onLine.
 *
 * @typedef {{sending: boolean, lastOk: number|null, unsent: number, oldestAt: string|null, rejected: number,
 *   serverTime: string|null, clockOffS: number|null, kitDigest: string|null, newKit: boolean,
 *   problem: {what: string, words: string, loud: boolean}|null}} SyncState
 *   unsent: entries only on this phone, the rejected among them; lastOk: ms since 1970; clockOffS: seconds by which
 *   this phone is ahead of the station
 */

import { Trouble, json, readAnswer, refusal, troubleOf } from "./answers.js";
import { isWhole } from "./entry.js";
import { instantHere } from "./instants.js";
import { ask } from "./wire.js";

const BATCH = 500;
const BATCH_BYTES = 250000;
const LEAST_BYTES = 16000;
const EVERY_MS = 30000;
const AFTER_APPEND_MS = 500;
const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 60000;
const WHOLE_REFUSED = [400, 413, 422];

/**
 * @param {import("./store.js").Store} store
 * @param {{url?: string, onState?: function(SyncState): void, everyMs?: number}} options
 * @returns {{now: function(): Promise<SyncState>, stop: function(): void, state: SyncState}}
 */
export function startSync(store, { url = "sync", onState = () => {}, everyMs = EVERY_MS } = {}) {
  const sync = new Sync(store, url, onState, everyMs);
  sync.start();
  return {
    now: () => sync.now(),
    stop: () => sync.stop(),
    get state() {
      return sync.state;
    },
  };
}

class Sync {
  constructor(store, url, onState, everyMs) {
    Object.assign(this, { store, url, onState, everyMs });
    /** @type {SyncState} */
    this.state = {
      sending: false, lastOk: store.lastOk, unsent: 0, oldestAt: null, rejected: 0, serverTime: null,
      clockOffS: null, kitDigest: null, newKit: false, problem: null,
    };
    this.most = BATCH;
    this.bytes = BATCH_BYTES;
    /** {entry, words}: the one entry with which the station refused a whole request. */
    this.suspect = null;
    this.sentAnew = false;
    /** The kits here, read once: a kit is large, and they are looked at after every line. */
    this.kits = null;
    this.failures = 0;
    this.running = null;
    this.stopped = false;
  }

  start() {
    this.unhear = this.store.onChange((news) => this.heard(news));
    this.wake = () => document.visibilityState === "visible" && this.after(0);
    window.addEventListener("online", this.wake);
    document.addEventListener("visibilitychange", this.wake);
    this.now();
  }

  stop() {
    this.stopped = true;
    clearTimeout(this.timer);
    window.removeEventListener("online", this.wake);
    document.removeEventListener("visibilitychange", this.wake);
    this.unhear();
  }

  heard({ what, written, elsewhere }) {
    if (what === "kit") this.kits = null;
    if (["entries", "outbox", "device", "kit"].includes(what)) this.count();
    if (what === "device" || (written && !elsewhere && !this.failures)) this.after(AFTER_APPEND_MS);
  }

  after(ms) {
    clearTimeout(this.timer);
    if (!this.stopped) this.timer = setTimeout(() => this.now(), ms);
  }

  /** Sync now, one at a time. */
  now() {
    if (!this.running) {
      this.running = this.once().then((state) => {
        this.running = null;
        const wait = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** (this.failures - 1));
        this.after(this.failures ? wait : this.everyMs);
        return state;
      });
    }
    return this.running;
  }

  async once() {
    try {
      await inOneTab(this.store.name, () => this.rounds());
    } catch (error) {
      this.failures += 1;
      if (error.what === "slow") this.bytes = Math.max(LEAST_BYTES, this.bytes / 2);
      const { what = "phone", loud = true } = error;
      const words = error instanceof Trouble ? error.message : `This phone could not sync: ${error.message}`;
      this.show({ sending: false, problem: { what, loud, words } });
    }
    await this.count();
    return this.state;
  }

  async rounds() {
    if (!this.store.token) throw new Trouble("enrol", "This phone is not enrolled: nothing is sent.", true);
    this.show({ sending: true });
    let more = true;
    while (more && !this.stopped) more = await this.round();
    this.failures = 0;
    this.sentAnew = false;
    this.show({ sending: false, problem: null });
  }

  /** One request; whether there is more to do. */
  async round() {
    const { device, token, cursor } = this.store;
    const entries = this.suspect ? [] : await this.store.batch(this.most, this.bytes);
    const asked = this.store.now();
    const send = { device, cursor, entries, sent_at: instantHere(asked) };
    const { answer, refused } = await ask(this.url, { token, send }, async (response) =>
      response.ok
        ? { answer: readAnswer(await json(response), entries) }
        : { refused: { status: response.status, words: await refusal(response) } },
    );
    if (refused) return this.turnedDown(refused, entries);
    const whole = answer.entries.filter(isWhole);
    await this.store.settle({ verdicts: this.verdicts(answer), entries: whole, cursor: answer.cursor });
    await this.learn(answer, (asked + this.store.now()) / 2);
    const damaged = answer.entries.length - whole.length;
    if (damaged) throw new Trouble("answer", `${damaged} entries of other devices came damaged.`, true);
    const stuck = answer.verdicts.length < entries.length || (answer.more && answer.cursor === cursor);
    if (stuck) throw new Trouble("answer", "The station's answer leaves something out; it is asked again.", true);
    return answer.more || this.state.unsent > this.state.rejected;
  }

  /** The verdicts of an answer; also that on an entry without which the station takes the request. */
  verdicts({ verdicts }) {
    const { suspect } = this;
    Object.assign(this, { suspect: null, most: BATCH, bytes: Math.min(BATCH_BYTES, this.bytes * 2) });
    return suspect ? [{ hash: suspect.entry.hash, answer: "rejected", why: suspect.words }] : verdicts;
  }

  /**
   * A request that was refused as a whole. The station should never refuse one for what a single entry says; where
   * it does, the batch is halved until that entry is found, and kept apart, so that it does not hold up the others.
   */
  async turnedDown({ status, words }, entries) {
    if (status === 409 && !this.sentAnew) {
      this.sentAnew = true;
      await this.store.sendEverything();
      return true;
    }
    if (!WHOLE_REFUSED.includes(status)) throw troubleOf(status);
    if (!entries.length) {
      Object.assign(this, { suspect: null, most: BATCH });
      throw new Trouble("refused", `The station would not take what this page sends: ${words}`, true);
    }
    if (entries.length === 1) this.suspect = { entry: entries[0], words };
    this.most = Math.ceil(entries.length / 2);
    return true;
  }

  async learn({ server_time: serverTime, kit_digest: kitDigest }, hereMs) {
    const clockOffS = Math.round((hereMs - Date.parse(serverTime)) / 1000);
    this.show({ serverTime, clockOffS, kitDigest });
    await this.count();
  }

  /** Count again what is only here. */
  async count() {
    try {
      const { n, oldestAt, rejected } = await this.store.unsent();
      this.kits = this.kits || (await this.store.kits());
      const { kitDigest } = this.state;
      const newKit = kitDigest !== null && !this.kits.some(({ digest }) => digest === kitDigest);
      this.show({ unsent: n, oldestAt, rejected, newKit, lastOk: this.store.lastOk });
    } catch (error) {
      // the store says loudly that it can't be read: `store.problem`
    }
  }

  show(news) {
    this.state = { ...this.state, ...news };
    if (!this.stopped) this.onState(this.state);
  }
}

/** Run in one tab at a time where the browser has locks; elsewhere two tabs send the same, which does no harm. */
async function inOneTab(name, run) {
  if (!navigator.locks) return run();
  return navigator.locks.request(`${name} sync`, { ifAvailable: true }, (lock) => (lock ? run() : null));
}
