/** The head of the page: tide band, haul clock with its one button, buckets, one line for what presses most. */

import { button, el, mark, put, say, svg } from "./dom.js";
import { drawBand, stretch } from "./band.js";
import { bucketChips } from "./buckets.js";
import { textUnit } from "./fit.js";
import { markOf } from "./marks.js";
import { capital, haulWords, span, tideWords } from "./words.js";

const MINUTE = 60e3;
const SOON = 5 * MINUTE;
const TURNED_FOR = 15 * MINUTE;

/**
 * @param {Object} app
 * @param {{start: function, land: function, end: function, sort: function, note: function, bucket: function}} acts
 * @returns {{node: Element, update: function(string), tick: function(), fit: function()}}
 */
export function makeHeader(app, acts) {
  const band = svg("svg", { class: "band", role: "img" });
  const title = el("h1");
  const [name, dot, clock] = [el("span"), el("span", { "aria-hidden": "true", text: " ·" }), el("span")];
  title.append(el("span", {}, name, dot), " ", clock);
  const [below, next] = [el("p", { class: "below" }), el("p", { class: "next" })];
  const buttons = el("div", { class: "acts" });
  const chips = bucketChips(app, acts.bucket);
  const notes = el("div");
  const node = el(
    "div",
    { class: "outing" },
    band,
    el("div", { class: "clock" }, el("div", { class: "words" }, title, below, next), buttons),
    chips.node,
    notes,
  );
  let seenTurn = 0;
  let drawn = "";

  function haul() {
    const { tally } = app;
    const { on, lastHaul } = tally;
    const landed = on && tally.landedAt(on);
    say(
      name,
      on
        ? haulWords.on(tally.number(on.haul))
        : tally.closed
          ? haulWords.closed
          : lastHaul
            ? haulWords.ended(tally.number(lastHaul.haul))
            : haulWords.before(1),
    );
    say(
      below,
      on
        ? landed
          ? haulWords.landed(at(landed))
          : haulWords.inWater(at(on.startedAt))
        : lastHaul?.endedAt
          ? haulWords.endedAt(at(lastHaul.endedAt), lastHaul.n)
          : tally.kit.plan.site,
    );
    const wanted = on
      ? landed
        ? ["end"]
        : ["land"]
      : tally.closed
        ? ["sort"]
        : ["start", ...(lastHaul ? ["sort"] : [])];
    if (wanted.join() + tally.nextNumber !== buttons.dataset.wanted) {
      buttons.dataset.wanted = wanted.join() + tally.nextNumber;
      const words = {
        start: haulWords.start(tally.nextNumber),
        land: haulWords.land,
        end: haulWords.end,
        sort: haulWords.sort,
      };
      put(
        buttons,
        wanted.map((what, i) =>
          button(words[what], acts[what], { class: i || what === "sort" || what === "end" ? "" : "filled" }),
        ),
      );
    }
    ticking();
  }

  function ticking() {
    const { tally } = app;
    const { on } = tally;
    const since = on && (tally.landedAt(on) ?? on.startedAt);
    say(clock, since ? span(tally.now() - Date.parse(since), true) : "");
    mark(dot, "hidden", !since);
  }

  function at(iso) {
    return app.tally.clock(Date.parse(iso));
  }

  /** What the water does next, in words. */
  function water() {
    const { tally } = app;
    const now = tally.now();
    const turn = tally.turn();
    const window = tally.window;
    const minutes = (t) => Math.round((t - now) / MINUTE);
    if (window && now < window.to && window.to - now < 45 * MINUTE)
      return tideWords.windowEnds(tally.clock(window.to), minutes(window.to));
    if (window && now >= window.to && now - window.to < 120 * MINUTE)
      return tideWords.windowOver(tally.clock(window.to));
    return turn ? tideWords.turn(turn.kind, tally.clock(turn.t), minutes(turn.t)) : "";
  }

  function draw() {
    const { tally } = app;
    const width = node.clientWidth;
    const now = tally.now();
    mark(band, "hidden", !tally.kit?.tide);
    if (!tally.kit?.tide || !width || getComputedStyle(band).display === "none") return;
    const window = tally.window && { start: tally.window.from, end: tally.window.to };
    const { from, to } = stretch(window, now);
    const key = [
      width,
      Math.floor(now / 20e3),
      textUnit(),
      tally.hauls.length,
      tally.on?.haul,
      tally.kit.digest,
    ].join();
    if (key === drawn) return;
    drawn = key;
    drawBand(band, {
      width,
      unit: textUnit(),
      now,
      from,
      to,
      window,
      points: tally.curve(from, to).map(({ t, cm }) => [t, cm]),
      bedCm: tally.kit.tide.bed_cm ?? null,
      turn: shownTurn(tally, from, now),
      hauls: tally.hauls
        .filter(({ startedAt }) => startedAt)
        .map((one) => ({
          number: String(tally.number(one.haul)),
          from: Date.parse(one.startedAt),
          to: one.endedAt ? Date.parse(one.endedAt) : now,
        })),
      clock: (t) => tally.clock(t),
    });
  }

  /** One line for what presses: the landing that is not noted, stops, the turn of the tide. */
  function press() {
    const { tally } = app;
    const lines = [];
    const halt = tally.stops().find(({ stop }) => stop !== "taxon");
    if (halt) lines.push(warning(`${capital(halt.words)} (${halt.clause})`));
    if (tally.landing && !lines.length) {
      const n = tally.number(tally.landing.haul);
      lines.push(warning(haulWords.notNoted(n), button(haulWords.note, acts.note)));
    }
    const heads = headsUp();
    if (heads && !lines.length) lines.push(heads);
    const bucket = chips.pressing();
    if (bucket) lines.push(warning(bucket, null, "of-bucket"));
    const key = lines.map((line) => line.textContent).join("|");
    if (key !== notes.dataset.key) {
      notes.dataset.key = key;
      put(notes, lines);
    }
  }

  function headsUp() {
    const { tally } = app;
    const now = tally.now();
    const turn = tally.turn(now - TURNED_FOR);
    if (!turn || turn.t > now + SOON || seenTurn === turn.t) return null;
    const words =
      turn.t > now ? tideWords.soon(turn.kind, tally.clock(turn.t)) : tideWords.turned(turn.kind, tally.clock(turn.t));
    if (turn.t <= now) app.announce(words);
    return warning(
      words,
      button(tideWords.seen, () => {
        seenTurn = turn.t;
        press();
      }),
    );
  }

  return {
    node,
    update: () => {
      haul();
      chips.update();
      say(next, water());
      press();
      draw();
    },
    tick: ticking,
    fit: draw,
    sorting: () => ({ title: app.tally.clock(app.tally.now()), water: water() }),
  };
}

/** The turn that the band names: the coming one, or the low just passed. */
function shownTurn(tally, from, now) {
  const turn = tally.turn(Math.max(from, now - 10 * MINUTE));
  return turn && { at: turn.t, kind: turn.kind };
}

function warning(words, act = null, kind = "") {
  return el("div", { class: `warning ${kind}` }, markOf("near"), el("span", { text: words }), act);
}
