/** The list of a haul, read back large before it ends: what was called, in the order in which it was called. */

import { haulList } from "../reckon/list.js";
import { button, el, put, strong } from "./dom.js";
import { bottom, heading } from "./forms.js";
import { whereTo } from "./fates.js";
import { landPanel } from "./haul.js";
import { chip } from "./understood.js";
import { haulWords, many } from "./words.js";

export function readback(app) {
  const { tally } = app;
  const { haul } = tally.on;
  const n = tally.number(haul);
  const list = el("div");

  function update() {
    const { rows, none } = haulList(tally.state, haul);
    const named = rows.filter(({ taxon }) => !taxon.startsWith("?"));
    const sought = tally.kit.looked_for.filter((taxon) => !rows.some((row) => row.taxon === taxon));
    const total = rows.reduce((sum, row) => sum + row.n, 0);
    put(
      list,
      rows.length === 0 && el("p", { class: "empty", text: haulWords.nothing }),
      el(
        "ul",
        { class: "ruled" },
        rows.map((row) =>
          el(
            "li",
            {},
            el("span", { class: "n", text: row.n }),
            el(
              "span",
              { class: "words" },
              strong(tally.words(row).replace(/^\d+ /, "")),
              el("div", { class: "second quiet", text: places(row) }),
            ),
          ),
        ),
      ),
      named.length < rows.length && el("p", {}, chip("near", haulWords.openNames)),
      rows.length > 0 && el("p", {}, strong(`${haulWords.total} ${many(total, "animal")}`)),
      sought.length > 0 && el("h3", { text: haulWords.looked }),
      el(
        "ul",
        { class: "ruled" },
        sought.map((taxon) =>
          el(
            "li",
            {},
            el(
              "span",
              { class: "words" },
              tally.nameOf(taxon),
              el("div", {
                class: "second quiet",
                text: none.includes(taxon) ? haulWords.noneNoted : haulWords.notCalled,
              }),
            ),
            !none.includes(taxon) && button(haulWords.none, () => app.guard(searched(taxon))),
          ),
        ),
      ),
    );
  }

  const searched = (taxon) => tally.write([{ kind: "searched-and-none", body: { haul, taxa: [taxon] } }]);

  async function end() {
    if (tally.landing?.haul === haul) return app.views.show(landPanel(app, () => app.guard(end())));
    await tally.write([{ kind: "haul-ended", body: { haul } }]);
    return app.views.home();
  }

  const node = el(
    "div",
    { class: "view" },
    heading(haulWords.readTitle(n)),
    el("p", { class: "second quiet", text: haulWords.readSub }),
    list,
    bottom(
      button(haulWords.goOn, () => app.views.back()),
      button(haulWords.endNow(n), () => app.guard(end()), { class: "filled" }),
    ),
  );
  return { node, head: "fold", update };
}

function places({ n, places: at }) {
  const parts = Object.entries(at);
  return parts.length === 1
    ? whereTo(parts[0][0])
    : parts.map(([place, here]) => `${here} ${whereTo(place)}`).join(", ") || String(n);
}
