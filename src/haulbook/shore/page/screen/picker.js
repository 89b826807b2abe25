/** A name from the kit, by part of it; or as it was written, to be named later. */

import { button, el, put, strong } from "./dom.js";
import { bottom, field, heading } from "./forms.js";
import { plan } from "./marks.js";
import { chip } from "./understood.js";
import { askWords, moreWords, pickWords } from "./words.js";

const MOST = 12;

/** Taxa of a kit by part of a name: those that begin with it first, then by how often they are found here. */
export function search(kit, text) {
  const part = text.trim().toLowerCase();
  const ranked = kit.taxa.map((taxon) => {
    const names = taxon.names.map((name) => name.toLowerCase());
    const rank = names.some((name) => name.startsWith(part))
      ? 0
      : names.some((name) => name.split(/[ -]/).some((word) => word.startsWith(part)))
        ? 1
        : names.some((name) => name.includes(part))
          ? 2
          : 9;
    return { taxon, rank };
  });
  return ranked
    .filter(({ rank }) => rank < 9)
    .sort((a, b) => (part ? a.rank - b.rank : 0) || (b.taxon.seen || 0) - (a.taxon.seen || 0))
    .slice(0, MOST)
    .map(({ taxon }) => taxon.key);
}

/**
 * @param {Object} app
 * @param {function(string)} choose takes a taxon's key, or `?name as written`
 * @param {string|null} [written] what was said, where it may be entered as it is
 * @param {Element|null} [act] one more thing that can be done instead
 */
export function pickPanel(app, choose, written = null, act = null) {
  const one = field(pickWords.label, { value: "" });
  const list = el("div", { class: "choices" });
  one.input.addEventListener("input", update);

  function pick(key) {
    app.views.back();
    choose(key);
  }

  function update() {
    const { tally } = app;
    const keys = search(tally.kit, one.input.value);
    const text = one.input.value.trim() || written;
    put(
      list,
      keys.map((key) => nameRow(tally, key, null, () => pick(key))),
      !keys.length && el("p", { text: pickWords.none }),
      text && button(pickWords.asWritten(text), () => pick(`?${text}`), { class: "wide" }),
    );
  }

  update();
  return {
    node: el(
      "div",
      { class: "view" },
      heading(pickWords.title),
      one.node,
      list,
      bottom(
        button(moreWords.back, () => app.views.back()),
        act,
      ),
    ),
    head: "fold",
  };
}

/** One name to choose: its drawing, its notice, and the look that decides. */
export function nameRow(tally, key, look, press) {
  const taxon = tally.taxon(key);
  const protectedOne = taxon?.notice?.protected;
  const states = look?.of.find((one) => one.taxon === key)?.states ?? [];
  return el(
    "button",
    { type: "button", class: `choice${protectedOne ? " heavy" : ""}`, on: { click: press } },
    plan(taxon?.drawing) ?? el("span", { class: "none", "aria-hidden": "true", text: "·" }),
    el(
      "span",
      { class: "words" },
      strong(tally.nameOf(key)),
      protectedOne && el("span", {}, chip("stop", askWords.protectedFirst)),
      states.length > 0 && el("span", { text: states.join(" or ") }),
      !states.length &&
        el("span", { class: "quiet", text: taxon?.names.find((name) => name !== taxon.names[0]) ?? "" }),
    ),
  );
}
