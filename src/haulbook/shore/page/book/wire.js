/** One request to the station and its answer, within a time limit. */

import { Trouble } from "./answers.js";

/** Milliseconds after which an answer is no longer waited for. */
const GIVE_UP_MS = 45000;
/** The same for a picture: it is larger than any lines, and a signal on a beach may be thin. */
const GIVE_UP_PICTURE_MS = 180000;

/**
 * @template T
 * @param {string} url
 * @param {{token?: string|null, send?: object, picture?: Uint8Array}} request `send` is posted as JSON, `picture` as JPEG
 * @param {function(Response): Promise<T>} read has the same time limit
 * @returns {Promise<T>}
 * @throws {Trouble} `contact` where no answer came; whatever `read` throws
 */
export async function ask(url, { token = null, send, picture }, read) {
  const stop = new AbortController();
  const limit = setTimeout(() => stop.abort(), picture ? GIVE_UP_PICTURE_MS : GIVE_UP_MS);
  const headers = token ? { Authorization: `Bearer ${token}` } : {};
  const options = { headers, signal: stop.signal, credentials: "omit", cache: "no-store", redirect: "error" };
  if (send || picture) {
    headers["Content-Type"] = picture ? "image/jpeg" : "application/json";
    Object.assign(options, { method: "POST", body: picture || JSON.stringify(send) });
  }
  try {
    return await read(await fetch(url, options));
  } catch (error) {
    if (error.name === "AbortError") throw new Trouble("slow", "The station did not answer in time.", false);
    if (error.name === "TypeError") throw new Trouble("contact", "No contact with the station.", false);
    throw error;
  } finally {
    clearTimeout(limit);
  }
}
