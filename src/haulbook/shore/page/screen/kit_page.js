/** The permit and the kit: how old it is, what may still be taken, the permit's own words, cautions. */

import { fetchKit } from "../book/fetching.js";
import { button, el, put, strong } from "./dom.js";
import { bottom, heading } from "./forms.js";
import { localDay, localTime } from "../reckon/time.js";
import { leftLine } from "./understood.js";
import { capital, kitWords, leftWords, moreWords, setupWords, span } from "./words.js";

/** "made 3 h 20 min ago", or that the clock is behind. */
export function ageWords(madeAt, now) {
  const age = now - Date.parse(madeAt);
  return age < 0 ? setupWords.ahead : setupWords.made(span(age));
}

export function kitPanel(app) {
  const { tally } = app;
  const said = el("p", { class: "second", role: "status" });
  const body = el("div");

  async function newer() {
    const before = tally.kit.digest;
    put(said, setupWords.looking);
    const kit = await fetchKit(tally.store, { outing: tally.outing });
    put(said, kit.digest === before ? kitWords.upToDate : setupWords.newer);
  }

  function update() {
    const { kit } = tally;
    const halts = tally.stops();
    put(
      body,
      el(
        "p",
        {},
        kitWords.age(`${localDay(kit.made_at)}, ${localTime(kit.made_at)}`, ageWords(kit.made_at, tally.now())),
      ),
      el("p", {}, strong(tally.isKeeper ? kitWords.yours : kitWords.keeper(kit.keep_device))),
      kit.to_settle.length > 0 && [
        el("h3", { text: kitWords.settle }),
        el(
          "ul",
          { class: "ruled" },
          kit.to_settle.map((text) => el("li", { text })),
        ),
      ],
      halts.length > 0 && el("h3", { text: kitWords.stops }),
      el("ul", { class: "ruled" }, halts.map(halt)),
      el("h3", { text: kitWords.left }),
      tally.standings().map((standing) => el("div", { class: "clause" }, room(standing), quote(standing.clause))),
      el("h3", { text: kitWords.conditions }),
      kit.conditions.map((one) => el("div", { class: "clause" }, quote(one))),
      el("p", {}, strong(kitWords.words)),
      el("h3", { text: kitWords.cautions }),
      el(
        "ul",
        { class: "ruled" },
        kit.cautions.map((text) => el("li", {}, el("span", { class: "words second", text }))),
      ),
    );
  }

  const node = el(
    "div",
    { class: "view" },
    heading(kitWords.title),
    said,
    body,
    bottom(
      button(moreWords.back, () => app.views.back()),
      button(kitWords.takeNewer, () => app.contact(newer(), said)),
    ),
  );
  return { node, head: "fold", update };
}

const quote = ({ permit, id, text, where }) =>
  el(
    "figure",
    {},
    el("blockquote", { text: `“${text}”` }),
    el("figcaption", { class: "second quiet", text: [`${permit}, ${id}`, where].filter(Boolean).join(", ") }),
  );

const halt = ({ words, why, permit, clause }) =>
  el("li", {}, el("span", { class: "words" }, `${capital(words)}: ${why} (${permit}, ${clause})`));

/** What a clause has left; a percentage, and a clause without a number, only say their span. */
function room(standing) {
  const { clause } = standing;
  if (clause.limit !== null) return el("div", { class: "understood" }, leftLine(standing));
  return el(
    "div",
    {},
    strong(`${kitWords.noLimit} `),
    leftWords.clause(leftWords.periods[clause.period] ?? "", clause.id),
  );
}
