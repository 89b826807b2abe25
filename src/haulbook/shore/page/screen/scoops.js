/** Counting by scoops: names that were in the same scoops go into one call, with all that the estimate rests on. */

import { estimate, expanded } from "../reckon/scoops.js";
import { button, el, put, strong } from "./dom.js";
import { bottom, field, heading, numberIn } from "./forms.js";
import { whereTo } from "./fates.js";
import { pickPanel } from "./picker.js";
import { moreWords, scoopWords } from "./words.js";

export function scoopsPanel(app) {
  const { tally, calls } = app;
  const all = field(scoopWords.all, { mode: "numeric" });
  const rows = []; // {taxon, fields}
  let scoops = 3;
  const list = el("div");
  const off = el("p", { class: "off", role: "alert" });

  function add(taxon) {
    rows.push({
      taxon,
      fields: Array.from({ length: scoops }, (_, i) => scoopField(i)),
      sum: el("p", { class: "second" }),
    });
    paint();
  }

  function scoopField(i) {
    const one = field(scoopWords.counted(i + 1), { mode: "numeric" });
    one.input.addEventListener("input", sums);
    return one;
  }

  function addScoop() {
    scoops += 1;
    for (const row of rows) row.fields.push(scoopField(scoops - 1));
    paint();
  }

  function read(row) {
    const counted = row.fields.map((one) => numberIn(one.input)).filter((n) => n !== null);
    return { of: numberIn(all.input), counted };
  }

  function sums() {
    for (const row of rows) {
      const said = estimate(read(row));
      put(
        row.sum,
        said.refused ? "" : scoopWords.estimate(said.rounded, said.se === null ? null : Math.round(said.se * 10) / 10),
      );
    }
  }

  function paint() {
    put(
      list,
      rows.map((row) =>
        el(
          "div",
          {},
          el("h3", { text: tally.nameOf(row.taxon) }),
          el(
            "div",
            { class: "pair" },
            row.fields.map((one) => one.node),
          ),
          row.sum,
        ),
      ),
    );
    sums();
  }

  async function enter() {
    const haul = (tally.on ?? tally.lastHaul)?.haul;
    const found = rows
      .map((row) => ({ taxon: row.taxon, ...read(row) }))
      .map((one) => ({ ...one, said: estimate(one) }));
    const refused = !(numberIn(all.input) > 0)
      ? scoopWords.needsAll
      : !found.length || found.some(({ counted }) => !counted.length)
        ? scoopWords.needsCount
        : (found.find(({ said }) => said.refused)?.said.refused ?? (haul ? null : scoopWords.needsHaul));
    put(off, refused);
    if (refused) return;
    const batch = tally.store.newId();
    const lines = found
      .filter(({ said }) => said.rounded > 0)
      .map(({ taxon, of, counted }) => ({
        taxon,
        from: "sea",
        to: tally.fate.to,
        haul,
        ...expanded({ of, counted, batch: found.length > 1 ? batch : undefined }),
      }));
    if (lines.length) await calls.write(lines, [], { haul, at: tally.instant() });
    app.views.home();
  }

  all.input.addEventListener("input", sums);
  const node = el(
    "div",
    { class: "view" },
    heading(scoopWords.title),
    el("p", { class: "second", text: scoopWords.first }),
    all.node,
    list,
    el(
      "div",
      { class: "row" },
      button(scoopWords.another, () => app.views.show(pickPanel(app, add))),
      button(scoopWords.addScoop, addScoop),
    ),
    el("p", { class: "second quiet", text: scoopWords.notDetected }),
    el("p", {}, strong(scoopWords.where), ` ${whereTo(tally.fate.to)}`),
    off,
    bottom(
      button(moreWords.back, () => app.views.back()),
      button(scoopWords.enter, () => app.guard(enter()), { class: "filled" }),
    ),
  );
  return { node, head: "fold" };
}
