/** What has to be said about the page itself: over the head, until it is no longer so. */

import { button, el, keyed } from "./dom.js";
import { markOf } from "./marks.js";
import { fetchKit } from "../book/fetching.js";
import { callWords, kitWords, lifeWords, setupWords } from "./words.js";

const SHORT_MS = 12e3;

export function tellBanner(app, place) {
  const known = new Map(); // key -> {words, loud, act}

  function paint() {
    const rows = [...known].map(([key, value]) => ({ key, ...value }));
    keyed(
      place,
      rows,
      ({ key, words }) => key + words,
      ({ key, words, loud, passing, verb, act }) =>
        el(
          "div",
          { class: `banner${loud ? " loud" : ""}`, role: loud ? "alert" : "status" },
          markOf(loud ? "stop" : "near"),
          el("p", { text: words }),
          verb && button(verb, act),
          passing && button(lifeWords.seen, () => set(key, null)),
        ),
      () => {},
    );
  }

  function set(key, words, more = {}) {
    if (words) known.set(key, { words, ...more });
    else known.delete(key);
    paint();
  }

  function passing(key, words, more = {}) {
    set(key, words, { passing: true, ...more });
    setTimeout(() => known.get(key)?.words === words && set(key, null), SHORT_MS);
  }

  if (!window.isSecureContext) set("plain", lifeWords.plain);
  app.banners = {
    refresh() {
      const { clock } = app.store;
      set(
        "clock",
        clock
          ? clock.words
          : Math.abs(app.sync.state.clockOffS ?? 0) > 120
            ? lifeWords.clockOff(Math.round(app.sync.state.clockOffS / 60))
            : null,
      );
      const { problem, newKit } = app.sync.state;
      const lost = problem?.what === "token" || app.store.problem?.what === "device";
      set(
        "sync",
        problem?.loud && app.store.device && !app.store.problem ? problem.words : null,
        lost ? { verb: setupWords.enrolAnew, act: app.enrol } : {},
      );
      set("kit", newKit && app.tally.kit ? kitWords.newer : null, {
        verb: kitWords.takeNewer,
        act: () => app.guard(fetchKit(app.store, { outing: app.tally.outing })),
      });
    },
    /** Something failed that nothing else speaks of. */
    trouble(error) {
      if (error.name === "NotStored") return;
      passing("trouble", (error.faults ?? [error.message]).join(" "), { loud: true });
    },
    said(what) {
      if (what === "refused") {
        passing("said", app.calls.refused, {});
        app.calls.refused = null;
      } else passing("said", what === "nothing" ? callWords.nothing : callWords.nothingBefore);
    },
  };
  return {
    secondTab: (others) => set("second", others > 0 ? lifeWords.second : null),
    updated: () => passing("updated", lifeWords.updated),
  };
}
