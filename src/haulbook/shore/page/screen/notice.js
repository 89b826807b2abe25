/**
 * A notice covers all but the store line: what to do before what is owed. It goes only by a fate or another name.
 * What was called is written already; the answer says what became of the animals.
 */

import { button, el, say, strong } from "./dom.js";
import { whereTo } from "./fates.js";
import { markOf, plan } from "./marks.js";
import { pickPanel } from "./picker.js";
import { localDay, localTime } from "../reckon/time.js";
import { capital, noticeWords, span } from "./words.js";

/** The panel for a notice of `calls.open`. */
export function noticePanel(app, notice) {
  const { tally } = app;
  const { line, said } = notice;
  const kind = said.find((one) => one.kind === "protected")
    ? "protected"
    : said.find((one) => one.kind === "invasive")
      ? "invasive"
      : "duty";
  const haul = tally.hauls.find((one) => one.haul === line.haul);
  const landed = haul && tally.landedAt(haul);
  const clocks = said
    .filter(({ clockEndsAt, writtenBy, to }) => clockEndsAt || writtenBy || to)
    .map((duty) => owed(tally, duty));
  const head = {
    protected: [noticeWords.protected, mayKeep(tally, line) ? noticeWords.readFirst : noticeWords.letGo, "stop"],
    invasive: [noticeWords.invasive, noticeWords.notBack, "near"],
    duty: [noticeWords.permit, noticeWords.tellOf, "stop"],
  }[kind];
  const node = el(
    "div",
    { class: "notice", role: "alertdialog", "aria-label": `${head[0]}. ${head[1]}` },
    el(
      "header",
      {},
      markOf(head[2]),
      el("div", {}, el("p", { text: head[0] }), el("h1", { tabindex: -1, "data-first": true, text: head[1] })),
    ),
    el(
      "div",
      { class: "who" },
      el("span", { class: "n", text: line.n }),
      plan(tally.taxon(line.taxon)?.drawing),
      el(
        "div",
        { class: "words" },
        strong(tally.words(line).replace(/^\d+ /, "")),
        el("div", {
          class: "second",
          text: noticeWords.haulLanded(tally.number(line.haul), landed && tally.clock(Date.parse(landed))),
        }),
      ),
    ),
    el(
      "ol",
      {},
      steps(tally, line, said, kind).map((step) => el("li", {}, el("span", { text: step }))),
    ),
    clocks.map((clock) => clock.node),
    quotes(said).map(({ words, clause }) =>
      el(
        "figure",
        {},
        el("blockquote", { text: `“${words}”` }),
        el("figcaption", { class: "second", text: noticeWords.clause(clause.permit, clause.id) }),
      ),
    ),
    el("div", { class: "fates" }, answers(app, notice, kind)),
  );
  return { node, head: "none", kind: head[2], notice, tick: () => clocks.forEach((clock) => clock.tick()) };
}

/** What to do, in order: how to hold it, what the pack says, what stops. */
function steps(tally, line, said, kind) {
  const caution = tally.taxon(line.taxon)?.caution;
  const pack = said.filter(({ clause }) => !clause).map(({ words }) => words);
  const halts = said.filter(({ stop }) => stop && stop !== "none").map(({ stopWords }) => stopWords);
  const handled = /release/i.test(caution ?? "");
  const first =
    kind === "protected" && !handled ? [noticeWords.release] : kind === "invasive" ? [noticeWords.permitDecides] : [];
  return [...new Set([...first, ...(caution ? sentences(caution) : []), ...pack, ...halts])];
}

/** "harmless. Keep wet, support it." -> two steps, each with a capital. */
function sentences(text) {
  const parts = text.match(/[^.!?]+[.!?]*/g) ?? [];
  return parts
    .map((part) => part.trim())
    .filter((part) => part.length > 12)
    .map(capital);
}

const quotes = (said) =>
  said.filter(({ clause }, i) => clause && said.findIndex((one) => one.clause?.id === clause.id) === i);

function mayKeep(tally, line) {
  return tally.left(line).allowed === "certainly";
}

/** Whom to tell by when, with the time that is left. */
function owed(tally, { to, clockEndsAt, writtenBy, since }) {
  const time = el("span", { class: "time" });
  const node = el(
    "div",
    { class: "owed" },
    clockEndsAt && time,
    strong(noticeWords.tell(to)),
    clockEndsAt &&
      el("span", {
        class: "second",
        text: noticeWords.by(
          localTime(clockEndsAt),
          localDay(clockEndsAt),
          since ? noticeWords.landing : noticeWords.event,
        ),
      }),
    writtenBy && el("span", { class: "second", text: noticeWords.written(localDay(writtenBy)) }),
  );
  const tick = () => {
    const left = clockEndsAt ? Date.parse(clockEndsAt) - tally.now() : 0;
    say(time, left > 0 ? span(left) : noticeWords.over);
  };
  if (clockEndsAt) tick();
  return { node, tick: () => clockEndsAt && tick() };
}

function answers(app, notice, kind) {
  const { calls, tally } = app;
  const { line } = notice;
  const go = (to, more) => () => app.guard(calls.heed(notice, to, more));
  const another = button(noticeWords.another, () =>
    app.views.show(pickPanel(app, (taxon) => app.guard(calls.rename(notice, taxon)))),
  );
  if (kind === "protected") {
    return [
      button(line.n > 1 ? noticeWords.swamMany : noticeWords.swam, go("back"), { class: "first" }),
      button(noticeWords.dead, go("dead-back")),
      another,
      ...(mayKeep(tally, line) && tally.isKept(line.to)
        ? [button(noticeWords.asCalled(whereTo(line.to)), go(null))]
        : []),
    ];
  }
  if (kind === "invasive") {
    return [
      button(noticeWords.killed, go("killed-kept"), { class: "first" }),
      button(noticeWords.allowed, go("back")),
      ...(/^(?:bucket|cooler) /.test(line.to) ? [button(noticeWords.asCalled(whereTo(line.to)), go(null))] : []),
      button(noticeWords.gotAway, go("lost", { cause: noticeWords.gotAwayCause })),
      another,
    ];
  }
  return [button(noticeWords.understood, go(null), { class: "first" }), another];
}
