/**
 * The balance of oxygen in a well-mixed bucket, solved in closed form: dC/dt = -R/V + k (Cs - C). C oxygen mg/L, Cs
 * saturation mg/L, R demand mg/h, V water L, k exchange with the air per hour, t hours. With stress that wears off,
 * R = R0 (1 + (F - 1) exp(-w t)). null means never. Equal to `haulbook.care.bucket.model` and
 * `care.seawater.oxygen`.
 */

/** Beyond this the answer is never. */
const LONGEST_H = 1e6;

const MMHG = 0.750062 * 1013.25;

/**
 * Oxygen in balance with moist air at 1013.25 hPa, mg/L; 0 to 40 °C, salinity 0 to 40.
 * Source: Benson & Krause (1984), as in Standard Methods; pressure as in USGS memoranda 81.11 and 81.15.
 */
export function saturation(temperatureC, salinity) {
  const k = temperatureC + 273.15;
  const fresh = -139.34411 + 1.575701e5 / k - 6.642308e7 / k ** 2 + 1.2438e10 / k ** 3 - 8.621949e11 / k ** 4;
  const salt = salinity * (1.7674e-2 - 10.754 / k + 2140.7 / k ** 2);
  const vapour = 10 ** (8.10765 - 1750.286 / (235 + temperatureC));
  return (Math.exp(fresh - salt) * (MMHG - vapour)) / (760 - vapour);
}

/** (exp(-a t) - exp(-b t)) / (b - a), and its limit t exp(-a t) where both rates agree. */
function decays(a, b, hours) {
  const [slow, gap] = [Math.min(a, b), Math.abs(a - b)];
  const spread = gap * hours < 1e-12 ? hours : -Math.expm1(-gap * hours) / gap;
  return Math.exp(-slow * hours) * spread;
}

/**
 * Oxygen after some hours, mg/L, not below 0.
 * @param {number} hours
 * @param {{start, saturation, litres, air}} water mg/L, mg/L, L, per hour
 * @param {{demand, excess, decay}} load resting mg/h; F - 1 at the start; rate at which it wears off per hour (0:
 *   it does not)
 */
export function oxygenAfter(hours, water, load) {
  return Math.max(0, oxygenAt(hours, water, load));
}

function oxygenAt(hours, { start, saturation: full, litres, air }, { demand, excess, decay }) {
  const use = demand / litres; // every term stays finite for air -> 0 and air -> decay
  const renewed = air > 0 ? -Math.expm1(-air * hours) / air : hours;
  const calm = start + (air * (full - start) - use) * renewed;
  return excess ? calm - use * excess * decays(decay, air, hours) : calm;
}

/** Hours until oxygen falls to a threshold under constant demand (F included): 0 it has, null it never does. */
export function hoursUntil(threshold, { start, saturation: full, litres, air }, demand) {
  if (start <= threshold) return 0;
  if (air === 0) return demand ? (litres * (start - threshold)) / demand : null;
  const steady = full - demand / (litres * air);
  if (steady >= threshold) return null;
  return Math.log((start - steady) / (threshold - steady)) / air;
}

/** Hours until oxygen first falls to a threshold while stress wears off. */
export function hoursUntilCalming(threshold, water, load) {
  const { start, saturation: full, litres, air } = water;
  const use = load.demand / litres;
  if (start <= threshold) return 0;
  if (use === 0 && (air === 0 || full >= threshold)) return null;
  const above = (hours) => oxygenAt(hours, water, load) - threshold;
  const turn = turningPoint(water, use, load);
  if (turn > 0 && above(turn) <= 0) return halve(above, 0, turn);
  if (air > 0 && full - use / air >= threshold) return null;
  let late = Math.max(turn, 1);
  while (above(late) > 0) {
    late *= 2;
    if (late > LONGEST_H) return null;
  }
  return halve(above, turn, late);
}

/** The hour at which oxygen stops falling and recovers, or the reverse; 0 where it never turns. */
function turningPoint({ start, saturation: full, air }, use, { excess, decay }) {
  if (air === 0 || use * excess === 0) return 0;
  const [aboveSteady, stress, gap] = [start - (full - use / air), use * excess, air - decay];
  if (Math.abs(gap) < 1e-6 * air) return Math.max(0, 1 / air + aboveSteady / stress);
  const argument = (air * (aboveSteady * gap + stress)) / (stress * decay);
  return argument > 0 ? Math.max(0, Math.log(argument) / gap) : 0;
}

function halve(above, early, late) {
  while (late - early > 1e-10 * Math.max(1, late)) {
    const middle = (early + late) / 2;
    if (above(middle) > 0) early = middle;
    else late = middle;
  }
  return (early + late) / 2;
}
