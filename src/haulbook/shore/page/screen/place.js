/** A bucket, a cooler or the net: what is in it, and what can be done with it. */

import { button, el, put, strong } from "./dom.js";
import { minutesWords } from "./buckets.js";
import { bottom, choice, field, heading, numberIn, toggle } from "./forms.js";
import { destinations, placeButtons } from "./fates.js";
import { round } from "./haul.js";
import { kindsIn } from "./drafts.js";
import { leavePanel } from "./leaving.js";
import { markOf } from "./marks.js";
import { emptyInto, moveKind } from "./moving.js";
import { readingPanel } from "./reading.js";
import { recountPanel } from "./recount.js";
import { chip } from "./understood.js";
import { bucketWords, capital, closeWords, moreWords, placeWords, sortWords } from "./words.js";

export function placePanel(app, name) {
  const { tally } = app;
  const isNet = name === "net";
  const title = heading("");
  const body = el("div");

  function update() {
    const place = tally.place(name);
    const kinds = kindsIn(place.lots);
    const oxygen = place.n > 0 && !isNet ? tally.minutes(place) : null;
    put(title, placeWords.title(name, isNet ? null : placeWords[place.purpose]));
    put(
      body,
      el(
        "p",
        {},
        strong(sortWords.holds(place.n)),
        oxygen && `, ${oxygen.refused ? oxygen.words : bucketWords.ofOxygen(minutesWords(oxygen))}`,
        place.leftAt && `, ${closeWords.left(tally.clock(Date.parse(place.leftAt)))}`,
      ),
      el(
        "ul",
        { class: "heed" },
        tally
          .warnings(place)
          .map(({ words, level }) =>
            el("li", {}, level === "never" ? chip("near", words) : [markOf("near"), el("span", { text: words })]),
          ),
      ),
      kinds.length
        ? el(
            "ul",
            { class: "ruled" },
            kinds.map((kind) => kindRow(kind)),
          )
        : el("p", { class: "empty", text: sortWords.empty }),
      place.n > 0 &&
        el(
          "div",
          { class: "row" },
          button(isNet ? closeWords.restBack : closeWords.allBack, () => app.guard(emptyInto(app, name, "back")), {
            class: "filled",
          }),
          button(sortWords.emptyInto(name), () =>
            app.views.show(whereto(app, sortWords.emptyInto(name), (to) => emptyInto(app, name, to), name)),
          ),
        ),
      !isNet && el("h3", { text: sortWords.waterTitle }),
      !isNet &&
        el(
          "div",
          { class: "row" },
          button(sortWords.water, () => act({ act: "water-changed" })),
          button(sortWords.air, () => app.views.show(airPanel(app, name))),
          button(sortWords.lid, () => act({ act: "lid" })),
          button(sortWords.reading, () => app.views.show(readingPanel(app, name))),
        ),
      !isNet && name.startsWith("bucket ") && el("h3", { text: sortWords.purpose }),
      !isNet &&
        name.startsWith("bucket ") &&
        choice(
          sortWords.purpose,
          [
            ["keep", sortWords.keepFor],
            ["hold", sortWords.holdFor],
            ["release", sortWords.releaseFor],
          ],
          place.purpose,
          (purpose) => act({ act: "purpose", purpose }),
        ).node,
      !isNet &&
        !place.leftAt &&
        place.n > 0 &&
        el(
          "div",
          { class: "row" },
          button(closeWords.leaves, () => app.views.show(leavePanel(app, name))),
        ),
    );
  }

  function act(more) {
    app.guard(tally.write([{ kind: "place", body: { place: name, ...more } }]));
  }

  function kindRow(kind) {
    const words = tally.words({ ...kind, n: kind.n }).replace(/^-?\d+ /, "");
    return el(
      "li",
      {},
      el("span", { class: "n", text: kind.n }),
      el("span", { class: "words" }, strong(words), known(kind)),
      el(
        "span",
        { class: "acts" },
        button(sortWords.back, () => app.guard(moveKind(app, name, kind, kind.n, "back")), {
          "aria-label": `${words}: ${closeWords.allBack}`,
        }),
        button(sortWords.move, () => app.views.show(movePanel(app, name, kind)), {
          "aria-label": `${words}: ${sortWords.move}`,
        }),
      ),
    );
  }

  const node = el("div", { class: "view" }, title, body, bottom(button(moreWords.back, () => app.views.back())));
  return { node, head: "fold", update };
}

/** Sex, eggs and lengths that are known of some of a kind. */
function known(kind) {
  const parts = kind.lots
    .flatMap(({ n, sex, berried, length_mm: mm }) => [
      sex && `${n} ${sortWords.sex[sex] ?? sex}`.toLowerCase(),
      berried && `${n} ${sortWords.berried}`.toLowerCase(),
      mm && `${mm} mm`,
    ])
    .filter(Boolean);
  return parts.length ? el("div", { class: "second quiet", text: [...new Set(parts)].join(", ") }) : null;
}

/** Some of a kind: how many, where to, and what else is known of them. */
function movePanel(app, name, kind) {
  const { tally } = app;
  const words = tally.words({ ...kind, n: kind.n }).replace(/^-?\d+ /, "");
  const n = field(sortWords.howMany, { mode: "numeric", value: String(Math.max(0, kind.n)) });
  const sex = choice(sortWords.tells, Object.entries(sortWords.sex));
  const berried = toggle(sortWords.berried);

  async function go(to) {
    const wanted = numberIn(n.input);
    n.off(Number.isInteger(wanted) && wanted > 0 ? null : sortWords.needsWhole);
    if (!(Number.isInteger(wanted) && wanted > 0)) return;
    const told = { ...(sex.value && { sex: sex.value }), ...(berried.value && { berried: true }) };
    const moved = await moveKind(app, name, kind, wanted, to, told);
    if (moved) app.views.back();
  }

  const recount = () => app.views.replace(recountPanel(app, name, kind));
  const node = el(
    "div",
    { class: "view" },
    heading(capital(words)),
    n.node,
    el("h3", { text: sortWords.whereTo }),
    placeButtons(
      destinations(tally, { net: false }).filter(([place]) => place !== name),
      (to) => app.guard(go(to)),
    ),
    el("h3", { text: sortWords.tells }),
    sex.node,
    el("div", { class: "row" }, berried.node),
    bottom(
      button(moreWords.back, () => app.views.back()),
      button(sortWords.recount, recount),
    ),
  );
  return { node, head: "fold" };
}

/** A place to choose. */
function whereto(app, title, go, except) {
  const done = async (to) => {
    await go(to);
    app.views.back();
  };
  return {
    head: "fold",
    node: el(
      "div",
      { class: "view" },
      heading(capital(title)),
      placeButtons(
        destinations(app.tally, { net: false }).filter(([place]) => place !== except),
        (to) => app.guard(done(to)),
      ),
      bottom(button(moreWords.back, () => app.views.back())),
    ),
  };
}

function airPanel(app, name) {
  const rate = field(sortWords.airRate, { mode: "decimal" });
  const note = async () => {
    const value = numberIn(rate.input);
    rate.off(value === null || value >= 0 ? null : sortWords.needsNumber);
    if (value !== null && !(value >= 0)) return;
    await app.tally.write([
      { kind: "place", body: { place: name, act: "air", ...(value !== null && { air_per_h: round(value) }) } },
    ]);
    app.views.back();
  };
  return {
    head: "fold",
    node: el(
      "div",
      { class: "view" },
      heading(`${capital(name)}: ${sortWords.air}`),
      rate.node,
      bottom(
        button(moreWords.back, () => app.views.back()),
        button(sortWords.air, () => app.guard(note()), { class: "filled" }),
      ),
    ),
  };
}
