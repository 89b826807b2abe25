/**
 * The worker: keeps every file that shell.json names, under its digest, and answers from there first, so that the page
 * opens without a signal. A newer shell is fetched whole beside the old one and taken at the next opening: two versions
 * never mix. What is said to and by the station is never kept here.
 */

const PREFIX = "haulbook-shell-";
const NEXT = "haulbook-next";
const COMING = "haulbook-coming";
const STATION = ["sync", "enrol", "kits", "kit"];

const scope = new URL(self.registration.scope);
const inScope = (url) => url.origin === scope.origin && url.pathname.startsWith(scope.pathname);
const nameOf = (url) => url.pathname.slice(scope.pathname.length);

self.addEventListener("install", (event) => {
  event.waitUntil(fetchShell().then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(takeNext().then(() => self.clients.claim()));
});

self.addEventListener("message", (event) => {
  if (event.data === "look") event.waitUntil(look(event.source));
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || !inScope(url) || STATION.includes(nameOf(url))) return;
  event.respondWith(answer(event.request, url));
});

async function answer(request, url) {
  const opening = request.mode === "navigate";
  if (opening) await takeNext();
  using = using || current();
  const shell = await using;
  // an exact address: with ignoreSearch the browser would go through every file for each
  const kept = shell && (await shell.match(opening ? scope.href : url.origin + url.pathname));
  return kept || fetch(request);
}

/** The shell in use, once it was looked for. */
let using = null;

/** The only shell that is complete and taken. */
async function current() {
  const names = await caches.keys();
  const next = await waiting();
  const name = names.find((one) => one.startsWith(PREFIX) && one !== next);
  return name ? caches.open(name) : null;
}

/** Name of a complete newer shell that nobody uses yet; null. */
async function waiting() {
  const note = await (await caches.open(NEXT)).match(scope.href);
  return note ? note.text() : null;
}

/** Fetch the whole shell, unless it is here; whether it is a new one. Told anew while it was fetched, it is left. */
async function fetchShell() {
  const told = await ask();
  const name = PREFIX + told.digest;
  if ((await caches.keys()).includes(name)) return false;
  const shell = await caches.open(COMING);
  try {
    await shell.addAll(told.files.map((file) => new Request(new URL(file, scope), { cache: "reload" })));
    if ((await ask()).digest !== told.digest) throw new Error("the page changed while it was fetched");
    const whole = await caches.open(name);
    for (const request of await shell.keys()) await whole.put(request, await shell.match(request));
    await (await caches.open(NEXT)).put(scope.href, new Response(name));
  } finally {
    await caches.delete(COMING);
  }
  return true;
}

async function ask() {
  const said = await fetch(new URL("shell.json", scope), { cache: "no-store" });
  if (!said.ok) throw new Error(`shell.json: ${said.status}`);
  return said.json();
}

/** Use the newer shell from now on, and let go of the one before. */
async function takeNext() {
  const next = await waiting();
  if (!next) return;
  using = null;
  await (await caches.open(NEXT)).delete(scope.href);
  for (const name of await caches.keys()) {
    if (name.startsWith(PREFIX) && name !== next) await caches.delete(name);
  }
  using = null;
}

async function look(client) {
  try {
    if (await fetchShell()) client.postMessage("newer");
  } catch {
    // no contact: what is here goes on
  }
}
