/** Buttons that print: without script they stay hidden, and the browser's own menu prints the same. */

/** @param {Document} page */
export function offerPrint(page) {
  for (const button of page.querySelectorAll("button[data-print]")) {
    button.hidden = false;
    button.addEventListener("click", () => page.defaultView.print());
  }
}
