/**
 * Names of entries that sort by the time they were made.
 * Source: RFC 9562, section 5.7 (version 7) and 6.2, method 2 (within one millisecond the chance part counts up).
 */

const CHANCE = 10;
let lastMs = -1;
let lastChance = new Uint8Array(CHANCE);

const fromDevice = (bytes) => crypto.getRandomValues(bytes);

/** Version and variant take the first 4 bits of byte 0 and the first 2 of byte 2: 74 bits are left. */
function countedUp(chance) {
  const next = chance.slice();
  for (let n = CHANCE - 1; n >= 0; n -= 1) {
    const most = n === 0 ? 0x0f : n === 2 ? 0x3f : 0xff;
    if ((next[n] & most) < most) {
      next[n] += 1;
      return next;
    }
    next[n] = 0;
  }
  return next;
}

/**
 * @param {number} nowMs milliseconds since 1970
 * @param {(bytes: Uint8Array) => Uint8Array} random fills and returns the bytes it is given
 * @returns {string} UUIDv7 in lower case
 */
export function uuid7(nowMs, random = fromDevice) {
  lastChance = nowMs === lastMs ? countedUp(lastChance) : random(new Uint8Array(CHANCE));
  lastMs = nowMs;
  const chance = lastChance.slice();
  chance[0] = (chance[0] & 0x0f) | 0x70;
  chance[2] = (chance[2] & 0x3f) | 0x80;
  const hex = [...chance].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  const ms = Math.trunc(nowMs).toString(16).padStart(12, "0");
  return `${ms.slice(0, 8)}-${ms.slice(8)}-${hex.slice(0, 4)}-${hex.slice(4, 8)}-${hex.slice(8)}`;
}
