/** The tide band: the working window and half an hour each side, drawn at its own width. */

import { mark, put, svg } from "./dom.js";
import { tideWords } from "./words.js";

const MINUTE = 60e3;
const AROUND = 30 * MINUTE;
const TOP = 20; // px at a text size of 16
const BED = 60;
const CHAR = 7.9; // mean width of a bold character of 16 px: enough to choose words that fit

/**
 * Stretch of time to show.
 * @param {{start: number, end: number}|null} window ms
 * @param {number} now ms
 * @returns {{from: number, to: number}} ms
 */
export function stretch(window, now) {
  return window
    ? { from: window.start - AROUND, to: window.end + AROUND }
    : { from: now - 4 * AROUND, to: now + 4 * AROUND };
}

/**
 * Draw the band.
 * @param {SVGElement} band
 * @param {{width: number, unit: number, now: number, from: number, to: number, window: Object|null,
 *   points: Array<[number, number]>, bedCm: number|null, turn: {at: number, kind: string}|null,
 *   hauls: Array<{number: string, from: number, to: number}>, clock: function(number): string}} day
 *   width in px; unit: text size over 16; instants in ms; points [instant, cm above MLLW]
 */
export function drawBand(band, day) {
  const width = day.width / day.unit;
  const x = (t) => ((t - day.from) / (day.to - day.from)) * width;
  const heights = day.points.map(([, cm]) => cm);
  const base = day.bedCm ?? Math.min(...heights) - 15;
  const span = Math.max(40, Math.max(...heights) - base);
  const y = (cm) => BED - (Math.max(0, cm - base) / span) * (BED - TOP - 2);
  const line = day.points.map(([t, cm], i) => `${i ? "L" : "M"}${x(t).toFixed(1)} ${y(cm).toFixed(1)}`).join("");
  const words = sentence(day, x(day.now), width);
  mark(band, "viewBox", `0 0 ${width.toFixed(1)} 82`);
  mark(band, "aria-label", words.all);
  put(
    band,
    ...washed(day.window, x, width),
    ...water(line, width),
    svg("path", { class: "grass", d: grass(width) }),
    svg("path", { class: "curve", d: line }),
    svg("path", { class: "axis", d: `M0 ${BED}H${width.toFixed(1)}` }),
    svg("path", { class: "foot", d: `M0 81.5H${width.toFixed(1)}` }),
    ...hours(day, x, width),
    ...day.hauls.map((haul) => block(haul, x, x(day.now))),
    low(day, x, y),
    ...pointer(words, x(day.now), width),
  );
}

function washed(window, x, width) {
  if (!window) return [];
  const [left, right] = [x(window.start), x(window.end)].map((at) => Math.min(width, Math.max(0, at)));
  return [
    svg("rect", { class: "window", x: left, y: TOP, width: right - left, height: BED - TOP }),
    svg("path", { class: "edge", d: `M${left} ${TOP}V${BED}M${right} ${TOP}V${BED}` }),
  ];
}

function water(line, width) {
  const rows = [];
  for (let at = TOP + 2; at < BED; at += 3.6) rows.push(`M0 ${at.toFixed(1)}H${width.toFixed(1)}`);
  return [
    svg("clipPath", { id: "under-water" }, svg("path", { d: `${line}V${BED}H0Z` })),
    svg("path", { class: "water", d: rows.join(""), "clip-path": "url(#under-water)" }),
  ];
}

function grass(width) {
  const blades = [];
  for (let i = 0; i * 7 + 4 < width; i++) {
    const lean = [2.2, -1.6, 1.1, -2.4, 1.8][i % 5];
    blades.push(`M${i * 7 + 4} ${BED}q${lean / 3} -4 ${lean} ${-7 - (i % 3)}`);
  }
  return blades.join("");
}

function hours(day, x, width) {
  const step = ((day.to - day.from) / 60e3 / width) * 60 > 120 ? 2 : 1;
  const marks = [];
  for (let t = Math.ceil(day.from / 36e5) * 36e5; t <= day.to; t += 36e5) {
    const at = x(t);
    const hour = day.clock(t).slice(0, 2);
    if (at < 12 || at > width - 12 || Number(hour) % step) continue;
    marks.push(svg("path", { class: "axis", d: `M${at.toFixed(1)} ${BED}v5` }));
    marks.push(svg("text", { x: at.toFixed(1), y: 78, "text-anchor": "middle" }, hour));
  }
  return marks;
}

function block(haul, x, now) {
  const from = x(haul.from);
  const long = Math.max(6, x(haul.to) - from);
  const middle = from + long / 2;
  const beside = Math.abs(middle - now) < 9; // the pointer would strike the number through
  return svg(
    "g",
    {},
    svg("rect", { class: "solid", x: from.toFixed(1), y: BED - 5, width: long.toFixed(1), height: 5.5 }),
    svg(
      "text",
      {
        class: "strong",
        x: (beside ? now - 4 : middle).toFixed(1),
        y: BED - 8,
        "text-anchor": beside ? "end" : "middle",
      },
      haul.number,
    ),
  );
}

function low(day, x, y) {
  if (!day.turn || day.turn.kind !== "low" || day.turn.at < day.from || day.turn.at > day.to) return null;
  const at = x(day.turn.at);
  const nearest = day.points.reduce((a, b) => (Math.abs(b[0] - day.turn.at) < Math.abs(a[0] - day.turn.at) ? b : a));
  const over = y(nearest[1]) - 4;
  return svg("path", { class: "solid", d: `M${at - 4.5} ${over - 7}h9l-4.5 7z` });
}

/** The words over the band: the longest that fit beside the pointer. */
function sentence(day, at, width) {
  const now = day.clock(day.now);
  const minutes = day.turn ? Math.round((day.turn.at - day.now) / MINUTE) : null;
  const long = day.turn ? tideWords.turn(day.turn.kind, day.clock(day.turn.at), minutes) : "";
  const short = day.turn ? tideWords.turnShort(day.turn.kind, minutes) : "";
  const room = width - at - 12;
  const wide = (text) => text.length * CHAR;
  const all = [now, long].filter(Boolean).join(", ");
  if (at >= 0 && at <= width) {
    if (wide(long) <= room && at > wide(now) + 10) return { left: now, right: long, all };
    if (wide(short) <= room && at > wide(now) + 10) return { left: now, right: short, all };
    if (at > wide(`${now}, ${long}`) + 10) return { left: `${now}, ${long}`, right: "", all };
    if (at > wide(`${now}, ${short}`) + 10) return { left: `${now}, ${short}`, right: "", all };
    if (wide(`${now}, ${long}`) <= room) return { left: "", right: `${now}, ${long}`, all };
    return { left: "", right: "", alone: wide(all) < width ? all : `${now}, ${short}`, all };
  }
  return { left: "", right: "", alone: wide(all) < width ? all : `${now}, ${short}`, all };
}

function pointer(words, at, width) {
  const inside = at >= 0 && at <= width;
  const text = (x, anchor, what) => what && svg("text", { class: "strong", x, y: 15, "text-anchor": anchor }, what);
  return [
    inside && svg("path", { class: "now", d: `M${at.toFixed(1)} 18V${BED + 5}` }),
    inside && !words.alone && svg("path", { class: "solid", d: `M${at - 6} 10h12l-6 9z` }),
    text(at - 10, "end", words.left),
    text(at + 10, "start", words.right),
    text(width / 2, "middle", words.alone),
  ];
}
