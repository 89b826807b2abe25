/**
 * Bring entries to the station and get those of other devices: docs/reference/sync.md.
 * Nothing is dropped here. Whether there is a station is found out by asking it, never from navigator.onLine.
 *
 * @typedef {{sending: boolean, lastOk: number|null, unsent: number, oldestAt: string|null, rejected: number,
 *   pictures: number, serverTime: string|null, clockOffS: number|null, kitDigest: string|null, newKit: boolean,
 *   problem: {what: string, words: string, loud: boolean}|null}} SyncState
 *   unsent: entries only on this phone, the rejected among them; pictures: those only on this phone; lastOk: ms since
 *   1970; clockOffS: seconds by which this phone is ahead of the station
 */

import { Trouble, json, readAnswer, refusal, troubleOf } from "./answers.js";
import { inOneTab } from "./channel.js";
import { isWhole } from "./entry.js";
import { instantHere } from "./instants.js";
import { Rhythm } from "./rhythm.js";
import { ask } from "./wire.js";

const BATCH = 500;
const BATCH_BYTES = 250000;
const LEAST_BYTES = 16000;
const EVERY_MS = 30000;
const AFTER_APPEND_MS = 500;
const LONGEST_WAIT_MS = 60000;
const WHOLE_REFUSED = [400, 413, 422];

/**
 * @param {import("./store.js").Store} store
 * @param {{url?: string, onState?: function(SyncState): void, everyMs?: number}} options
 * @returns {{now: function(): Promise<SyncState>, stop: function(): void, state: SyncState}}
 */
export function startSync(store, { url = "sync", onState = () => {}, everyMs = EVERY_MS } = {}) {
  const sync = new Sync(store, url, onState, everyMs);
  sync.rhythm.start();
  return {
    now: () => sync.rhythm.now().then(() => sync.state),
    stop: () => sync.stop(),
    get state() {
      return sync.state;
    },
  };
}

class Sync {
  constructor(store, url, onState, everyMs) {
    Object.assign(this, { store, url, onState });
    this.rhythm = new Rhythm(() => this.once(), { everyMs, longestMs: LONGEST_WAIT_MS });
    this.unhear = store.onChange((news) => this.heard(news));
    /** @type {SyncState} */
    this.state = {
      sending: false, lastOk: store.lastOk, unsent: 0, oldestAt: null, rejected: 0, pictures: 0,
      serverTime: null, clockOffS: null, kitDigest: null, newKit: false, problem: null,
    };
    this.most = BATCH;
    this.bytes = BATCH_BYTES;
    /** {entry, words}: the one entry with which the station refused a whole request. */
    this.suspect = null;
    this.sentAnew = false;
    /** The kits here, read once: a kit is large, and they are looked at after every line. */
    this.kits = null;
  }

  get stopped() {
    return this.rhythm.stopped;
  }

  stop() {
    this.rhythm.stop();
    this.unhear();
  }

  heard({ what, written, elsewhere }) {
    if (what === "kit") this.kits = null;
    if (["entries", "outbox", "pictures", "device", "kit"].includes(what)) this.count();
    if (what === "device") this.rhythm.after(AFTER_APPEND_MS);
    else if (written && !elsewhere) this.rhythm.soon(AFTER_APPEND_MS);
  }

  /** @returns {Promise<boolean>} whether the station answered for everything */
  async once() {
    let done = true;
    try {
      await inOneTab(`${this.store.name} sync`, () => this.rounds());
    } catch (error) {
      done = false;
      if (error.what === "slow") this.bytes = Math.max(LEAST_BYTES, this.bytes / 2);
      const { what = "phone", loud = true } = error;
      const words = error instanceof Trouble ? error.message : `This phone could not sync: ${error.message}`;
      this.show({ sending: false, problem: { what, loud, words } });
    }
    await this.count();
    return done;
  }

  async rounds() {
    if (!this.store.token) throw new Trouble("enrol", "This phone is not enrolled: nothing is sent.", true);
    this.show({ sending: true });
    let more = true;
    while (more && !this.stopped) more = await this.round();
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
      const { n, oldestAt, rejected, pictures } = await this.store.unsent();
      this.kits = this.kits || (await this.store.kits());
      const { kitDigest } = this.state;
      const newKit = kitDigest !== null && !this.kits.some(({ digest }) => digest === kitDigest);
      this.show({ unsent: n, oldestAt, rejected, pictures, newKit, lastOk: this.store.lastOk });
    } catch (error) {
      // the store says loudly that it can't be read: `store.problem`
    }
  }

  show(news) {
    this.state = { ...this.state, ...news };
    if (!this.stopped) this.onState(this.state);
  }
}
