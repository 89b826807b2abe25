/** Measuring: press a name, type lengths, Enter. Each Enter is a line of its own, so nothing waits to be lost. */

import { button, el, put, strong } from "./dom.js";
import { bottom, choice, field, heading, toggle } from "./forms.js";
import { measuredAs } from "./drafts.js";
import { pickPanel } from "./picker.js";
import { capital, lengthWords, listWords, pickWords, sortWords } from "./words.js";

const ENOUGH = 30; // of a kind in a haul: common practice of seining programmes

export function lengthsPanel(app) {
  const { tally, calls } = app;
  const haul = (tally.on ?? tally.lastHaul)?.haul;
  let chosen = null; // {taxon, stage}
  let last = null;
  const names = el("div");
  const mm = field(lengthWords.placeholder, { mode: "decimal" });
  const measured = el("div", { class: "second", "aria-live": "polite" });
  const types = el("div");
  const sex = choice(sortWords.tells, Object.entries(sortWords.sex));
  const [clipped, tissue] = [toggle(lengthWords.clipped), toggle(lengthWords.tissue)];
  let type = null;
  const form = el(
    "form",
    { on: { submit: enter } },
    mm.node,
    el("div", { class: "row" }, [...sex.node.children], clipped.node, tissue.node),
    button(lengthWords.enter, () => {}, { type: "submit", class: "filled wide" }),
  );
  form.hidden = true;

  function pick(taxon, stage = null) {
    chosen = { taxon, stage };
    const usual = measuredAs(tally.taxon(taxon)?.group);
    const known = Object.keys(lengthWords.types);
    type = choice(
      lengthWords.type,
      (known.includes(usual) ? known : [usual, ...known]).map((key) => [key, key]),
      usual,
    );
    put(
      types,
      el("h3", { text: `${capital(tally.nameOf(taxon))}${stage ? `, ${stage}` : ""}` }),
      el("details", {}, el("summary", { text: `${lengthWords.type}: ${usual}` }), type.node),
    );
    form.hidden = false;
    last = null;
    said();
    mm.input.focus();
  }

  function taken() {
    return tally.state.standing
      .filter(
        ({ kind, body }) =>
          kind === "lengths" &&
          body.haul === haul &&
          chosen &&
          body.taxon === chosen.taxon &&
          (body.stage ?? null) === chosen.stage,
      )
      .flatMap(({ body }) => body.mm);
  }

  function said() {
    const all = taken();
    put(
      measured,
      chosen && strong(lengthWords.measured(all.length)),
      chosen && all.length > 0 && `: ${all.slice(-12).join(" ")} mm. `,
      all.length >= ENOUGH && lengthWords.enough,
      last &&
        el(
          "span",
          { class: "row" },
          button(lengthWords.strikeLast, () =>
            app.guard(
              calls.strike([last]).then(() => {
                last = null;
              }),
            ),
          ),
        ),
    );
  }

  function enter(event) {
    event.preventDefault();
    const numbers = mm.input.value
      .trim()
      .split(/[\s;]+/)
      .filter(Boolean)
      .map((text) => Number(text.replace(",", ".")));
    const sound = numbers.length > 0 && numbers.every((value) => value > 0 && value < 10000);
    mm.off(sound ? null : lengthWords.needs);
    if (!sound) return;
    mm.input.value = "";
    app.guard(
      tally
        .write([
          {
            kind: "lengths",
            body: {
              haul,
              taxon: chosen.taxon,
              ...(chosen.stage && { stage: chosen.stage }),
              length_type: type.value,
              mm: numbers.map((value) => Math.round(value * 10) / 10),
              ...(sex.value && { sex: sex.value }),
              ...(clipped.value && { clipped: true }),
              ...(tissue.value && { tissue: true }),
            },
          },
        ])
        .then((entries) => {
          last = entries?.[0]?.id ?? null;
          said();
          mm.input.focus();
        }),
    );
  }

  function update() {
    const called = tally.hauls.find((one) => one.haul === haul)?.taxa.filter(({ unit }) => unit === "individual") ?? [];
    put(
      names,
      called.map(({ taxon, stage }) => button(tally.words({ n: "", taxon, stage }).trim(), () => pick(taxon, stage))),
      button(pickWords.title, () => app.views.show(pickPanel(app, (taxon) => pick(taxon)))),
    );
    said();
  }

  names.className = "choices small";
  const node = el(
    "div",
    { class: "view" },
    heading(lengthWords.title),
    el("p", { class: "second quiet", text: haul ? lengthWords.pick : listWords.none }),
    types,
    form,
    measured,
    haul && names,
    bottom(button(lengthWords.done, () => app.views.back())),
  );
  return { node, head: "fold", update };
}
