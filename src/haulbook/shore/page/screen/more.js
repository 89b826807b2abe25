/** Everything that is not needed every minute, one press away. */

import { button, el } from "./dom.js";
import { bottom, choice, field, heading } from "./forms.js";
import { closingPanel } from "./closing.js";
import { setPanel } from "./haul.js";
import { kitPanel } from "./kit_page.js";
import { lengthsPanel } from "./lengths.js";
import { listPanel } from "./list.js";
import { readingPanel } from "./reading.js";
import { scoopsPanel } from "./scoops.js";
import { storePanel } from "./store_page.js";
import { chosenLook, setLook } from "./look.js";
import { pickCards, whichPanel } from "./which_one.js";
import { keyWords, lookWords, moreWords, remarkWords, setupWords } from "./words.js";

export function morePanel(app) {
  const { tally, calls } = app;
  const tap = (taxon) => app.guard(calls.tap(taxon, null));
  const entries = [
    [moreWords.sort, () => closingPanel(app, app.header.sorting)],
    [moreWords.lines, () => listPanel(app)],
    [moreWords.which, () => whichPanel(app, tap)],
    [keyWords.cardsTitle, () => pickCards(app)],
    [moreWords.lengths, () => lengthsPanel(app)],
    [moreWords.scoops, () => scoopsPanel(app)],
    [moreWords.reading, () => readingPanel(app)],
    [moreWords.remark, () => remarkPanel(app)],
    [moreWords.kit, () => kitPanel(app)],
    [moreWords.store, () => storePanel(app)],
    [moreWords.set, () => setPanel(app)],
    [`${moreWords.who}: ${tally.store.by}`, () => whoPanel(app)],
    [moreWords.look, () => lookPanel(app)],
    [moreWords.outing, () => app.setup()],
  ];
  const later = calls.later.map((question) =>
    button(
      `${moreWords.later}: “${question.said}”`,
      () => app.guard(calls.takeUpLater(question).then(() => app.views.home())),
      { class: "wide" },
    ),
  );
  const node = el(
    "div",
    { class: "view" },
    heading(moreWords.title),
    later.length > 0 && el("div", { class: "choices" }, later),
    el(
      "div",
      { class: "choices small" },
      entries.map(([words, make]) => button(words, () => app.views.show(make()))),
    ),
    bottom(button(moreWords.back, () => app.views.back())),
  );
  return { node, head: "fold" };
}

/** Who writes: by role and key, never by name. */
export function whoPanel(app) {
  const { tally } = app;
  const done = async (by) => {
    await tally.store.use({ by });
    app.views.back();
  };
  const people = tally.kit.crew.map(({ key, role }) => [key, setupWords.role(role, key)]);
  return panel(
    app,
    setupWords.whoTitle,
    choice(setupWords.whoTitle, people, tally.store.by, (by) => app.guard(done(by))).node,
  );
}

function lookPanel(app) {
  const looks = ["auto", "paper", "dawn", "sun"].map((look) => [look, lookWords[look]]);
  return panel(
    app,
    lookWords.title,
    el("p", { class: "second quiet", text: lookWords.sub }),
    choice(lookWords.title, looks, chosenLook(), setLook).node,
  );
}

function remarkPanel(app) {
  const { tally } = app;
  const text = field(remarkWords.label);
  const save = async () => {
    const said = text.input.value.trim();
    text.off(said ? null : remarkWords.needs);
    if (!said) return;
    const haul = (tally.on ?? tally.lastHaul)?.haul;
    await tally.write([{ kind: "remark", body: { text: said, ...(haul && { haul }) } }]);
    app.views.back();
  };
  return panel(
    app,
    remarkWords.title,
    text.node,
    button(remarkWords.save, () => app.guard(save()), { class: "filled wide" }),
  );
}

function panel(app, title, ...parts) {
  return {
    node: el("div", { class: "view" }, heading(title), parts, bottom(button(moreWords.back, () => app.views.back()))),
    head: app.tally.kit ? "fold" : "none",
  };
}
