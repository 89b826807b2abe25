/** A form that is on its way is not sent a second time by a second press. */

const A_WHILE_MS = 4000; // then it may be sent again: an answer that is a file leaves the page as it is

/** @param {Document} page */
export function sendOnce(page) {
  page.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.method !== "post" || event.defaultPrevented) return;
    if (form.dataset.sent) event.preventDefault();
    else {
      form.dataset.sent = "yes";
      setTimeout(() => delete form.dataset.sent, A_WHILE_MS);
    }
  });
  // Back from the browser's own store: the form may be sent again.
  page.defaultView.addEventListener("pageshow", () => {
    for (const form of page.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
  });
}
