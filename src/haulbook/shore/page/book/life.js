/** What happens to an open page: it is hidden, frozen, left, shown again; a second one is opened beside it. */

const TYPED = "typed";

/**
 * Keep what stands half typed in the line, at once and also through a crash where the browser has a small store.
 * @param {string} text
 */
export function keepTyped(text) {
  try {
    localStorage.setItem(`haulbook ${TYPED}`, text);
  } catch (error) {
    // then it lives in the field only
  }
}

/** What stood half typed in the line when the page went away. */
export function typed() {
  try {
    return localStorage.getItem(`haulbook ${TYPED}`) || "";
  } catch (error) {
    return "";
  }
}

/**
 * Keep the screen lit while the page is shown; asked for again whenever it comes back.
 * @param {function(boolean): void} onState whether the screen stays lit
 * @returns {{on: function(): Promise<void>, off: function(): void}}
 */
export function keepLit(onState = () => {}) {
  let lock = null;
  let wanted = false;
  const on = async () => {
    wanted = true;
    if (!navigator.wakeLock || document.visibilityState !== "visible") return onState(false);
    try {
      lock = await navigator.wakeLock.request("screen");
      lock.addEventListener("release", () => onState(false));
      onState(true);
    } catch (error) {
      onState(false); // a low battery refuses it
    }
  };
  document.addEventListener("visibilitychange", () => wanted && document.visibilityState === "visible" && on());
  return {
    on,
    off: () => {
      wanted = false;
      if (lock) lock.release();
    },
  };
}

/**
 * Watch the life of the page.
 * @param {import("./store.js").Store} store
 * @param {{onLeave?: function(): void, onBack?: function(): void, holdOpen?: function(): boolean,
 *   onSecondTab?: function(number): void}} told `onLeave` is called when the page may not come back: it must not wait
 *   for anything. `holdOpen`: whether leaving should be asked about, beside lines that are in memory only.
 *   `onSecondTab` is told how many other tabs have the page open.
 * @returns {function(): void} stops it
 */
export function watchLife(store, told) {
  const nothing = () => {};
  const { onLeave = nothing, onBack = nothing, holdOpen = nothing, onSecondTab = nothing } = told;
  const leave = () => onLeave();
  const back = async () => {
    await store.refresh();
    await store.retry();
    onBack();
  };
  const shown = () => (document.visibilityState === "hidden" ? leave() : back());
  const ask = (event) => {
    if (!store.unsaved.length && !holdOpen()) return;
    event.preventDefault();
    event.returnValue = ""; // browsers of 2020 ask only then
  };
  const heard = [
    [document, "visibilitychange", shown],
    [document, "freeze", leave],
    [document, "resume", back],
    [window, "pagehide", leave],
    [window, "pageshow", (event) => event.persisted && back()],
    [window, "beforeunload", ask],
  ];
  for (const [target, name, listener] of heard) target.addEventListener(name, listener);
  const stopCounting = countTabs(store.name, onSecondTab);
  return () => {
    for (const [target, name, listener] of heard) target.removeEventListener(name, listener);
    stopCounting();
  };
}

/** Tell how many other tabs have the page open: each says hello, and those that are there answer. */
function countTabs(name, onSecondTab) {
  if (typeof BroadcastChannel !== "function") return () => {};
  const channel = new BroadcastChannel(`${name} tabs`);
  const me = Math.random().toString(36).slice(2);
  const others = new Set();
  const say = (what) => channel.postMessage({ what, who: me });
  channel.onmessage = ({ data: { what, who } }) => {
    if (what === "hello") say("here");
    if (what === "bye") others.delete(who);
    else others.add(who);
    onSecondTab(others.size);
  };
  const bye = () => say("bye");
  window.addEventListener("pagehide", bye);
  say("hello");
  return () => {
    bye();
    window.removeEventListener("pagehide", bye);
    channel.close();
  };
}
