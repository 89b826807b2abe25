/** The one line for calls: typed, or spoken into the phone's own keyboard. What it would write stands above it. */

import { button, el, put } from "./dom.js";
import { keepTyped, typed } from "../book/life.js";
import { callWords } from "./words.js";
import { whereTo } from "./fates.js";
import { goesTo } from "./drafts.js";

/** @returns {{node: Element, preview: Element, focus: function(), fill: function(string), flush: function()}} */
export function makeLine(app) {
  const input = el("input", {
    type: "text",
    id: "call",
    name: "call",
    placeholder: callWords.placeholder,
    "aria-label": callWords.label,
    autocomplete: "off",
    autocapitalize: "none",
    autocorrect: "off",
    spellcheck: "false",
    enterkeyhint: "enter",
  });
  const preview = el("p", { class: "preview quiet", hidden: true });
  const form = el(
    "form",
    { class: "call", on: { submit: enter } },
    input,
    button(callWords.enter, () => {}, { type: "submit", class: "filled" }),
  );
  input.value = typed();
  input.addEventListener("input", show);

  function enter(event) {
    event.preventDefault();
    const text = input.value.trim();
    if (!text) return;
    input.value = "";
    keepTyped("");
    preview.hidden = true;
    app.tappedAt = -Infinity; // a call is answered at once, also behind a run of taps
    app.catchUp();
    app.guard(app.calls.call(text), () => {
      if (!input.value) input.value = text;
    });
  }

  function show() {
    const text = input.value.trim();
    preview.hidden = !text;
    if (text) put(preview, el("span", { class: "unseen", text: callWords.understands }), understood(app, text));
  }

  return {
    node: el("div", {}, preview, form),
    focus: () => input.focus(),
    flush: () => keepTyped(input.value),
    fill(text) {
      input.value = text;
      show();
      input.focus();
    },
  };
}

/** What a text says so far, in one line. */
function understood(app, text) {
  const { tally, calls } = app;
  const { lines, asks, commands } = calls.understand(text);
  const parts = lines.map((line) => {
    if (line.zero || line.count === 0) return callWords.zero(tally.nameOf(line.taxon));
    return `${tally.words({ n: line.count ?? "?", taxon: line.taxon, stage: line.stage })} ${whereTo(goesTo(line, tally.keep))}`;
  });
  for (const command of commands) parts.push(commandWords(tally, command));
  for (const ask of asks) parts.push(callWords.asks(ask.said));
  return parts.length ? parts.join("; ") : callWords.nothing;
}

function commandWords(tally, command) {
  if (command === "undo") return callWords.undo;
  const [what, value] = Object.entries(command)[0];
  const said =
    what === "amend_taxon"
      ? tally.nameOf(value)
      : what === "amend_fate"
        ? whereTo(goesTo({ fate: value, place: null }, tally.keep))
        : value;
  return callWords.amend(said);
}
