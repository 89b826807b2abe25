/** Becoming one of the station's devices, and getting the kit. */

import { Trouble, json, refusal, troubleOf } from "./answers.js";
import { canonical } from "./canonical.js";
import { sha256hex } from "./sha256.js";
import { ask } from "./wire.js";

async function good(response) {
  if (response.ok) return json(response);
  if (response.status === 401 || response.status >= 500) throw troubleOf(response.status);
  throw new Trouble("refused", await refusal(response), true);
}

/**
 * Enrol this phone with the code the lead was shown. A phone that has a key says so and may get it again.
 * @param {import("./store.js").Store} store
 * @param {string} code
 * @param {{url?: string}} options
 * @returns {Promise<string>} its device key; `store.person` is null where the page has to ask who writes
 */
export async function enrolWith(store, code, { url = "enrol" } = {}) {
  const said = await ask(url, { send: { code: code.trim(), device: store.device } }, good);
  const { device, token, person = null } = said || {};
  if (typeof device !== "string" || typeof token !== "string") {
    throw new Trouble("answer", "Something answered that is not the station.", true);
  }
  await store.enrol({ device, token, person });
  return device;
}

/**
 * Get the newest kit and keep it.
 * @param {import("./store.js").Store} store enrolled
 * @param {{url?: string, outing?: string|null}} options without outing: the one the station holds to be next
 * @returns {Promise<object>} the kit of that outing as it is kept
 * @throws {Trouble} no contact, no kit, or one that is not what the station made
 */
export async function fetchKit(store, { url = "kit", outing = store.outing } = {}) {
  const where = outing ? `${url}?outing=${encodeURIComponent(outing)}` : url;
  const kit = await ask(where, { token: store.token }, good);
  if (!isWholeKit(kit)) throw new Trouble("answer", "The kit came damaged: fetch it again.", true);
  await store.keepKit(kit);
  return store.kit(kit.plan.outing);
}

/** Whether a kit is what was sealed: docs/reference/kit.md. */
export function isWholeKit(kit) {
  try {
    const { digest, ...rest } = kit;
    return rest.kit === 1 && typeof rest.plan.outing === "string" && sha256hex(canonical(rest)) === digest;
  } catch (error) {
    return false;
  }
}
