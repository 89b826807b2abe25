/** Sorting and closing: each place its own verb until all are empty; what blocks and what may wait are parted. */

import { button, el, put, say, strong } from "./dom.js";
import { minutesWords } from "./buckets.js";
import { kindsIn } from "./drafts.js";
import { bottom, heading } from "./forms.js";
import { landPanel } from "./haul.js";
import { leavePanel, tankPanel } from "./leaving.js";
import { emptyInto } from "./moving.js";
import { placePanel } from "./place.js";
import { readback } from "./readback.js";
import { lostPanel } from "./recount.js";
import { chip } from "./understood.js";
import { localTime } from "../reckon/time.js";
import { bucketWords, closeWords, moreWords, number, placeWords } from "./words.js";

const TAXA_SHOWN = 3;
const OF_ANIMALS = ["animals", "unaccounted"];

export function closingPanel(app, sorting) {
  const { tally, calls } = app;
  const title = el("h1", { tabindex: -1, "data-first": true });
  const water = el("p", { class: "second" });
  const body = el("div");
  const close = button("", finish, { class: "wide" });

  /** Everything that stands open: [{words, sub, n, verb, go}], blocking first. */
  function open() {
    const things = [];
    if (tally.on)
      things.push({
        words: closeWords.haulOpen(tally.number(tally.on.haul)),
        verb: closeWords.endIt,
        go: () => app.views.show(readback(app)),
      });
    if (tally.landing)
      things.push({
        words: closeWords.landingOpen(tally.number(tally.landing.haul)),
        verb: closeWords.answer,
        go: () => app.views.show(landPanel(app)),
      });
    for (const place of [tally.place("net"), ...tally.places()])
      if (place.lots.some(({ n }) => n > 0)) things.push(placeThing(place));
    for (const off of tally.state.notFound) if (off.n > 0) things.push(notFoundThing(off));
    for (const question of calls.later) {
      things.push({
        words: closeWords.asked(question.said),
        verb: closeWords.answer,
        go: () => app.guard(calls.takeUpLater(question).then(() => app.views.home())),
      });
    }
    for (const one of tally.openThings()) {
      if (one.blocks && !OF_ANIMALS.includes(one.kind) && !one.key.startsWith("count-differs")) {
        things.push({ words: one.words, verb: closeWords.settle, go: () => app.views.show(settlePanel(app, one)) });
      }
    }
    return things;
  }

  function placeThing({ place, purpose, lots, n, leftAt }) {
    const oxygen = purpose === "keep" && !leftAt && n > 0 ? tally.minutes(tally.place(place)) : null;
    const kinds = kindsIn(lots)
      .slice(0, TAXA_SHOWN)
      .map((kind) => tally.words(kind))
      .join(", ");
    const keeps = place.startsWith("cooler ") || leftAt;
    const verb = keeps
      ? closeWords.intoTank
      : purpose === "keep"
        ? closeWords.toCooler
        : place === "net"
          ? closeWords.restBack
          : closeWords.allBack;
    const go = keeps
      ? () => app.views.show(tankPanel(app, place))
      : () => app.guard(emptyInto(app, place, purpose === "keep" ? "cooler 1" : "back"));
    return {
      n: n || lots.length,
      words: placeWords.title(place, place === "net" ? null : placeWords[purpose]),
      sub: oxygen && !oxygen.refused ? `${bucketWords.ofOxygen(minutesWords(oxygen))}. ${kinds}` : kinds,
      verb,
      go,
      more: () => app.views.show(placePanel(app, place)),
      filled: true,
      leaves: keeps && !leftAt ? () => app.views.show(leavePanel(app, place)) : null,
      left: leftAt && closeWords.left(tally.clock(Date.parse(leftAt))),
    };
  }

  function notFoundThing({ place, taxon, stage, n }) {
    const kind = { taxon, stage, unit: "individual", n };
    return {
      n,
      words: closeWords.notFoundIn(tally.nameOf(taxon)),
      sub: placeWords.title(place),
      verb: closeWords.settle,
      go: () => app.views.show(lostPanel(app, place, kind, n)),
    };
  }

  function row({ n, words, sub, verb, go, filled, more, leaves, left }) {
    const said = [
      strong(words),
      sub && el("span", { class: "second", text: sub }),
      left && el("span", { class: "second", text: left }),
    ];
    return el(
      "li",
      {},
      n !== undefined && el("span", { class: "n", text: n }),
      more
        ? el("button", { type: "button", class: "link words", on: { click: more } }, said)
        : el("span", { class: "words" }, said),
      el(
        "span",
        { class: "acts" },
        leaves && button(closeWords.leaves, leaves),
        button(verb, go, { class: filled ? "filled" : "", "aria-label": `${words}: ${verb}` }),
      ),
    );
  }

  function balance() {
    const { state } = tally;
    const inside = [tally.state.place("net"), ...tally.places()].reduce(
      (sum, place) => sum + Math.max(0, place?.n ?? 0),
      0,
    );
    const parts = Object.entries(state.outside).map(([place, n]) => [placeWords[place] ?? place, n]);
    const tanks = state.places.filter(({ place }) => place.startsWith("tank ")).reduce((sum, { n }) => sum + n, 0);
    const line = (words, n, kind) => el("div", { class: kind }, el("dt", {}, words), el("dd", { text: number(n) }));
    const off = state.notFound.map(({ n, taxon }) => `${Math.abs(n)} ${tally.nameOf(taxon)}`).join(", ");
    return el(
      "dl",
      { class: "balance" },
      line(closeWords.out(tally.hauls.length), state.outOfSea, "total"),
      parts.map(([words, n]) => line(words, n, "part")),
      tanks > 0 && line(closeWords.inTanks, tanks, "part"),
      line(closeWords.inside, inside, "part"),
      line(closeWords.accounted, state.accounted, "total ruled-off"),
      line(state.difference ? chip("near", closeWords.notFound(off)) : closeWords.difference, state.difference, ""),
    );
  }

  function waits() {
    const owed = tally
      .duties()
      .map(({ to, taxon, clockEndsAt, writtenBy }) =>
        closeWords.told(to, tally.nameOf(taxon), clockEndsAt ? localTime(clockEndsAt) : writtenBy),
      );
    const printed = tally
      .openThings()
      .filter(({ blocks }) => !blocks)
      .map(({ words }) => words);
    const names = tally.state.openNames.reduce((sum, { n }) => sum + n, 0);
    const all = [...owed, ...(names ? [closeWords.namesOpen(names)] : []), ...printed];
    return all.length > 0 && el("p", { class: "second" }, strong(closeWords.mayWait), ` ${all.join("; ")}.`);
  }

  function time() {
    const head = sorting();
    say(title, closeWords.title(head.title));
    say(water, head.water);
  }

  function update() {
    time();
    const things = open();
    const { closed } = tally;
    put(
      body,
      el("h2", { text: things.some(({ filled }) => filled) ? closeWords.empty : closeWords.allEmpty }),
      el("ul", { class: "places" }, things.map(row)),
      balance(),
      waits(),
      closed && el("p", { class: "empty" }, closeWords.closedAt(tally.clock(Date.parse(closed.at)))),
    );
    const words = closed
      ? [closeWords.strikeClose]
      : things.length
        ? [strong(closeWords.close), `· ${closeWords.open(things.length)}`]
        : [closeWords.close];
    put(close, ...words);
    close.classList.toggle("filled", !closed && !things.length);
  }

  /** Never dead: it closes, or goes to the first thing that stands open. */
  function finish() {
    const { closed } = tally;
    if (closed) return app.guard(calls.strike([closed.id], "not closed yet"));
    const [first] = open();
    if (!first) return app.guard(tally.write([{ kind: "outing-closed", body: {} }]));
    if (!first.filled) return first.go();
    const row = body.querySelector(".places .acts .filled");
    row.scrollIntoView({ block: "center" });
    return row.focus();
  }

  const node = el(
    "div",
    { class: "view closing" },
    el("div", { class: "clock" }, el("div", { class: "words" }, title, water)),
    body,
    bottom(
      button(moreWords.back, () => app.views.back(), { class: "narrow" }),
      close,
    ),
  );
  return { node, head: "none", update, tick: time };
}

/** What the lines say against each other: both stand, and why; or lines are struck in the list. */
function settlePanel(app, thing) {
  const { tally } = app;
  const settle = async (answer) => {
    await tally.write([{ kind: "settled", body: { key: thing.key, answer, why: thing.words } }]);
    app.views.back();
  };
  return {
    head: "fold",
    node: el(
      "div",
      { class: "view" },
      heading(closeWords.settle),
      el("p", { text: thing.words }),
      el("p", { class: "second quiet", text: closeWords.settleHow }),
      el(
        "div",
        { class: "row" },
        button(closeWords.toList, () => app.lists(thing.entries)),
        button(closeWords.bothStand, () => app.guard(settle("both stand"))),
      ),
      bottom(button(moreWords.back, () => app.views.back())),
    ),
  };
}
