/**
 * Minutes of oxygen left in a bucket, as a range. Demands and constants come from the kit, who is in the bucket and
 * since when from the book. Formulas of `haulbook.care.bucket`; oxygen is followed from the last reading, or from
 * the last new water (saturated), through everybody who came and went since.
 */

import { taxaOf } from "./duties.js";
import { hoursUntil, hoursUntilCalming, oxygenAfter, saturation } from "./oxygen.js";
import { instantOf } from "./time.js";

const HOUR = 3600000;

/**
 * @param {object} kit
 * @param {object} place of the state: {litres, airPerH, flow, changedAt, readings}
 * @param {object|null} reading entry of a reading, or its body with `at`; null: the last words of the place's own
 *   readings
 * @param {number} now ms
 * @returns {{low, mid, high, words, act, mgL, percent, mgH, refused?}} minutes until the planning target (80 % of
 *   saturation) at worst, likely and at best: null never, 0 now; act: the same until one has to act at once; mgL and
 *   percent: oxygen now, likely; mgH: demand now, stress included. Where it can't be reckoned all are 0 and
 *   `refused` is true: look at the animals
 */
export function minutes(kit, place, reading, now) {
  const read = lastWords(reading ? [reading] : place.readings ?? []);
  const water = waterOf(kit, place, read);
  const wrong = outside(water, place);
  if (wrong) return refusal(wrong);
  const flow = flowOf(kit, place.flow, water.temperatureC);
  const since = startOf(place, read.oxygen, flow, now);
  const clock = kit.oxygen.clock;
  const [target, act] = [clock.target_percent, clock.act_percent].map((percent) => (percent / 100) * water.saturation);
  const cases = ["mid", "high", "low"].map((which) => followed(flow, which, water, since, now, clock));
  const found = until(target, water, cases);
  const [likely] = cases;
  return {
    ...found,
    act: until(Math.max(act, clock.act_mg_l), water, cases),
    mgL: likely.oxygen, percent: (100 * likely.oxygen) / water.saturation, mgH: likely.load.demand,
  };
}

/**
 * What was last read of each: {temperature_c?, salinity?, oxygen?: {at ms, mgL, share}}; not every reading holds
 * all.
 */
function lastWords(readings) {
  const read = {};
  for (const reading of readings) {
    const body = reading.body ?? reading;
    for (const name of ["temperature_c", "salinity"]) if (name in body) read[name] = body[name];
    const { oxygen_mg_l: mgL = null, oxygen_percent: share = null } = body;
    if (mgL !== null || share !== null) read.oxygen = { at: instantOf(reading.at), mgL, share };
  }
  return read;
}

function waterOf(kit, { litres, airPerH }, read) {
  const temperatureC = read.temperature_c ?? kit.oxygen.temperature_c;
  const salinity = read.salinity ?? kit.oxygen.salinity;
  return { litres, air: airPerH ?? 0, temperatureC, salinity, saturation: saturation(temperatureC, salinity) };
}

/** What keeps a bucket from being reckoned, in words; ranges of `haulbook.care.bucket.clock.Water`. */
function outside({ litres, air, temperatureC, salinity }, { place }) {
  if (!litres) return `${place}: say how many litres it holds.`;
  if (!(litres >= 0.1 && litres <= 10000)) return `${place}: ${litres} L is outside 0.1 to 10 000 L.`;
  if (!(temperatureC >= 0 && temperatureC <= 30)) {
    return `${place}: ${temperatureC} °C is outside 0 to 30 °C. Read it again.`;
  }
  if (!(salinity >= 0 && salinity <= 40)) return `${place}: salinity ${salinity} is outside 0 to 40. Read it again.`;
  return air >= 0 && air <= 100 ? null : `${place}: ${air} changes of air an hour is outside 0 to 100.`;
}

function refusal(words) {
  const none = { low: 0, mid: 0, high: 0, words };
  return { ...none, act: none, mgL: null, percent: null, mgH: null, refused: true };
}

/** Who came and went, with the resting demand of each: [{at, n, mid, low, high}], mg/h at the water's temperature. */
function flowOf(kit, flow, temperatureC) {
  const each = new Map();
  return flow.map(({ at, taxon, n }) => {
    if (!each.has(taxon)) each.set(taxon, demandOf(kit, taxon, temperatureC));
    const { mid, low, high } = each.get(taxon);
    return { at, n, mid: n * mid, low: n * low, high: n * high };
  }).sort((one, other) => one.at - other.at);
}

/** Resting demand of one animal of usual size, {mid, low, high} mg/h, in water of a temperature (0 to 30 °C). */
export function demandOf(kit, taxon, temperatureC) {
  const { unnamed, unnamed_uptake: uptake } = kit.oxygen;
  const known = taxaOf(kit).get(taxon) ?? { mg_h: unnamed, uptake };
  const curve = kit.oxygen.warmth[known.uptake];
  const below = Math.min(Math.floor(temperatureC), curve.length - 2);
  const factor = curve[below] + (curve[below + 1] - curve[below]) * (temperatureC - below);
  return { mid: known.mg_h.mid * factor, low: known.mg_h.low * factor, high: known.mg_h.high * factor };
}

/** From when on oxygen is followed, and what was read then: {at ms, mgL, share}, both null for saturated water. */
function startOf({ changedAt = null }, read, flow, now) {
  const first = Math.min(now, flow[0]?.at ?? now);
  const changed = changedAt !== null && changedAt <= now ? changedAt : first;
  return read && read.at >= changed && read.at <= now ? read : { at: changed, mgL: null, share: null };
}

/**
 * Oxygen now and the load now, for the likely and the worst case (stress does not wear off) or the best ("low": it
 * does, counted anew whenever somebody came).
 */
function followed(flow, which, water, since, now, clock) {
  const full = water.saturation;
  let oxygen = Math.min(full, since.mgL ?? (since.share === null ? full : (since.share / 100) * full));
  const [most, decay] = which === "low" ? [clock.capture_multiplier - 1, clock.stress_decay_per_h] : [0, 0];
  const times = which === "low" ? 1 : clock.capture_multiplier;
  let [demand, at, came] = [0, since.at, since.at];
  const excess = () => most * Math.exp((-decay * Math.max(0, at - came)) / HOUR);
  const go = (until) => {
    if (until <= at) return;
    const load = { demand: demand * times, excess: excess(), decay };
    oxygen = oxygenAfter((until - at) / HOUR, { ...water, start: oxygen }, load);
    at = until;
  };
  for (const one of flow) {
    if (one.at > now) break;
    go(one.at);
    demand = Math.max(0, demand + one[which]);
    if (one.n > 0) came = Math.max(one.at, came);
  }
  go(now);
  return { oxygen, load: { demand: demand * times, excess: excess(), decay } };
}

function until(threshold, water, [likely, worst, best]) {
  const constant = ({ oxygen, load }) => hoursUntil(threshold, { ...water, start: oxygen }, load.demand);
  const calming = hoursUntilCalming(threshold, { ...water, start: best.oxygen }, best.load);
  const inMinutes = (hours) => (hours === null ? null : hours * 60);
  const [mid, low, high] = [constant(likely), constant(worst), calming].map(inMinutes);
  return { low, mid, high, words: inWords(mid, low, high) };
}

/** What to read off the screen. */
function inWords(mid, low, high) {
  if (low === null) return "not while nothing changes";
  if (mid === 0) return "now";
  if (mid === null) return `likely never, at worst in ${twoFigures(low)} min`;
  const best = high === null ? "never" : twoFigures(high);
  return `about ${twoFigures(mid)} min (at worst ${twoFigures(low)}, at best ${best})`;
}

/**
 * A number as the model deserves to be read: two figures, no more; halfway goes to the even one, as at the station.
 */
export function twoFigures(value) {
  const three = value.toExponential(2); // d.dde+n
  const halfway = Number(three) === value && three[3] === "5" && Number(three[2]) % 2 === 0;
  return String(Number(halfway ? three.slice(0, 3) + three.slice(4) : value.toExponential(1)));
}
