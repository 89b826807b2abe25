/**
 * The predicted water at the site, from the kit's curve. Heights in cm above mean lower low water; instants in ms.
 * A prediction is no observation: wind, pressure and surge move the water.
 */

const starts = new WeakMap();

function startOf(tide) {
  if (!starts.has(tide)) starts.set(tide, Date.parse(tide.start));
  return starts.get(tide);
}

const stepOf = (tide) => tide.step_min * 60000;

/** Height at an instant, straight lines between the samples; null outside the curve or without a tide. */
export function heightAt({ tide }, t) {
  if (!tide) return null;
  const place = (t - startOf(tide)) / stepOf(tide);
  const before = Math.floor(place);
  const [low, high] = [tide.height_cm[before], tide.height_cm[Math.ceil(place)]];
  if (low === undefined || high === undefined) return null;
  return low + (high - low) * (place - before);
}

/** The next high or low after an instant: {at, t, cm, kind}; null where the kit knows none. */
export function nextTurn({ tide }, t) {
  const turn = tide?.extremes.find(({ at }) => Date.parse(at) > t);
  return turn ? { ...turn, t: Date.parse(turn.at) } : null;
}

/** The curve between two instants as [{t, cm}], both ends on it; nothing outside the kit's own stretch. */
export function curve(kit, from, to) {
  const { tide } = kit;
  if (!tide) return [];
  const [start, step] = [startOf(tide), stepOf(tide)];
  const [first, last] = [Math.max(from, start), Math.min(to, start + step * (tide.height_cm.length - 1))];
  if (first > last) return [];
  const ts = [first];
  for (let n = Math.floor((first - start) / step) + 1; start + n * step < last; n += 1) ts.push(start + n * step);
  if (last > first) ts.push(last);
  return ts.map((t) => ({ t, cm: heightAt(kit, t) }));
}

/**
 * When the water over the bed can be worked, around the day's working low: {from, to, turn, bandCm: [least, most]},
 * null without a tide, a bed or a low in daylight. As `haulbook.tide` finds windows: height in the band, in
 * daylight, cut at the highs beside the low; where the water gets too low in between, from the first part to the
 * last.
 */
export function windowOf(kit) {
  const { tide, sun } = kit;
  if (!tide?.turn || tide.bed_cm === undefined || tide.bed_cm === null) return null;
  const low = Date.parse(tide.turn.at);
  const [least, most] = tide.depth_cm.map((depth) => tide.bed_cm + depth);
  const highs = tide.extremes.filter(({ kind }) => kind === "high").map(({ at }) => Date.parse(at));
  const start = startOf(tide);
  const end = start + stepOf(tide) * (tide.height_cm.length - 1);
  const from = Math.max(start, ...highs.filter((t) => t < low), ...lit(sun, "sunrise"));
  const to = Math.min(end, ...highs.filter((t) => t > low), ...lit(sun, "sunset"));
  const spans = spansIn(kit, least, most, from, to);
  if (!spans.length) return null;
  return { from: spans[0][0], to: spans[spans.length - 1][1], spans, turn: tide.turn, bandCm: [least, most] };
}

const lit = (sun, name) => (sun?.[name] ? [Date.parse(sun[name])] : []);

/** Stretches of [from, to] in which the height lies in [least, most]. */
function spansIn(kit, least, most, from, to) {
  const points = curve(kit, from, to);
  const spans = [];
  const add = (a, b) => {
    const last = spans[spans.length - 1];
    if (last && last[1] === a) last[1] = b;
    else if (b > a) spans.push([a, b]);
  };
  for (let n = 1; n < points.length; n += 1) {
    const [one, other] = [points[n - 1], points[n]];
    const knots = [one.t, ...crossings(one, other, [least, most]), other.t];
    for (let k = 1; k < knots.length; k += 1) {
      const middle = (knots[k - 1] + knots[k]) / 2;
      const cm = one.cm + (other.cm - one.cm) * ((middle - one.t) / (other.t - one.t));
      if (cm >= least && cm <= most) add(knots[k - 1], knots[k]);
    }
  }
  return spans;
}

function crossings(one, other, levels) {
  return levels.map((level) => (level - one.cm) / (other.cm - one.cm)).filter((share) => share > 0 && share < 1)
    .sort((a, b) => a - b).map((share) => one.t + share * (other.t - one.t));
}
