/** Tiles: one press, one animal; held, or with the menu key, a number. They never change place during an outing. */

import { button, el, mark, say } from "./dom.js";
import { gatesDrawing, plan, setGates } from "./marks.js";
import { fateWhere } from "./fates.js";
import { tileKey } from "./tally.js";
import { tileWords } from "./words.js";

const HOLD_MS = 500;
const SLIP_PX = 8;
const SLOW_MS = 400;
const FIRST_OUTING = 24; // tiles where nothing is known of past hauls: what fits two thumbs of scrolling

/**
 * The tiles an outing starts with: looked for first, then by own past frequency; where a clause asks for a stage, that too.
 * @param {Object} kit
 * @returns {Array<{taxon: string, stage: string|null}>}
 */
export function startingTiles(kit) {
  const looked = new Set(kit.looked_for);
  const seen = kit.taxa.filter((taxon) => taxon.seen || looked.has(taxon.key));
  const chosen = seen.some((taxon) => taxon.seen) ? seen : firstOuting(kit);
  const ranked = [...chosen].sort((a, b) => looked.has(b.key) - looked.has(a.key) || (b.seen || 0) - (a.seen || 0));
  return ranked.flatMap(({ key }) => [
    { taxon: key, stage: null },
    ...stagesAsked(kit, key).map((stage) => ({ taxon: key, stage })),
  ]);
}

function stagesAsked(kit, taxon) {
  const asked = kit.clauses.filter(({ members }) => members.includes(taxon)).flatMap(({ only }) => only?.stage ?? []);
  return [...new Set(asked)].filter((stage) => stage !== "adult");
}

function firstOuting(kit) {
  const named = new Set([
    ...kit.looked_for,
    ...kit.clauses.filter(({ members }) => members.length < 40).flatMap(({ members }) => members),
  ]);
  const parents = new Set(kit.taxa.map(({ parent }) => parent));
  const kinds = kit.taxa.filter(({ key, drawing }) => drawing && !parents.has(key));
  return [...kinds.filter(({ key }) => named.has(key)), ...kinds.filter(({ key }) => !named.has(key))].slice(
    0,
    FIRST_OUTING,
  );
}

/**
 * @param {Object} app
 * @param {{more: function(string, string|null), other: function()}} acts `more` asks for a number, `other` for a name
 */
export function makeTiles(app, acts) {
  const node = el("div", { class: "tiles fold-away", role: "group", "aria-label": tileWords.hold });
  const other = button(tileWords.other, () => acts.other(), { class: "tile other" });
  const tiles = new Map(); // tileKey -> {node, taxon, stage, n, plus}
  let just = new Set();
  let slow = 0;
  node.append(other);

  function make(taxon, stage) {
    const { tally } = app;
    const known = tally.taxon(taxon);
    const key = tileKey(taxon, stage);
    const drawing = plan(stage === "egg mass" ? "egg_mass" : known?.drawing);
    const parts = {
      gates: gatesDrawing(),
      n: el("span"),
      plus: el("span", { class: "plus" }),
      left: el("span", { class: "left" }),
    };
    const tile = el(
      "button",
      { type: "button", class: `tile${drawing ? "" : " no-plan"}`, "data-key": key },
      drawing,
      parts.gates,
      el("span", { class: "count", "aria-hidden": "true" }, parts.plus, parts.n),
      el(
        "span",
        { class: "name", "aria-hidden": "true" },
        tally.nameOf(taxon),
        stage && el("i", { text: `, ${stage}` }),
        " ",
        parts.left,
      ),
    );
    const one = {
      node: tile,
      taxon,
      stage,
      shown: null,
      name: stage ? `${tally.nameOf(taxon)}, ${stage}` : tally.nameOf(taxon),
      ...parts,
    };
    tiles.set(key, one);
    press(one);
    other.before(tile);
    return one;
  }

  /** One press counts one; held, it asks how many. A press that slid away counts nothing. */
  function press(one) {
    let held = null;
    let asked = false;
    const more = () => {
      asked = true;
      acts.more(one.taxon, one.stage);
    };
    let at = null;
    const cancel = () => clearTimeout(held);
    one.node.addEventListener("pointerdown", (event) => {
      asked = false;
      at = event;
      if (event.button !== 0) return;
      held = setTimeout(more, HOLD_MS);
      window.addEventListener("pointerup", cancel, { once: true, capture: true });
    });
    one.node.addEventListener("pointercancel", cancel);
    one.node.addEventListener("pointerleave", (event) => {
      // a banner that comes or goes moves the tile away under a pointer that holds still
      if (!at || Math.hypot(event.clientX - at.clientX, event.clientY - at.clientY) > SLIP_PX) cancel();
    });
    one.node.addEventListener("contextmenu", (event) => {
      event.preventDefault();
      cancel();
      if (!asked) more();
    });
    one.node.addEventListener("click", (event) => {
      cancel();
      if (asked && event.detail > 0) asked = false;
      else tap(one);
    });
  }

  function tap(one) {
    app.tappedAt = performance.now();
    if (app.tally.on) {
      paint(one, (one.shown ?? 0) + 1);
      highlight([one], 1);
    }
    app.later(() => app.calls.tap(one.taxon, one.stage));
  }

  function paint(one, n) {
    if (one.shown === n) return;
    one.shown = n;
    say(one.n, String(n));
    setGates(one.gates, n);
    label(one);
  }

  function label(one) {
    mark(
      one.node,
      "aria-label",
      tileWords.one(one.name, one.shown ?? 0, [fateWhere(app.tally), one.left.textContent].filter(Boolean).join(", ")),
    );
  }

  /** The tiles just counted keep a heavy edge and "+n" until the next call. */
  function highlight(ones, n) {
    for (const one of just) {
      if (!ones.includes(one)) {
        mark(one.node, "class", one.node.className.replace(" just", ""));
        say(one.plus, "");
      }
    }
    just = new Set(ones);
    for (const one of just) {
      if (!one.node.classList.contains("just")) one.node.classList.add("just");
      say(one.plus, `+${typeof n === "number" ? n : n.get(one)}`);
    }
  }

  function markLast() {
    const { last } = app.calls;
    if (!last || last.struckAt) return highlight([], 0);
    const added = new Map();
    for (const { taxon, stage, n } of last.lines.filter(({ from }) => from === "sea")) {
      const one = tiles.get(tileKey(taxon, stage)) ?? make(taxon, stage ?? null);
      added.set(one, (added.get(one) ?? 0) + n);
    }
    return highlight([...added.keys()], added);
  }

  /** Room in the permit, on each tile, while taps are kept. */
  function room() {
    const { tally } = app;
    const shows = tally.isKept(tally.fate.to) && tally.isKeeper;
    for (const one of tiles.values()) {
      const words = shows ? leftWords(tally, one) : "";
      if (one.left.textContent !== words) say(one.left, words);
      label(one);
    }
  }

  function counts() {
    const haul = app.tally.on?.haul ?? app.tally.lastHaul?.haul;
    const known = app.tally.counts(haul);
    for (const key of known.keys()) if (!tiles.has(key)) make(...key.split("|").map((part) => part || null));
    for (const [key, one] of tiles) paint(one, known.get(key) ?? 0);
  }

  /** The places that the tiles have in this outing: a newer kit changes none, it only adds behind. */
  function order() {
    const { tally } = app;
    const wanted = startingTiles(tally.kit).map(({ taxon, stage }) => tileKey(taxon, stage));
    const known = (tally.tiles ?? []).filter((key) => tally.taxon(key.split("|")[0]));
    const all = [...new Set([...known, ...wanted])];
    if (all.length > known.length) app.guard(tally.remember("tiles", all));
    return all;
  }

  function waiting() {
    clearTimeout(slow);
    const show = () => {
      const waits = new Set(app.tally.pendingLines().map(({ taxon, stage }) => tileKey(taxon, stage)));
      for (const [key, one] of tiles) one.node.classList.toggle("waits", waits.has(key));
    };
    if (app.tally.pending.size) slow = setTimeout(show, SLOW_MS);
    else if (node.querySelector(".waits")) show();
  }

  return {
    node,
    open() {
      for (const { node: tile } of tiles.values()) tile.remove();
      tiles.clear();
      just = new Set();
      for (const key of order()) make(...key.split("|").map((part) => part || null));
      counts();
      markLast();
      room();
    },
    update(what) {
      if (what === "state" || what === "pending" || what === "problem") {
        counts();
        waiting();
      }
      if (what === "last" || what === "state") markLast();
      if (what === "fate" || what === "keep" || (what === "state" && app.tally.isKept(app.tally.fate.to))) room();
    },
  };
}

function leftWords(tally, { taxon, stage }) {
  const haul = tally.on?.haul ?? tally.lastHaul?.haul ?? `${tally.outing}/1`;
  const { left, allowed } = tally.left({
    taxon,
    stage: stage ?? undefined,
    haul,
    from: "sea",
    to: tally.fate.to,
    n: 1,
  });
  return allowed === "certainly" ? (left === null ? "" : tileWords.left(left)) : tileWords.left(0);
}
