/** What was typed into a sheet and not sent: the browser asks before it is lost. */

/** @param {Document} page */
export function keepTyped(page) {
  const typed = new Set();
  page.addEventListener("input", (event) => {
    const form = event.target.form;
    if (form && form.classList.contains("sheet")) typed.add(form);
  });
  page.addEventListener("submit", (event) => typed.delete(event.target));
  page.defaultView.addEventListener("beforeunload", (event) => {
    if (typed.size) event.preventDefault();
  });
}
