/** One request to the station and its answer, within a time limit. */

import { Trouble } from "./answers.js";

/** Milliseconds after which an answer is no longer waited for. */
const GIVE_UP_MS = 45000;

/**
 * @template T
 * @param {string} url
 * @param {{token?: string|null, send?: object}} request `send` is posted as JSON
 * @param {function(Response): Promise<T>} read has the same time limit
 * @returns {Promise<T>}
 * @throws {Trouble} `contact` where no answer came; whatever `read` throws
 */
export async function ask(url, { token = null, send }, read) {
  const stop = new AbortController();
  const limit = setTimeout(() => stop.abort(), GIVE_UP_MS);
  const headers = token ? { Authorization: `Bearer ${token}` } : {};
  const options = { headers, signal: stop.signal, credentials: "omit", cache: "no-store", redirect: "error" };
  if (send) {
    headers["Content-Type"] = "application/json";
    Object.assign(options, { method: "POST", body: JSON.stringify(send) });
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
