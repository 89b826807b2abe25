/** Which one is it: look by look, from the kit's table; and look-alikes side by side. */

import { sideBySide } from "../reckon/apart.js";
import { answer, back, leaveAt, question, ranking, start, toldByBody, warnings } from "../reckon/key.js";
import { button, el, put, strong } from "./dom.js";
import { bottom, heading } from "./forms.js";
import { plan } from "./marks.js";
import { nameRow, pickPanel } from "./picker.js";
import { chip } from "./understood.js";
import { askWords, capital, keyWords, listed, moreWords, noticeWords } from "./words.js";

const SHOWN = 4;

/** @param {function(string)} choose takes the taxon that it is entered as */
export function whichPanel(app, choose) {
  const { tally } = app;
  let state = start(tally.kit);
  const body = el("div");

  function go(next) {
    state = next;
    paint();
  }

  function paint() {
    const asked = question(state);
    const leave = leaveAt(state);
    const likely = state.answers.length
      ? ranking(state)
          .filter(({ p }) => p > 0.01)
          .slice(0, SHOWN)
      : [];
    put(
      body,
      asked ? el("p", {}, strong(asked.words)) : el("p", { text: keyWords.done }),
      asked &&
        el(
          "div",
          { class: "choices small" },
          asked.options.map((option) => optionButton(asked, option)),
          button(keyWords.cannotSee, () => go(answer(state, null, asked.character))),
        ),
      ...heeded(),
      leave &&
        el(
          "div",
          { class: "row" },
          button(
            `${keyWords.enterAs(tally.nameOf(leave.taxon))}, ${keyWords.percent(leave.p)}`,
            () => done(leave.taxon),
            { class: "filled wide" },
          ),
        ),
      likely.length > 0 && el("h3", { text: keyWords.likely }),
      likely.length > 0 &&
        el(
          "ul",
          { class: "ruled" },
          likely.map(({ taxon, name, p }) =>
            el(
              "li",
              {},
              plan(tally.taxon(taxon)?.drawing),
              el("span", { class: "words" }, name, el("div", { class: "second quiet", text: keyWords.percent(p) })),
              button(keyWords.enter, () => done(taxon), { "aria-label": keyWords.enterAs(name) }),
            ),
          ),
        ),
      likely.length > 1 &&
        el(
          "div",
          { class: "row" },
          button(keyWords.cards, () =>
            app.views.show(
              cardsPanel(
                app,
                likely.map(({ taxon }) => taxon),
              ),
            ),
          ),
        ),
      ...toldByBody(state).map((taxon) => el("p", { class: "second" }, keyWords.orElse(tally.nameOf(taxon)))),
    );
  }

  function optionButton(asked, option) {
    const drawing = asked.character === "body_plan" ? plan(option.key) : null;
    return el(
      "button",
      { type: "button", class: "button", on: { click: () => go(answer(state, option, asked.character)) } },
      drawing,
      el("span", { text: option.words }),
    );
  }

  /** What may not be overlooked although the name is not certain. */
  function heeded() {
    const stop = ["protected", "hazardous"];
    const found = new Map(
      warnings(state)
        .filter(({ p }) => p === null || p >= 0.05)
        .map((one) => [`${one.kind}${one.taxon}`, one]),
    );
    return [...found.values()]
      .slice(0, 3)
      .map(({ kind, taxon }) =>
        el(
          "p",
          {},
          chip(stop.includes(kind) ? "stop" : "near", `${noticeWords[kind]}: ${keyWords.maybe(tally.nameOf(taxon))}`),
        ),
      );
  }

  function done(taxon) {
    app.views.back();
    choose(taxon);
  }

  paint();
  const node = el(
    "div",
    { class: "view" },
    heading(keyWords.title),
    el("p", { class: "second quiet", text: keyWords.start }),
    body,
    bottom(
      button(moreWords.back, () => app.views.back()),
      button(keyWords.lastBack, () => go(back(state))),
      button(keyWords.again, () => go(start(tally.kit))),
    ),
  );
  return { node, head: "fold" };
}

/** Two to five names, and the looks that part them. */
export function cardsPanel(app, taxa) {
  const { tally } = app;
  const { taxa: known, looks, undecided } = sideBySide(tally.kit, taxa.slice(0, 5));
  const names = (keys) => listed(keys.map((key) => tally.nameOf(key)));
  const node = el(
    "div",
    { class: "view" },
    heading(keyWords.cardsTitle),
    el(
      "ul",
      { class: "ruled" },
      known.map((key) =>
        el(
          "li",
          {},
          plan(tally.taxon(key)?.drawing),
          el(
            "span",
            { class: "words" },
            strong(capital(tally.nameOf(key))),
            tally.taxon(key)?.notice?.protected && el("div", {}, chip("stop", askWords.protectedFirst)),
            tally.taxon(key)?.caution && el("div", { class: "second", text: tally.taxon(key).caution }),
          ),
        ),
      ),
    ),
    looks.map(({ words, of }) =>
      el(
        "section",
        { class: "clause" },
        el("h3", { text: words }),
        el(
          "dl",
          { class: "looks" },
          of.map(({ taxon, states }) =>
            el(
              "div",
              {},
              el("dt", { class: "second quiet", text: tally.nameOf(taxon) }),
              el("dd", { text: states.join(" or ") || keyWords.notKnown }),
            ),
          ),
        ),
      ),
    ),
    undecided.map((pair) => el("p", {}, chip("near", keyWords.nothingParts(names(pair))))),
    !known.length && el("p", { class: "empty", text: keyWords.pickTwo }),
    bottom(button(moreWords.back, () => app.views.back())),
  );
  return { node, head: "fold" };
}

/** Names to put side by side: picked one after the other. */
export function pickCards(app, chosen = []) {
  const { tally } = app;
  const again = (taxa) => app.views.replace(pickCards(app, taxa));
  const node = el(
    "div",
    { class: "view" },
    heading(keyWords.cardsTitle),
    el("p", { class: "second", text: keyWords.pickTwo }),
    el(
      "div",
      { class: "choices" },
      chosen.map((key) => nameRow(tally, key, null, () => again(chosen.filter((one) => one !== key)))),
    ),
    el(
      "div",
      { class: "row" },
      chosen.length < 5 &&
        button(askWords.another, () =>
          app.views.show(pickPanel(app, (key) => !key.startsWith("?") && again([...new Set([...chosen, key])]))),
        ),
      chosen.length > 1 && button(keyWords.cards, () => app.views.show(cardsPanel(app, chosen)), { class: "filled" }),
    ),
    bottom(button(moreWords.back, () => app.views.back())),
  );
  return { node, head: "fold" };
}
