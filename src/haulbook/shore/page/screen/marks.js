/** Small drawings beside a numeral: tally gates, headroom rings, warning marks, body plans. All hidden from screen readers. */

import { svg } from "./dom.js";

const MOST_GATES = 20;
const MOST_RINGS = 12;

const PITCH = 4.8;
const ROW = 17;
const LEANS = [0.6, -0.4, 0.9, 0.2]; // by place in the gate: a hand's wobble, the same every time

/** Path of `n` strokes as five-bar gates, two gates a row; empty for 0 and above 20. */
export function gatesPath(n) {
  if (n < 1 || n > MOST_GATES) return "";
  const strokes = [];
  for (let gate = 0; gate * 5 < n; gate++) {
    const here = Math.min(5, n - gate * 5);
    const x = 4 + (gate % 2) * (4 * PITCH + 6);
    const top = Math.floor(gate / 2) * ROW;
    for (let i = 0; i < Math.min(4, here); i++) {
      strokes.push(`M${(x + i * PITCH).toFixed(1)} ${top + 16.5}l${LEANS[i]} -13.5`);
    }
    if (here === 5) strokes.push(`M${x - 3.2} ${top + 14}L${(x + 3 * PITCH + 3.2).toFixed(1)} ${top + 5.5}`);
  }
  return strokes.join("");
}

/** An empty drawing for gates, to be given a path by `setGates`. */
export function gatesDrawing() {
  return svg("svg", { class: "gates", viewBox: "0 0 50 37", "aria-hidden": "true", focusable: "false" }, svg("path"));
}

/** Draw `n` gates into a drawing made by `gatesDrawing`. */
export function setGates(drawing, n) {
  drawing.firstChild.setAttribute("d", gatesPath(n));
  drawing.setAttribute("viewBox", n > 10 ? "0 0 50 37" : "0 0 50 20");
}

/**
 * What is left of a limit: struck used before, solid now, open left, double stroke the limit, crossed squares over.
 * Above twelve a scale in tenths.
 * @param {number} before @param {number} now @param {number} limit
 */
export function headroom(before, now, limit) {
  return limit > MOST_RINGS ? scale(before, now, limit) : rings(before, now, limit);
}

function rings(before, now, limit) {
  const parts = [];
  let x = 6;
  for (let i = 0; i < limit; i++) {
    if (i && i % 5 === 0) x += 5;
    parts.push(svg("circle", { class: i >= before && i < before + now ? "solid" : null, cx: x, cy: 9, r: 4.5 }));
    if (i < before) parts.push(svg("path", { d: `M${x - 5} 14L${x + 5} 4` }));
    x += 13;
  }
  parts.push(svg("path", { class: "limit", d: `M${x - 3} 2v14M${x + 1} 2v14` }));
  x += 6;
  for (let i = 0; i < Math.min(5, before + now - limit); i++) {
    parts.push(svg("path", { d: crossed(x) }));
    x += 13;
  }
  return drawn("rings", x + 2, 18, parts);
}

function scale(before, now, limit) {
  const width = 84;
  const old = Math.min(1, before / limit) * width;
  const all = Math.min(1, (before + now) / limit) * width;
  const over = before + now > limit;
  const ticks = Array.from({ length: 9 }, (_, i) => `M${2 + (width * (i + 1)) / 10} 14v-5`).join("");
  return drawn("rings", width + (over ? 20 : 9), 18, [
    svg("path", { d: `M2 14h${width}${ticks}` }),
    svg("path", { class: "limit", d: `M${width + 2} 2v14M${width + 6} 2v14` }),
    svg("rect", { class: "solid", x: 2, y: 10, width: old.toFixed(1), height: 4 }),
    svg("rect", { class: "solid", x: (2 + old).toFixed(1), y: 6, width: (all - old).toFixed(1), height: 8 }),
    ...(over ? [svg("path", { d: crossed(width + 9) })] : []),
  ]);
}

const crossed = (x) => `M${x} 4.5h9v9h-9zM${x + 2} 6.5l5 5M${x + 7} 6.5l-5 5`;

const MARKS = {
  near: "M10 2.2 18.6 17.3H1.4ZM10 7.4v5M10 14.2v1.4",
  phone:
    "M6 1.5h8a1.5 1.5 0 0 1 1.5 1.5v14a1.5 1.5 0 0 1-1.5 1.5H6A1.5 1.5 0 0 1 4.5 17V3A1.5 1.5 0 0 1 6 1.5ZM8 15.2h4",
  shore: "M2 17h16M4 17V9l6-5 6 5v8M8 17v-5h4v5",
};

/** One of the marks that stand beside a word: near, stop, phone, shore. */
export function markOf(name) {
  if (name === "stop") {
    return drawn("mark stop-mark", 20, 20, [
      svg("path", { class: "solid", d: "M6.3 1h7.4L19 6.3v7.4L13.7 19H6.3L1 13.7V6.3Z" }),
      svg("path", { class: "bar", d: "M5.5 10h9" }),
    ]);
  }
  return drawn("mark", 20, 20, [svg("path", { d: MARKS[name] })]);
}

/** A body plan by name, in the ink of the text around it; null where there is none. */
export function plan(name) {
  if (!name) return null;
  return svg(
    "svg",
    { class: "plan", viewBox: "0 0 96 48", "aria-hidden": "true", focusable: "false" },
    svg("use", { href: `#plan-${name}` }),
  );
}

/** Bring the sheet of body plans into the page, once. Without it the names stand alone. */
export async function loadPlans(url) {
  try {
    const answer = await fetch(url);
    if (!answer.ok) return;
    const sheet = new DOMParser().parseFromString(await answer.text(), "image/svg+xml").documentElement;
    sheet.setAttribute("class", "plans");
    sheet.setAttribute("aria-hidden", "true");
    document.body.append(document.importNode(sheet, true));
  } catch {
    // The names say what the drawings say.
  }
}

function drawn(kind, width, height, parts) {
  return svg(
    "svg",
    { class: kind, viewBox: `0 0 ${width} ${height}`, width, height, "aria-hidden": "true", focusable: "false" },
    ...parts,
  );
}
