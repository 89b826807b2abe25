/** A menu closes by Escape, and when somebody presses or moves outside it. */

/** @param {Document} page */
export function closeMenus(page) {
  const open = () => page.querySelectorAll("details.menu[open]");
  page.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    for (const menu of open()) {
      menu.open = false;
      menu.querySelector("summary").focus();
    }
  });
  for (const what of ["click", "focusin"]) {
    page.addEventListener(what, (event) => {
      for (const menu of open()) if (!menu.contains(event.target)) menu.open = false;
    });
  }
}
