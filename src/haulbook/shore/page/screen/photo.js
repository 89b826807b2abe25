/** A photo of an animal, beside the line that says what it is: the phone's own camera takes it. */

import { button, el } from "./dom.js";
import { redrawn } from "./redraw.js";
import { photoWords } from "./words.js";

/** Kinds of lines that say something of animals, of which a photo can be taken. */
const OF_ANIMALS = ["move", "present", "lengths", "redetermination"];

export const isOfAnimals = ({ kind }) => OF_ANIMALS.includes(kind);

/**
 * @returns {{button: function(function(): string, string): Element, words: function(string): string}} `button` is told
 *   which entry, when it is pressed, and what it says; `words` are those of an entry's photos, empty where it has none
 */
export function makePhoto(app) {
  const { tally } = app;
  const working = []; // ids of the entries whose photo is being made small
  let of = null;
  const input = el("input", {
    type: "file",
    accept: "image/*",
    capture: "environment",
    class: "unseen",
    tabindex: -1,
    "aria-hidden": "true",
    on: { change: () => input.files[0] && app.guard(keep(of, input.files[0])) },
  });

  function take(id) {
    of = id;
    input.value = ""; // the same file may be chosen again
    if (!input.isConnected) document.body.append(input);
    input.click();
  }

  async function keep(id, file) {
    working.push(id);
    tally.tell("photo");
    try {
      const bytes = await redrawn(file).catch(() => {
        throw new Error(photoWords.unread);
      });
      if (await app.pictures.keep(id, bytes)) app.announce(photoWords.kept);
    } finally {
      working.splice(working.indexOf(id), 1);
      tally.tell("photo");
    }
  }

  return {
    words(id) {
      const n = tally.state.standing.filter(({ kind, body }) => kind === "picture" && body.of === id).length;
      return [n && photoWords.photos(n), working.includes(id) && photoWords.keeping].filter(Boolean).join("; ");
    },
    button: (idOf, said) => button(photoWords.take, () => take(idOf()), { "aria-label": `${photoWords.take}: ${said}` }),
  };
}
