/** Keeps a copy of the page on the phone where the browser can: it opens without a signal then. */

/** @param {function()} onNewer a newer page is complete and comes with the next opening */
export async function keepShell(onNewer) {
  if (!("serviceWorker" in navigator)) return;
  navigator.serviceWorker.addEventListener("message", ({ data }) => {
    if (data === "newer") onNewer();
  });
  try {
    await navigator.serviceWorker.register("sw.js");
    const { active } = await navigator.serviceWorker.ready;
    active.postMessage("look");
  } catch {
    // an untrusted certificate refuses it: the page works while it is open
  }
}
