/**
 * Pictures of animals: kept with the line that names them, sent apart from lines and after them, and let go once the
 * station has them. What fails here holds up no line.
 *
 * @typedef {{draft: import("./store.js").Draft, bytes: Uint8Array}} Held
 */

import { Trouble, json, refusal, troubleOf } from "./answers.js";
import { inOneTab } from "./channel.js";
import { Rhythm } from "./rhythm.js";
import { sha256ofBytes } from "./sha256.js";
import * as shelves from "./shelves.js";
import { NotStored } from "./trouble.js";
import { ask } from "./wire.js";

const EVERY_MS = 30000;
const AFTER_LINES_MS = 500;
const LONGEST_WAIT_MS = 600000;
const ANSWERS = ["stored", "duplicate"];
/** The station refuses this one picture, for now; others may go. */
const THIS_ONE = [400, 409, 413];

export class Pictures {
  /**
   * @param {import("./store.js").Store} store
   * @param {{url?: string, onState?: function(): void, everyMs?: number}} options
   */
  constructor(store, { url = "picture", onState = () => {}, everyMs = EVERY_MS } = {}) {
    Object.assign(this, { store, url, onState });
    /** @type {Held[]} pictures that the phone would not store: in memory only, and no line names them yet */
    this.held = [];
    /** {what, words} while a picture could not be stored, else null. */
    this.problem = null;
    /** Why the last one was not sent, in words, else null. */
    this.unsent = null;
    this.rhythm = new Rhythm(() => this.once(), { everyMs, longestMs: LONGEST_WAIT_MS });
  }

  start() {
    this.unhear = this.store.onChange(({ what }) => {
      if (what === "outbox" || what === "device") this.rhythm.soon(AFTER_LINES_MS);
    });
    return this.rhythm.start();
  }

  stop() {
    this.rhythm.stop();
    this.unhear();
  }

  /** Store what is held, and send. */
  now() {
    return this.rhythm.now();
  }

  /**
   * Keep a picture and write the line that names it, in one transaction: neither is ever there without the other.
   * @param {string} of id of the entry that it shows an animal of
   * @param {Uint8Array} bytes a JPEG
   * @returns {Promise<boolean>} false where the phone would not store it: then it is in `held`
   */
  async keep(of, bytes) {
    const body = { of, sha256: sha256ofBytes(bytes), bytes: bytes.length };
    this.held.push({ draft: this.store.complete({ kind: "picture", body }), bytes });
    return this.retry();
  }

  /** Try again to store what is held, oldest first; whether nothing is left. */
  async retry() {
    const { store } = this;
    try {
      for (const one of [...this.held]) {
        const { id, body } = one.draft;
        await store.write([...store.unsaved, one.draft], [], [{ id, sha256: body.sha256, bytes: one.bytes }]);
        this.held = this.held.filter((other) => other !== one);
      }
      this.problem = null;
    } catch (error) {
      if (!(error instanceof NotStored)) throw error;
      this.problem = store.problem;
    }
    this.onState();
    return !this.held.length;
  }

  /** @returns {Promise<boolean>} whether nothing failed; pictures that wait for lines have not failed */
  async once() {
    try {
      if (this.held.length) await this.retry();
      this.unsent = null;
      await inOneTab(`${this.store.name} pictures`, () => this.sendAll());
    } catch (error) {
      this.unsent = error.message;
    }
    this.onState();
    return !this.unsent;
  }

  async sendAll() {
    const tried = new Set();
    while (this.store.token && !this.rhythm.stopped) {
      const picture = await this.store.run("readonly", (tx) => shelves.nextPicture(tx, tried));
      if (!picture) return;
      tried.add(picture.id);
      this.unsent = (await this.send(picture)) || this.unsent;
    }
  }

  /** Send one; null, or why the station would not take it. */
  async send({ id, sha256, bytes }) {
    const { token } = this.store;
    const refused = await ask(`${this.url}?sha256=${sha256}`, { token, picture: bytes }, async (response) => {
      if (THIS_ONE.includes(response.status)) return refusal(response);
      if (!response.ok) throw troubleOf(response.status);
      const said = await json(response);
      if (said && said.sha256 === sha256 && ANSWERS.includes(said.answer)) return null;
      throw new Trouble("answer", "Something answered that is not the station.", true);
    });
    if (refused) return refused;
    await this.store.run("readwrite", (tx) => shelves.letGoPicture(tx, id));
    this.store.tell({ what: "pictures" });
    return null;
  }
}
