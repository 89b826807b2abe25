/** A number pad for a thumb: also typed on a keyboard. */

import { button, el, say } from "./dom.js";
import { padWords } from "./words.js";

const MOST_DIGITS = 5;

/**
 * @param {Object} app
 * @param {{title: string, sub?: string, zero?: boolean, under?: Node, enter: function(number)}} what
 *   `zero`: whether 0 may be entered; `under` stands below the pad
 */
export function padPanel(app, { title, sub, zero = false, under = null, enter }) {
  let digits = "";
  const shown = el("output", { class: "shown", "aria-live": "polite" });
  const done = button(padWords.none, finish, { class: "filled wide" });

  function type(digit) {
    digits = (digits + digit).slice(0, MOST_DIGITS).replace(/^0+(?=\d)/, "");
    paint();
  }

  function paint() {
    say(shown, digits);
    say(done, digits ? padWords.enter(Number(digits)) : padWords.none);
  }

  function finish() {
    if (digits === "" || (Number(digits) === 0 && !zero)) return say(shown, padWords.needs);
    return enter(Number(digits));
  }

  function key(event) {
    if (event.target.matches("input, textarea, select")) return;
    if (/^\d$/.test(event.key)) type(event.key);
    else if (event.key === "Backspace") {
      digits = digits.slice(0, -1);
      paint();
    } else if (event.key === "Enter" && event.target === shown.parentNode.querySelector("[data-first]")) finish();
  }

  const keys = ["1", "2", "3", "4", "5", "6", "7", "8", "9", "0"].map((digit) => button(digit, () => type(digit)));
  const clear = button(padWords.clear, () => {
    digits = "";
    paint();
  });
  const node = el(
    "div",
    { class: "view", on: { keydown: key } },
    el("h2", { tabindex: -1, "data-first": true, text: title }),
    sub && el("p", { class: "second quiet", text: sub }),
    shown,
    el("div", { class: "pad" }, keys.slice(0, 9), clear, keys[9]),
    el("div", { class: "row" }, done),
    under,
  );
  return { node, head: "fold" };
}
