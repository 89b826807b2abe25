/** Paper, dawn or bright sun: as the phone prefers, until somebody chooses. */

const KEY = "haulbook look";

export function chosenLook() {
  try {
    return localStorage.getItem(KEY) || "auto";
  } catch {
    return "auto";
  }
}

export function setLook(look) {
  try {
    localStorage.setItem(KEY, look);
  } catch {
    // then it holds until the page is closed
  }
  wear(look);
}

/** Put on what was chosen. */
export function wear(look = chosenLook()) {
  const root = document.documentElement;
  if (look === "auto") root.removeAttribute("data-theme");
  else root.setAttribute("data-theme", look);
}
