/** Counted again: what somebody found in a place, and what became of those that were not there. */

import { countedAgain } from "../reckon/rest.js";
import { button, el } from "./dom.js";
import { bottom, heading } from "./forms.js";
import { padPanel } from "./pad.js";
import { moveKind } from "./moving.js";
import { askWords, closeWords, sortWords } from "./words.js";

/** How many are there; where that differs from the lines, what became of the rest is asked at once. */
export function recountPanel(app, name, kind) {
  const { tally } = app;
  const words = tally.words(kind).replace(/^-?\d+ /, "");
  const enter = async (n) => {
    await tally.write([
      countedAgain({ place: name, taxon: kind.taxon, stage: kind.stage ?? undefined, unit: kind.unit, n }),
    ]);
    if (n < kind.n) app.views.replace(lostPanel(app, name, kind, kind.n - n));
    else app.views.back();
  };
  return padPanel(app, {
    title: sortWords.recountTitle(words, name),
    sub: sortWords.holds(kind.n),
    zero: true,
    enter: (n) => app.guard(enter(n)),
  });
}

/** Fewer were found than the lines say: lost, with the cause, or left for later. */
export function lostPanel(app, name, kind, n) {
  const go = async (cause) => {
    await moveKind(app, name, kind, n, "lost", { cause });
    app.views.back();
  };
  return {
    head: "fold",
    node: el(
      "div",
      { class: "view" },
      heading(closeWords.lostN(n)),
      el("p", { text: closeWords.cause }),
      el(
        "div",
        { class: "choices small" },
        closeWords.causes.map((cause) => button(cause, () => app.guard(go(cause)))),
      ),
      bottom(button(askWords.later, () => app.views.back())),
    ),
  };
}
