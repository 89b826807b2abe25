/** The line at the foot that is always there: what is only on this phone, or loudly what is not stored at all. */

import { button, el, put, strong } from "./dom.js";
import { markOf } from "./marks.js";
import { storeWords } from "./words.js";

export function makeStoreLine(app, { more }) {
  const told = el("div", { class: "told" });
  const moreButton = button(storeWords.more, more);
  const node = el("div", { class: "store" }, told, moreButton);
  let shown = "";

  function update() {
    const { store, sync, tally, pictures } = app;
    const problem = store.problem ?? pictures.problem;
    const [lines, photos] = [store.unsaved.length, pictures.held.length];
    const held = lines + photos;
    const { unsent = 0, pictures: unsentPhotos = 0, oldestAt, lastOk, rejected = 0 } = sync.state;
    const waiting = Math.max(0, tally.pending.size - lines);
    const age = oldestAt ? app.age(oldestAt) : "";
    const key = [
      problem?.what,
      problem?.words,
      lines,
      photos,
      unsent,
      unsentPhotos,
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
          strong(held ? storeWords.loud(lines, photos) : problem.words),
          " ",
          el("span", { text: held ? `${problem.words.split(". ")[0]}. ${storeWords.loudDo(lines)}` : "" }),
        ),
        held > 0 && button(storeWords.again, () => app.guard(app.storeAgain())),
        held > 0 && button(storeWords.saveThese, app.saveUnsaved),
      );
      return;
    }
    put(
      told,
      markOf(unsent || unsentPhotos || waiting ? "phone" : "shore"),
      el("p", {}, words({ unsent, unsentPhotos, age, lastOk, rejected, waiting, problem })),
    );
  }

  function words({ unsent, unsentPhotos, age, lastOk, rejected, waiting, problem }) {
    const parts = [];
    if (problem) parts.push(`${problem.words} `);
    if (unsent || unsentPhotos)
      parts.push(strong(storeWords.waits(unsent, unsentPhotos)), ` ${storeWords.onlyHere}${age ? storeWords.oldest(age) : ""}`);
    else if (waiting) parts.push(storeWords.storing(waiting));
    else parts.push(lastOk && app.tally.kit ? storeWords.allSent(app.clock(lastOk)) : storeWords.none);
    if (rejected) parts.push(". ", strong(storeWords.rejected(rejected)));
    return parts;
  }

  return { node, update };
}
