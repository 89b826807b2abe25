/** The phone's own database: its shelves, and transactions that count as done only when they are on the disk. */

import { NotOpened } from "./trouble.js";

const VERSION = 2;
const OPENS_WITHIN_MS = 8000;
/** Names of the errors by which browsers say that a connection is gone. */
const DROPPED = ["InvalidStateError", "UnknownError"];

/**
 * entries   every known entry of every device, by hash: the hash covers the id
 * outbox    {device, seq, hash, made_at}: own entries that no station has confirmed, in the order to send
 * rejected  {hash, why, at}: own entries that the station would not take; kept and shown
 * kits      {outing, digest, made_at, kit}: the newest kit of each outing, its entries with the others
 * pictures  {id, sha256, bytes}: pictures that no station has yet, by the id of the line that names them
 * meta      device, token, person, outing, by, cursor, and what the screen wants kept, by name
 *
 * What each version adds to the one before; a phone that has an earlier one keeps what it has.
 */
const SHELVES = [buildBook, buildPictures];

function buildBook(db) {
  const entries = db.createObjectStore("entries", { keyPath: "hash" });
  entries.createIndex("id", "id");
  entries.createIndex("outing", "outing"); // entries without outing are in no index
  entries.createIndex("chain", ["device", "seq"]);
  db.createObjectStore("outbox", { keyPath: ["device", "seq", "hash"] });
  db.createObjectStore("rejected", { keyPath: "hash" });
  db.createObjectStore("kits", { keyPath: "outing" });
  db.createObjectStore("meta");
}

function buildPictures(db) {
  db.createObjectStore("pictures", { keyPath: "id" });
}

const ALL = ["entries", "outbox", "rejected", "kits", "pictures", "meta"];

/** A promise of what a request gives. */
export function asked(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/**
 * @param {string} name
 * @returns {Promise<IDBDatabase>}
 */
function openDatabase(name) {
  return new Promise((resolve, reject) => {
    const slow = setTimeout(() => reject(new Error("the database did not open")), OPENS_WITHIN_MS);
    const request = indexedDB.open(name, VERSION);
    request.onupgradeneeded = ({ oldVersion }) => SHELVES.slice(oldVersion).forEach((build) => build(request.result));
    request.onsuccess = () => {
      clearTimeout(slow);
      request.result.onversionchange = () => request.result.close();
      resolve(request.result);
    };
    request.onerror = () => {
      clearTimeout(slow);
      reject(request.error);
    };
  });
}

/**
 * Run one transaction over all shelves: all of it or nothing.
 * @param {IDBDatabase} db
 * @param {"readonly"|"readwrite"} mode
 * @param {function(IDBTransaction): Promise<any>} body
 * @returns {Promise<any>} what `body` gave, once the disk has it
 */
function work(db, mode, body) {
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(ALL, mode, { durability: "strict" });
    let result;
    let failure = null;
    transaction.oncomplete = () => resolve(result);
    transaction.onabort = () => reject(failure || transaction.error || new Error("the transaction was broken off"));
    body(transaction).then(
      (found) => {
        result = found;
      },
      (error) => {
        failure = error;
        reject(error);
        try {
          transaction.abort();
        } catch (over) {
          // it was broken off already
        }
      },
    );
  });
}

/** The one connection of a page; the browser may drop it, and then it is opened again. */
export class Connection {
  constructor(name) {
    this.name = name;
    this.opening = null;
  }

  /**
   * @param {"readonly"|"readwrite"} mode
   * @param {function(IDBTransaction): Promise<any>} body may await requests of the transaction and nothing else
   * @returns {Promise<any>} what `body` gave, once the disk has it
   */
  async run(mode, body) {
    try {
      return await work(await this.opened(), mode, body);
    } catch (error) {
      if (!DROPPED.includes(error.name)) throw error;
      this.opening = null;
      return work(await this.opened(), mode, body);
    }
  }

  opened() {
    if (!this.opening) {
      const opening = openDatabase(this.name).catch((error) => {
        throw new NotOpened(error);
      });
      const lost = () => {
        if (this.opening === opening) this.opening = null;
      };
      opening.then((db) => {
        db.onclose = lost;
      }, lost);
      this.opening = opening;
    }
    return this.opening;
  }

  close() {
    if (this.opening) this.opening.then((db) => db.close(), () => {});
    this.opening = null;
  }
}
