/** Fields of panels: a label above, what is off below in words, nothing typed is lost. */

import { button, el, put } from "./dom.js";
import { markOf } from "./marks.js";

/**
 * A field with its label.
 * @param {string} words
 * @param {{unit?: string, value?: string, mode?: string}} [props] `mode`: inputmode
 * @returns {{node: Element, input: HTMLInputElement, off: function(string|null)}}
 */
export function field(words, { unit, value = "", mode = "text", list = null } = {}) {
  const input = el("input", {
    type: "text",
    inputmode: mode,
    value,
    autocomplete: "off",
    autocapitalize: "none",
    enterkeyhint: "done",
  });
  const said = el("span", { class: "off", role: "alert", hidden: true });
  const node = el(
    "label",
    { class: "field" },
    el("span", {}, words, unit && el("em", { text: `, ${unit}` })),
    input,
    list,
    said,
  );
  return {
    node,
    input,
    off(problem) {
      said.hidden = !problem;
      if (problem) put(said, markOf("near"), problem);
      if (problem) node.dataset.off = "yes";
      else delete node.dataset.off;
    },
  };
}

/** A number out of a field: null where it is empty, NaN where it reads as none. A comma is read as a point. */
export function numberIn(input) {
  const text = input.value.trim().replace(",", ".");
  return text === "" ? null : /^-?\d*\.?\d+$/.test(text) ? Number(text) : NaN;
}

/**
 * One of several, as buttons.
 * @param {string} label
 * @param {Array<[string, string, string?]>} options value, words, second words
 * @param {string|null} chosen
 * @param {function(string)} [onChoice]
 */
export function choice(label, options, chosen = null, onChoice = () => {}) {
  const group = el("div", { class: "choices small", role: "radiogroup", "aria-label": label });
  const one = { node: group, value: chosen };
  const buttons = options.map(([value, words, second]) => {
    const node = el(
      "button",
      {
        type: "button",
        class: "button",
        role: "radio",
        "aria-checked": String(value === chosen),
        on: { click: () => pick(value) },
      },
      words,
      second && el("small", { text: second }),
    );
    node.value = value;
    return node;
  });
  function pick(value) {
    one.value = value;
    for (const node of buttons) node.setAttribute("aria-checked", String(node.value === String(value)));
    onChoice(value);
  }
  group.append(...buttons);
  return one;
}

/** A switch: pressed or not. */
export function toggle(words, pressed = false) {
  const node = button(
    words,
    () => {
      one.value = !one.value;
      node.setAttribute("aria-pressed", String(one.value));
    },
    { "aria-pressed": String(pressed) },
  );
  const one = { node, value: pressed };
  return one;
}

/** Bottom of a panel: what is done there, and the way back. */
export const bottom = (...buttons) => el("div", { class: "bottom" }, buttons);

/** The heading of a panel. */
export const heading = (text) => el("h2", { tabindex: -1, "data-first": true, text });
