/**
 * What fits: the height that can be seen, in lines of text. Under 36 the head folds, under 24 nothing sticks; so a small
 * phone and large text are one case. A keyboard on the screen takes height away while a field has the focus: that is typing.
 */

const FOLD = 36;
const FLOW = 24;
const TEXT = 1.25; // rem: size of the page's text
const KEYBOARD = 0.75; // of the height without one

/** Set `fold`, `flow` and `typing` on the root, and --seen to the height above the keyboard, whenever that changes. */
export function watchFit(onFit) {
  const root = document.documentElement;
  const view = window.visualViewport;
  const tallest = new Map(); // width -> height without a keyboard
  const measure = () => {
    const height = view && view.scale < 1.05 ? view.height : window.innerHeight;
    const width = window.innerWidth;
    tallest.set(width, Math.max(height, tallest.get(width) ?? 0));
    const typing = document.activeElement?.id === "call" && height < KEYBOARD * tallest.get(width);
    const lines = height / (TEXT * parseFloat(getComputedStyle(root).fontSize));
    root.style.setProperty("--seen", `${Math.round(height)}px`);
    root.classList.toggle("typing", typing);
    root.classList.toggle("fold", typing || (lines < FOLD && lines >= FLOW));
    root.classList.toggle("flow", lines < FLOW);
    onFit();
  };
  measure();
  window.addEventListener("resize", measure);
  if (view) view.addEventListener("resize", measure);
  for (const event of ["focusin", "focusout"]) document.addEventListener(event, () => requestAnimationFrame(measure));
}

/** Size of text over 16 px: 1, or 2 at 200 %. */
export const textUnit = () => parseFloat(getComputedStyle(document.documentElement).fontSize) / 16;
