/** A question: what was sure is entered already, only the rest is asked. At most four choices, and "ask me later". */

import { sideBySide } from "../reckon/apart.js";
import { button, el, strong } from "./dom.js";
import { field, heading, numberIn } from "./forms.js";
import { destinations, placeButtons, whereTo } from "./fates.js";
import { padPanel } from "./pad.js";
import { nameRow, pickPanel } from "./picker.js";
import { cardsPanel } from "./which_one.js";
import { askWords, callWords, keyWords } from "./words.js";

/** The panel for a question. */
export function questionPanel(app, question) {
  const make = {
    name: askName,
    count: askCount,
    fate: askPlace,
    place: askPlace,
    stage: askStage,
    length: askLength,
    zero: askZero,
    kept: askKept,
    haul: askHaul,
  };
  const parts = (make[question.about] ?? askWordsOnly)(app, question);
  const node = el(
    "div",
    { class: "view" },
    spoken(app, question),
    heading(parts.title),
    parts.sub && el("p", { text: parts.sub }),
    parts.body,
    el("div", { class: "row" }, parts.acts ?? [], later(app, question)),
  );
  return { node, head: "fold", question };
}

/** The call with the open part ringed, and what of it was entered. */
function spoken(app, { text, said }) {
  const { last } = app.calls;
  const entered = last && last.text === text && !last.struckAt ? last.lines : [];
  if (!text) return null;
  const at = said ? text.toLowerCase().indexOf(said.toLowerCase()) : -1;
  const quote =
    at < 0
      ? [`“${text}”`]
      : [
          `“${text.slice(0, at)}`,
          el("span", { class: "ringed", text: text.slice(at, at + said.length) }),
          `${text.slice(at + said.length)}”`,
        ];
  return el(
    "div",
    { class: "spoken" },
    el("p", { class: "said" }, quote),
    entered.length > 0 &&
      el(
        "p",
        { class: "second" },
        strong(askWords.entered),
        ` ${entered.map((line) => `${app.tally.words(line)} ${whereTo(line.to)}`).join(", ")}`,
      ),
  );
}

const later = (app, question) => button(askWords.later, () => app.guard(putOff(app, question)));

/** A name that is put off is entered as it was said, so that it counts; anything else waits on this phone. */
async function putOff(app, question) {
  const { about, line, said } = question;
  if (about === "name" && line && line.count > 0)
    return app.guard(app.calls.answer(question, { taxon: `?${said.trim()}` }));
  return app.calls.drop(question, true);
}

// Names

function askName(app, question) {
  const { tally, calls } = app;
  const { choices, line } = question;
  const names = choices.map((key) => tally.nameOf(key));
  const fine = choices.filter((key) => !tally.kit.taxa.some(({ parent }) => parent === key));
  const look = fine.length > 1 ? sideBySide(tally.kit, fine).looks[0] : null;
  const choose = (taxon, more = {}) => app.guard(calls.answer(question, { taxon, ...more }));
  const rows = choices.map((key) => nameRow(tally, key, look, () => choose(key)));
  const group = groupOf(tally, choices);
  if (group && !choices.includes(group)) rows.push(unsureRow(tally, group, () => choose(group)));
  return {
    title: names.length > 1 ? askWords.or(names.slice(0, 3)) : askWords.which,
    sub: look ? `${askWords.looks} ${look.words}` : null,
    body: el("div", { class: "choices" }, rows),
    acts: [
      button(askWords.another, () =>
        app.views.show(
          pickPanel(
            app,
            (taxon) => choose(taxon),
            line ? question.said : null,
            button(askWords.again, () => app.guard(sayAgain(app, question))),
          ),
        ),
      ),
      fine.length > 1 && button(keyWords.cards, () => app.views.show(cardsPanel(app, fine))),
    ],
  };
}

function unsureRow(tally, group, press) {
  const careful = tally.taxon(group)?.notice?.protected;
  const name = tally.nameOf(group);
  return el(
    "button",
    { type: "button", class: "choice", on: { click: press } },
    el("span", { class: "none", "aria-hidden": "true", text: "?" }),
    el(
      "span",
      { class: "words" },
      strong(askWords.cannot),
      el("span", { text: careful ? askWords.protectedHeld(name) : askWords.held(name) }),
    ),
  );
}

/** The nearest name above all of some; null where it says nothing a recorder would write. */
function groupOf(tally, keys) {
  const above = (key) => {
    const found = [];
    for (let one = key; one; one = tally.taxon(one)?.parent) found.push(one);
    return found;
  };
  if (keys.length < 2) return null;
  const common = above(keys[0]).find((one) => keys.every((key) => above(key).includes(one)));
  return common && tally.taxon(common)?.group !== "higher" ? common : null;
}

async function sayAgain(app, question) {
  await app.calls.drop(question);
  app.views.home();
  app.line.fill(question.said || question.text || "");
}

// The rest

function askCount(app, question) {
  const { tally, calls } = app;
  const name = question.line?.taxon ? tally.nameOf(question.line.taxon) : question.said;
  const pad = padPanel(app, { title: "", enter: (count) => app.guard(calls.answer(question, { count })) });
  pad.node.querySelector("h2").remove();
  pad.node.className = "";
  const seen = async () => {
    await calls.drop(question);
    await tally.write([
      { kind: "present", body: { haul: question.haul, taxon: question.line.taxon }, at: question.at },
    ]);
  };
  return {
    title: askWords.count(name),
    body: pad.node,
    acts: [question.line?.taxon && question.haul && button(askWords.seen, () => app.guard(seen()))],
  };
}

function askPlace(app, question) {
  const what = question.line?.taxon
    ? app.tally.words({ n: question.line.count ?? "", taxon: question.line.taxon, stage: question.line.stage })
    : `“${question.said}”`;
  const go = (to) => app.guard(app.calls.answer(question, { to }));
  return {
    title: question.about === "fate" ? askWords.fate(what) : askWords.place(what),
    sub: question.line ? null : askWords.againSub,
    body: question.line ? placeButtons(destinations(app.tally), go) : null,
    acts: [button(askWords.again, () => sayAgain(app, question))],
  };
}

function askStage(app, question) {
  const what = app.tally.nameOf(question.line.taxon);
  const choose = (stage) => app.guard(app.calls.answer(question, { stage }));
  return {
    title: askWords.stage(what),
    body: el(
      "div",
      { class: "choices small" },
      Object.entries(askWords.stages).map(([stage, words]) => button(words, () => choose(stage))),
      button(keyWords.cannotSee, () => choose(null)),
    ),
  };
}

function askLength(app, question) {
  const one = field(askWords.length, { mode: "decimal" });
  const enter = () => {
    const mm = numberIn(one.input);
    if (mm > 0) app.guard(app.calls.answer(question, { length_mm: mm }));
  };
  return {
    title: askWords.length,
    body: one.node,
    acts: [
      button(callWords.enter, enter, { class: "filled" }),
      button(askWords.noLength, () => app.guard(app.calls.answer(question, { length_mm: null }))),
    ],
  };
}

function askZero(app, question) {
  const name = question.line?.taxon ? app.tally.nameOf(question.line.taxon) : question.said;
  return {
    title: askWords.zero(name),
    body: el(
      "div",
      { class: "choices" },
      question.line?.taxon &&
        button(askWords.yesNone, () => app.guard(app.calls.answer(question, { zero: true, count: 0 })), {
          class: "filled",
        }),
      button(askWords.noZero, () => app.guard(app.calls.drop(question))),
    ),
  };
}

function askWordsOnly(app, question) {
  return {
    title: askWords.words,
    sub: askWords.wordsSub,
    body: null,
    acts: [
      button(askWords.again, () => app.guard(sayAgain(app, question)), { class: "filled" }),
      button(askWords.leave, () => app.guard(app.calls.drop(question))),
    ],
  };
}

/** More would be kept than the permit has room for: asked before it is in the bucket. */
function askKept(app, question) {
  const { move, left, allowed, clause } = question;
  const go = (lines) => app.guard(app.calls.enterKept(question, lines));
  const back = move.n - left;
  return {
    title: allowed ? askWords.keptTitle : askWords.noKeep,
    sub: `${app.tally.words(move)}: ${allowed || clause ? askWords.keepRoom(left) : askWords.noClause}`,
    body: el(
      "div",
      {},
      clause &&
        el(
          "figure",
          { class: "clause" },
          el("blockquote", { text: `“${clause.text}”` }),
          el("figcaption", { class: "second", text: `${clause.permit}, ${clause.id}` }),
        ),
      el(
        "div",
        { class: "choices" },
        left > 0 &&
          button(
            askWords.keepSome(left, back),
            () =>
              go([
                { ...move, n: left },
                { ...move, n: back, to: "back" },
              ]),
            { class: "filled" },
          ),
        button(askWords.keepNone(move.n), () => go([{ ...move, to: "back" }]), { class: left > 0 ? "" : "filled" }),
        button(askWords.keepAll, () => go([move])),
      ),
    ),
  };
}

function askHaul(app, question) {
  const { tally, calls } = app;
  const { lastHaul } = tally;
  const go = async (haul) => {
    await calls.drop(question);
    if (question.lines)
      return calls.write(
        question.lines.map((line) => ({ ...line, haul })),
        [],
        { haul, at: question.at },
      );
    return calls.call(question.text, { haul, at: question.at });
  };
  return {
    title: askWords.noHaul,
    sub: askWords.noHaulSub,
    body: el(
      "div",
      { class: "choices" },
      button(
        askWords.startNow(tally.nextNumber),
        () => app.guard(app.startHaul(() => go(`${tally.outing}/${tally.number(tally.on.haul)}`))),
        { class: "filled" },
      ),
      lastHaul && button(askWords.ofHaul(tally.number(lastHaul.haul)), () => app.guard(go(lastHaul.haul))),
      button(askWords.leaveOut, () => app.guard(calls.drop(question))),
    ),
  };
}
