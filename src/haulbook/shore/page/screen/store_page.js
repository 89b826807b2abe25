/** What is only on this phone: how much, since when; save it, send it, bring a copy in. */

import { copyText, downloadCopy, readCopy } from "../book/copy.js";
import { button, el, put, strong } from "./dom.js";
import { bottom, heading } from "./forms.js";
import { sayEntry } from "./list.js";
import { lifeWords, moreWords, setupWords, storeWords } from "./words.js";

export function storePanel(app) {
  const { store, tally, sync, pictures } = app;
  const body = el("div");
  const said = el("p", { role: "status" });
  const file = el("input", {
    type: "file",
    accept: ".jsonl,application/jsonl,text/plain",
    class: "unseen",
    tabindex: -1,
    "aria-hidden": "true",
    on: { change: bring },
  });
  let persisted = null;
  store.persist().then((answer) => {
    persisted = answer;
    update();
  });

  async function save() {
    const entries = await store.entries();
    downloadCopy(copyText(entries), `${tally.kit ? tally.outing : "haulbook"} ${store.device}.jsonl`);
  }

  async function bring() {
    const [chosen] = file.files;
    if (!chosen) return;
    const { entries, drafts, problems } = readCopy(await chosen.text());
    file.value = "";
    const { fresh } = await store.bringIn({ entries, drafts });
    put(
      said,
      storeWords.brought(fresh + drafts.length),
      problems.length > 0 && ` ${problems.map(({ row, words }) => storeWords.row(row, words)).join(" ")}`,
    );
  }

  async function update() {
    const { state } = sync;
    const rejected = await store.rejected();
    put(
      body,
      el(
        "p",
        {},
        strong(storeWords.waits(state.unsent, state.pictures)),
        ` ${storeWords.onlyHere}`,
        state.oldestAt && app.age(state.oldestAt) && storeWords.oldest(app.age(state.oldestAt)),
      ),
      el(
        "p",
        { class: "second" },
        state.lastOk ? storeWords.lastOk(app.clock(state.lastOk)) : storeWords.never,
        state.problem && ` ${state.problem.words}`,
        state.pictures > 0 && ` ${storeWords.photosSub}`,
        !state.problem && pictures.unsent && ` ${storeWords.photosWait(pictures.unsent)}`,
      ),
      store.unsaved.length + pictures.held.length > 0 &&
        el("div", { class: "row" }, button(storeWords.saveThese, app.saveUnsaved, { class: "filled" })),
      persisted &&
        el("p", {
          class: "second",
          text: !persisted.asked
            ? storeWords.notAsked
            : persisted.granted
              ? storeWords.persisted
              : storeWords.notPersisted,
        }),
      !app.lit && el("p", { class: "second", text: lifeWords.asleep }),
      store.clock && el("p", { text: store.clock.words }),
      (!store.device || state.problem?.what === "token") &&
        button(setupWords.enrolAnew, app.enrol, { class: "wide filled" }),
      rejected.length > 0 && [
        el("h3", { text: storeWords.rejected(rejected.length) }),
        el(
          "ul",
          { class: "ruled" },
          rejected.map(({ entry, why }) =>
            el(
              "li",
              {},
              el(
                "span",
                { class: "words" },
                tally.kit ? sayEntry(tally, entry) : entry.kind,
                el("div", { class: "second" }, `${storeWords.why}: ${why}`),
              ),
            ),
          ),
        ),
        button(storeWords.sendAgain, () => app.guard(store.sendAgain().then(() => sync.now()))),
      ],
    );
  }

  const node = el(
    "div",
    { class: "view" },
    heading(storeWords.title),
    body,
    said,
    el("h3", { text: storeWords.save }),
    el("p", { class: "second quiet", text: storeWords.saveSub }),
    button(storeWords.save, () => app.guard(save()), { class: "wide filled" }),
    el("h3", { text: storeWords.bring }),
    el("p", { class: "second quiet", text: storeWords.bringSub }),
    button(storeWords.bring, () => file.click(), { class: "wide" }),
    file,
    bottom(
      button(moreWords.back, () => app.views.back()),
      button(storeWords.sendNow, () => app.guard(sync.now().then(() => pictures.now()))),
    ),
  );
  return { node, head: tally.kit ? "fold" : "none", update };
}
