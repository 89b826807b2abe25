/** Where each tap goes: it holds until it is changed. And where animals may go at all, as buttons. */

import { button, el, put } from "./dom.js";
import { fateWords, placeWords, capital } from "./words.js";

/** Where each tap goes, in words. */
export const fateWhere = (tally) => whereTo(tally.fate.to);

/** A place as the end of a sentence: "back", "into bucket 1", "in the net, not placed". */
export function whereTo(place) {
  if (place === "net") return placeWords.inNet;
  return /^(?:bucket|cooler|tank) /.test(place) ? placeWords.into(place) : (placeWords[place] ?? place);
}

/** "out of bucket 2, " where a line took animals from a place; "" for what came out of the sea. */
export const whereFrom = ({ from }) => (from === "sea" ? "" : `${placeWords.outOf(from)}, `);

/** Every place that a call can go to: [place, words, second words]. */
export function destinations(tally, { net = true, sinks = true } = {}) {
  const places = tally
    .places()
    .filter(({ leftAt }) => !leftAt)
    .map(({ place, purpose }) => [place, capital(place), placeWords[purpose] ?? ""]);
  if (!places.some(([place]) => place === "cooler 1")) places.push(["cooler 1", capital("cooler 1"), placeWords.keep]);
  const out = [
    ["back", fateWords.back, ""],
    ["dead-back", fateWords.dead, fateWords.putBack],
  ];
  const seldom = ["dead-kept", "killed-kept", "killed-back", "given"].map((place) => [
    place,
    capital(placeWords[place]),
    "",
  ]);
  return [
    ...out,
    ...places,
    ...(net ? [["net", capital(placeWords.net), placeWords.inNet]] : []),
    ...(sinks ? seldom : []),
  ];
}

/** The row over the tiles. `choose` opens all places. */
export function makeFates(app, choose) {
  const node = el("div", { class: "fates fold-away", role: "group", "aria-label": fateWords.each });

  function update() {
    const { tally } = app;
    const { to } = tally.fate;
    const keeper = tally.isKeeper ? (tally.keep ?? "") : fateWords.askKeeper;
    const kept = tally.keep ?? "cooler 1";
    const three = [
      ["back", fateWords.back, ""],
      [kept, fateWords.kept, keeper],
      ["dead-back", fateWords.dead, fateWords.putBack],
    ];
    const others = three.some(([place]) => place === to) ? [] : [[to, capital(whereTo(to)), ""]];
    const key = JSON.stringify([to, three, others]);
    if (key === node.dataset.key) return;
    node.dataset.key = key;
    put(
      node,
      button(fateWords.each, choose, { class: "each" }),
      [...three, ...others].map(([place, words, second]) =>
        el(
          "button",
          {
            type: "button",
            class: "button",
            "aria-pressed": String(place === to),
            on: { click: () => tally.remember("fate", { to: place }) },
          },
          words,
          second && el("small", { text: second }),
        ),
      ),
    );
  }

  return { node, update };
}

/** All places, to choose one for each tap. */
export function fatePanel(app) {
  const { tally } = app;
  const choose = (place) => {
    tally.remember("fate", { to: place });
    if (tally.place(place).purpose === "keep") tally.remember("keep", place);
    app.views.back();
  };
  const node = el(
    "div",
    { class: "view" },
    el("h2", { tabindex: -1, "data-first": true, text: fateWords.title }),
    el("p", { class: "second quiet", text: fateWords.holds }),
    placeButtons(destinations(tally), choose, tally.fate.to),
  );
  return { node, head: "fold" };
}

/** Buttons for places. */
export function placeButtons(places, choose, chosen = null) {
  return el(
    "div",
    { class: "choices small" },
    places.map(([place, words, second]) =>
      el(
        "button",
        {
          type: "button",
          class: "button",
          "aria-pressed": chosen === null ? null : String(place === chosen),
          on: { click: () => choose(place) },
        },
        words,
        second && el("small", { text: second }),
      ),
    ),
  );
}
