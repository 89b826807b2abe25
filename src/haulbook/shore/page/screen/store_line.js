/** The line at the foot that is always there: what is only on this phone, or loudly what is not stored at all. */

import { button, el, put, strong } from "./dom.js";
import { downloadCopy, unsavedText } from "../book/copy.js";
import { markOf } from "./marks.js";
import { storeWords } from "./words.js";

export function makeStoreLine(app, { more }) {
  const told = el("div", { class: "told" });
  const moreButton = button(storeWords.more, more);
  const node = el("div", { class: "store" }, told, moreButton);
  let shown = "";

  function update() {
    const { store, sync, tally } = app;
    const { problem } = store;
    const held = store.unsaved.length;
    const { unsent = 0, oldestAt, lastOk, rejected = 0 } = sync.state;
    const waiting = Math.max(0, tally.pending.size - held);
    const age = oldestAt ? app.age(oldestAt) : "";
    const key = [
      problem?.what,
      problem?.words,
      held,
      unsent,
      age,
      lastOk && app.clock(lastOk),
      rejected,
      waiting > 0,
      tally.kit?.digest,
    ].join("|");
    if (key === shown) return;
    shown = key;
    const loud = problem && problem.what !== "slow" && (held > 0 || problem.what !== "write");
    node.className = `store${loud ? " loud" : ""}`;
    moreButton.hidden = !tally.kit;
    if (loud) {
      put(
        told,
        markOf("stop"),
        el(
          "p",
          { role: "alert" },
          strong(held ? storeWords.loud(held) : problem.words),
          " ",
          el("span", { text: held ? `${problem.words.split(". ")[0]}. ${storeWords.loudDo}` : "" }),
        ),
        held > 0 && button(storeWords.again, () => app.guard(store.retry())),
        held > 0 &&
          button(storeWords.saveThese, () =>
            downloadCopy(unsavedText(store.unsaved), `not stored ${store.device ?? ""}.jsonl`),
          ),
      );
      return;
    }
    put(
      told,
      markOf(unsent || waiting ? "phone" : "shore"),
      el("p", {}, words({ unsent, age, lastOk, rejected, waiting, problem })),
    );
  }

  function words({ unsent, age, lastOk, rejected, waiting, problem }) {
    const parts = [];
    if (problem) parts.push(`${problem.words} `);
    if (unsent)
      parts.push(strong(storeWords.lines(unsent)), ` ${storeWords.onlyHere}${age ? storeWords.oldest(age) : ""}`);
    else if (waiting) parts.push(storeWords.storing(waiting));
    else parts.push(lastOk && app.tally.kit ? storeWords.allSent(app.clock(lastOk)) : storeWords.none);
    if (rejected) parts.push(". ", strong(storeWords.rejected(rejected)));
    return parts;
  }

  return { node, update };
}
