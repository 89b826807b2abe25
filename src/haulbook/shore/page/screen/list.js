/** All lines of the outing, the newest first. Any line can be struck, and stays to be read. */

import { button, el, keyed, mark, put, say } from "./dom.js";
import { bottom, heading } from "./forms.js";
import { whereFrom, whereTo } from "./fates.js";
import { isOfAnimals } from "./photo.js";
import { callWords, capital, conditionWords, listWords, moreWords, photoWords, placeWords, readingWords } from "./words.js";

const STEP = 60;

/** @param {string[]|null} [only] ids of the entries to show */
export function listPanel(app, only = null) {
  const { tally, calls } = app;
  let shown = STEP;
  const list = el("ul", { class: "ruled" });
  const note = el("p", { class: "off", role: "alert" });
  const more = button(moreWords.title, () => {
    shown += STEP;
    update();
  });

  function update() {
    const all = tally.state.calls.filter(({ entry }) => !only || only.includes(entry.id));
    const rows = all.slice(-shown).reverse();
    keyed(
      list,
      rows,
      ({ entry }) => entry.id,
      (row) => makeRow(row),
      fillRow,
    );
    more.hidden = all.length <= shown;
    put(note, calls.refused && `${listWords.inTheWay} ${calls.refused}`);
    calls.refused = null;
    empty.hidden = all.length > 0;
  }

  function makeRow({ entry, at }) {
    const said = sayEntry(tally, entry);
    const strike =
      entry.kind !== "strike" &&
      entry.kind !== "outing-opened" &&
      button(listWords.strikeThis, () => app.guard(calls.strike([entry.id])), {
        "aria-label": `${listWords.strikeThis}: ${said}`,
      });
    return el(
      "li",
      {},
      el(
        "span",
        { class: "words" },
        el("span", {
          class: "quiet second",
          text: `${tally.clock(Date.parse(at))}, ${listWords.by(entry.by, entry.device)}`,
        }),
        el("div", { class: "what" }, said),
        entry.body.text && el("div", { class: "said second", text: `“${entry.body.text}”` }),
        el("div", { class: "photos second quiet" }),
      ),
      strike && el("div", { class: "acts" }, isOfAnimals(entry) && app.photo.button(() => entry.id, said), strike),
    );
  }

  function fillRow(node, { entry, struckBy }) {
    mark(node.querySelector(".what"), "class", struckBy ? "what struck" : "what");
    say(node.querySelector(".photos"), isOfAnimals(entry) ? app.photo.words(entry.id) : "");
    const acts = node.querySelector(".acts");
    if (acts) acts.hidden = Boolean(struckBy);
  }

  const empty = el("p", { class: "empty", text: listWords.none });
  const node = el(
    "div",
    { class: "view" },
    heading(listWords.title),
    el("p", { class: "second quiet", text: listWords.here }),
    note,
    empty,
    list,
    el("div", { class: "row" }, more),
    bottom(button(moreWords.back, () => app.views.back())),
  );
  return { node, head: "fold", update };
}

/** The last lines, while a call is typed and the tiles are folded away. */
export function recentLines(app, most = 5) {
  const node = el("ul", { class: "lines view" });
  return {
    node,
    update() {
      const rows = app.tally.state.calls
        .filter(({ entry, struckBy }) => !struckBy && entry.kind === "move")
        .slice(-most);
      keyed(
        node,
        rows,
        ({ entry }) => entry.id,
        ({ entry, at }) =>
          el(
            "li",
            {},
            el("time", { text: app.tally.clock(Date.parse(at)) }),
            el("span", { class: "words", text: sayEntry(app.tally, entry) }),
          ),
        () => {},
      );
    },
  };
}

/** What an entry says, in one line. */
export function sayEntry(tally, { kind, body }) {
  const name = (key) => tally.nameOf(key);
  const haul = body.haul && listWords.haul(tally.number(body.haul));
  switch (kind) {
    case "move":
      return body.lines.map((line) => `${tally.words(line)}, ${whereFrom(line)}${whereTo(line.to)}`).join("; ");
    case "redetermination":
      return body.lines.map(({ n, was, now }) => `${n} ${name(was.taxon)}: ${name(now.taxon)}`).join("; ");
    case "searched-and-none":
      return body.taxa.map((key) => callWords.zero(name(key))).join("; ");
    case "present":
      return callWords.present(name(body.taxon));
    case "lengths":
      return `${name(body.taxon)}: ${body.mm.join(" ")} mm, ${body.length_type}`;
    case "counted-again":
      return `${capital(body.place)}: ${body.n} ${name(body.taxon)}, ${listWords.kinds[kind]}`;
    case "haul-landed":
      return `${haul}, ${listWords.kinds[kind]}: ${conditionWords[body.condition][0]}`;
    case "place":
      return `${capital(body.place)}: ${listWords.acts[body.act]}${body.purpose ? ` ${placeWords[body.purpose]}` : ""}`;
    case "reading":
      return `${body.place ? capital(body.place) : haul}: ${Object.keys(measuresOf(body))
        .map((key) => `${readingWords[key]} ${body[key]}`)
        .join(", ")}`;
    case "remark":
      return body.text;
    case "picture": {
      const of = tally.state.entries.find(({ id, kind: shown }) => id === body.of && shown !== "picture");
      return of ? photoWords.of(sayEntry(tally, of)) : photoWords.ofUnknown;
    }
    case "strike":
      return `${listWords.kinds.strike}: ${body.reason}`;
    default:
      return [haul, listWords.kinds[kind] ?? kind].filter(Boolean).join(", ");
  }
}

function measuresOf({ place, haul, instrument, scale, ...measures }) {
  return measures;
}
