/** Puts the page together: the book on this phone, the outing that is open, and the parts of the screen. */

import { compileWords } from "../calls/understand.js";
import { keepLit, watchLife } from "../book/life.js";
import { downloadCopy, unsavedText } from "../book/copy.js";
import { Pictures } from "../book/pictures.js";
import { openStore } from "../book/store.js";
import { startSync } from "../book/sync.js";
import { Calls } from "./calls.js";
import { closingPanel } from "./closing.js";
import { el, put } from "./dom.js";
import { fatePanel, makeFates } from "./fates.js";
import { watchFit } from "./fit.js";
import { land, landPanel, startHaul } from "./haul.js";
import { makeHeader } from "./header.js";
import { makeLine } from "./line.js";
import { listPanel, recentLines } from "./list.js";
import { wear } from "./look.js";
import { loadPlans } from "./marks.js";
import { morePanel, whoPanel } from "./more.js";
import { noticePanel } from "./notice.js";
import { padPanel } from "./pad.js";
import { makePhoto } from "./photo.js";
import { pickPanel } from "./picker.js";
import { placePanel } from "./place.js";
import { questionPanel } from "./question.js";
import { readback } from "./readback.js";
import { codeInAddress, enrolPanel, kitsPanel } from "./setup.js";
import { makeStoreLine } from "./store_line.js";
import { Tally } from "./tally.js";
import { makeTiles } from "./tiles.js";
import { makeUnderstood } from "./understood.js";
import { Views } from "./views.js";
import { tellBanner } from "./banners.js";
import { keepShell } from "./shell.js";
import { askWords, setupWords, span, storeWords, tileWords } from "./words.js";

const SLOW_TICK_MS = 15e3;
const RUN_MS = 700; // presses closer than this are a run
const PAUSE_MS = 220;
const FRAME_MS = 20; // the answer to a call is painted first
const LONGEST_RUN_MS = 2500; // in which buckets and limits may lag behind the tiles

async function open() {
  wear();
  const root = document.documentElement;
  const parts = Object.fromEntries(
    ["banners", "head", "main", "foot", "store", "live"].map((id) => [id, document.getElementById(id)]),
  );
  put(parts.main, el("p", { class: "view", text: setupWords.opening }));
  const store = await openStore();
  const tally = new Tally(store);
  const app = { store, tally, now: tally.now, calls: new Calls(tally), sync: { state: {}, now: async () => {} } };
  app.pictures = new Pictures(store, { onState: () => app.synced() });
  Object.assign(app, helpers(app, parts), { startHaul: (after) => startHaul(app, after) });
  app.views = new Views({ main: parts.main, root }, () => basePanel(app));
  buildTally(app, parts);
  const banners = tellBanner(app, parts.banners);
  tally.listen((what) => app.changed(what));
  watchFit(() => app.header.fit());
  const lit = keepLit((lit) => Object.assign(app, { lit }));
  lit.on();
  watchLife(store, {
    onLeave: () => app.line.flush(),
    onBack: () => app.refresh(),
    holdOpen: () => app.pictures.held.length > 0 || (!window.isSecureContext && onlyHere(app.sync.state)),
    onSecondTab: banners.secondTab,
  });
  keepShell(banners.updated);
  setInterval(() => app.tick(), 1000);
  setInterval(() => app.refresh(), SLOW_TICK_MS);
  await enter(app);
  app.sync = startSync(store, { onState: () => app.synced() }); // what was called is on the screen first
  app.pictures.start();
  loadPlans("silhouettes.svg"); // drawings come behind names and numbers
  window.haulbook = {
    // what a test waits for, and a helper on the telephone may ask for
    opened: true,
    store,
    sync: () => app.sync.now(),
    pictures: app.pictures,
    settled: () => !tally.pending.size && !app.busy,
  };
}

const onlyHere = ({ unsent, pictures }) => unsent > 0 || pictures > 0;

/** What every part may use. */
function helpers(app, { live, store: storePlace }) {
  const putOff = [];
  return {
    /** After the frame that shows a press: what it writes and reckons. */
    later: (work) => {
      app.busy += 1;
      putOff.push(work);
      requestAnimationFrame(() => setTimeout(app.catchUp, 0));
    },
    /** Do now what was put off: a call comes behind the taps before it, or "scratch that" would mean the wrong one. */
    catchUp: () => {
      while (putOff.length) {
        app.busy -= 1;
        app.guard(putOff.shift()());
      }
    },
    /** Let nothing fail in silence; `undo` puts back what was typed. */
    guard: (promise, undo = () => {}) => {
      app.busy += 1;
      return Promise.resolve(promise)
        .catch((error) => {
          undo();
          app.banners.trouble(error);
          return null;
        })
        .finally(() => {
          app.busy -= 1;
        });
    },
    busy: 0,
    tappedAt: -Infinity,
    /** The same for what needs the station: its words stand where it was asked. */
    contact: (promise, place) =>
      promise.catch((error) => {
        put(place, error.name === "Trouble" ? error.message : setupWords.noContact);
        return null;
      }),
    announce: (words) => {
      if (live.textContent !== words) live.textContent = words;
    },
    clock: (ms) => (app.tally.kit ? app.tally.clock(ms) : new Date(ms).toTimeString().slice(0, 5)),
    age: (iso) => (app.now() - Date.parse(iso) < 60e3 ? "" : span(app.now() - Date.parse(iso))),
    storeAgain: () => app.store.retry().then(() => app.pictures.retry()),
    /** Hand what the phone would not store to the person: the lines in one file, each photo in one of its own. */
    saveUnsaved: () => {
      const { store, pictures } = app;
      if (store.unsaved.length) downloadCopy(unsavedText(store.unsaved), `not stored ${store.device ?? ""}.jsonl`);
      pictures.held.forEach(({ bytes }, n) => downloadCopy(bytes, storeWords.photoFile(n + 1), "image/jpeg"));
    },
    lists: (ids) => app.views.show(listPanel(app, ids)),
    setup: () => setupPanel(app),
    enrol: () => app.views.show(enrolPanel(app, "", () => app.views.home())),
    storePlace,
  };
}

/** The tally itself: built once, and kept while panels cover it. */
function buildTally(app, { head, foot, store: storePlace }) {
  const { views, calls } = app;
  const more = (taxon, stage) =>
    views.show(
      padPanel(app, {
        title: tileWords.more(stage ? `${app.tally.nameOf(taxon)}, ${stage}` : app.tally.nameOf(taxon)),
        enter: (n) => {
          views.back();
          app.guard(calls.tap(taxon, stage, n));
        },
      }),
    );
  const other = () => views.show(pickPanel(app, (taxon) => app.guard(calls.tap(taxon, null))));
  app.header = makeHeader(app, {
    start: () => app.guard(startHaul(app)),
    land: () => app.guard(land(app)),
    end: () => views.show(readback(app)),
    sort: () => views.show(closingPanel(app, app.header.sorting)),
    note: () => views.show(landPanel(app)),
    bucket: (name) => views.show(name ? placePanel(app, name) : closingPanel(app, app.header.sorting)),
  });
  app.photo = makePhoto(app);
  app.tiles = makeTiles(app, { more, other });
  app.fates = makeFates(app, () => views.show(fatePanel(app)));
  app.recent = recentLines(app);
  app.understood = makeUnderstood(app, { lines: () => views.show(listPanel(app)) });
  app.line = makeLine(app);
  app.storeLine = makeStoreLine(app, { more: () => views.show(morePanel(app)) });
  head.append(app.header.node);
  foot.append(app.understood.node, app.line.node);
  storePlace.append(app.storeLine.node);
  const recent = el("div", { class: "recent" }, app.recent.node);
  app.tallyPanel = {
    node: el("div", { class: "tally" }, app.fates.node, app.tiles.node, recent),
    head: "full",
    foot: true,
  };

  app.changed = (what) => {
    if (!app.tally.kit) return;
    if (what === "open") app.tiles.open();
    app.tiles.update(what);
    if (what === "newer kit") app.guard(openOuting(app, app.tally.outing));
    if (["refused", "nothing", "nothing before"].includes(what)) app.banners.said(what);
    if (["notices", "questions"].includes(what)) views.update(what);
    if (what === "last" && !inRun()) app.understood.update(); // a call is answered at once, all else follows
    waiting.add(what);
    if (what !== "pending") soon();
  };

  // While tiles are pressed one after the other, only the tiles are kept up; all else follows in the pause.
  const waiting = new Set();
  let timer = null;
  let since = 0;
  const inRun = () => performance.now() - app.tappedAt < RUN_MS;
  const soon = () => {
    const now = performance.now();
    if (timer === null) since = now;
    clearTimeout(timer);
    const pause = inRun() && now - since < LONGEST_RUN_MS ? PAUSE_MS : FRAME_MS;
    timer = setTimeout(follow, pause);
  };
  const follow = () => {
    timer = null;
    const news = new Set(waiting);
    waiting.clear();
    const any = (...kinds) => kinds.some((kind) => news.has(kind));
    if (any("fate", "keep", "open", "state")) app.fates.update();
    if (any("last", "state", "open", "problem", "photo")) app.understood.update();
    if (any("last")) app.announce(app.understood.sentence());
    if (any("state", "open", "set", "landing", "newer kit")) app.header.update();
    if (any("state", "open")) app.recent.update();
    app.storeLine.update();
    for (const what of news) views.update(what);
  };
  app.refresh = () => {
    if (app.tally.kit) app.header.update();
    app.storeLine.update();
    app.banners.refresh();
    views.update("time");
  };
  let synced = null;
  app.synced = () => {
    if (!inRun()) return app.refresh();
    synced = synced ?? setTimeout(() => ((synced = null), app.refresh()), RUN_MS);
    return null;
  };
  app.tick = () => {
    if (app.tally.kit) app.header.tick();
    views.shown?.tick?.();
  };
}

let shownQuestion = null;
let shownNotice = null;

/** What lies at the bottom: a notice, else a question, else the tally; before there is an outing, the setup. */
function basePanel(app) {
  if (!app.tally.kit) return app.base ?? { node: el("p", { class: "view", text: setupWords.opening }), head: "none" };
  const [notice] = app.calls.open;
  if (notice) {
    if (shownNotice?.notice.id !== notice.id) shownNotice = noticePanel(app, notice);
    return shownNotice;
  }
  const { question } = app.calls;
  if (question) {
    if (shownQuestion?.question.id !== question.id) shownQuestion = questionPanel(app, question);
    return shownQuestion;
  }
  return app.tallyPanel;
}

async function enter(app) {
  const { store } = app;
  const code = codeInAddress();
  if (!store.device || code)
    return showBase(
      app,
      enrolPanel(app, code ?? "", () => app.guard(afterEnrolling(app))),
    );
  return afterEnrolling(app);
}

async function afterEnrolling(app) {
  const kit = app.store.outing && (await app.store.kit(app.store.outing));
  if (kit) return openOuting(app, app.store.outing, kit);
  return showBase(app, setupPanel(app));
}

const setupPanel = (app) => kitsPanel(app, (outing) => openOuting(app, outing));

function showBase(app, panel) {
  app.base = panel;
  app.views.paint();
}

async function openOuting(app, outing, known = null) {
  const same = app.tally.kit?.plan.outing === outing; // a newer kit comes in under whatever is being done
  const kit = known ?? (await app.store.kit(outing));
  app.calls.takeUp(await app.tally.open(kit, () => compileWords(kit)));
  if (!same) app.views.home();
  app.tally.tell("open");
  requestAnimationFrame(() => setTimeout(() => app.tally.vocabulary, 0)); // after the first paint, before the first call
  if (!app.store.by) app.views.show(whoPanel(app));
  if (app.calls.later.length) app.announce(`${askWords.laterTitle}: ${app.calls.later.length}`);
}

open().catch((error) => {
  put(
    document.getElementById("main"),
    el(
      "div",
      { class: "view" },
      el("h2", { text: setupWords.failed }),
      el("p", { text: setupWords.failedDo }),
      el("p", { class: "second", text: String(error) }),
    ),
  );
});
