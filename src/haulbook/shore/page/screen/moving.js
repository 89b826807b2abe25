/** Animals go from a place to another: all of them in one act, or some of a kind. */

import { emptyPlace, take } from "../reckon/rest.js";
import { button, el } from "./dom.js";
import { bottom, heading } from "./forms.js";
import { askWords } from "./words.js";

/** Everything in a place goes to another, in one act. */
export async function emptyInto(app, name, to, more = {}) {
  const draft = emptyPlace(app.tally.state, name, to, more);
  if (draft) app.calls.noted(await app.tally.write([draft]));
}

/** Some of a kind go from a place. More than this phone knows of is asked once, written, and shows as such. */
export async function moveKind(app, place, kind, n, to, told = {}) {
  const { tally } = app;
  const { cause, ...more } = told;
  const draft = take(tally.state, { place, to, taxon: kind.taxon, stage: kind.stage, unit: kind.unit, n, cause });
  draft.body.lines = draft.body.lines.map((line) => ({ ...line, ...more }));
  const unseen = draft.body.lines.some((line) => tally.state.notSeenHere(line, tally.outing));
  if (unseen)
    return app.views.show(unseenPanel(app, place, kind, async () => app.calls.noted(await tally.write([draft]))));
  app.calls.noted(await tally.write([draft]));
  return true;
}

function unseenPanel(app, place, kind, write) {
  const done = async () => {
    app.views.back();
    await write();
  };
  const words = app.tally.words(kind).replace(/^-?\d+ /, "");
  return {
    head: "fold",
    node: el(
      "div",
      { class: "view" },
      heading(askWords.notHere),
      el("p", { text: askWords.notHereSub(place, words, Math.max(0, kind.n)) }),
      bottom(
        button(askWords.goBack, () => app.views.back()),
        button(askWords.writeIt, () => app.guard(done()), { class: "filled" }),
      ),
    ),
  };
}
