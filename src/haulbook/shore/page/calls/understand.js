/**
 * From a call to its answer, as `haulbook call --json` gives it: what is certain is a line, what is not is a question.
 * `haulbook.calls` is the reference, and docs/reference/calls.md explains the answer. No page, no clock, no chance.
 */

import { candidates } from "./candidates.js";
import { amendments, withoutUndo } from "./commands.js";
import { Listing } from "./listing.js";
import { inOrder } from "./order.js";
import { piecesOf } from "./pieces.js";
import { isChatter, withoutRemarks } from "./remarks.js";
import { readRun } from "./segments.js";
import { runsOf } from "./tokens.js";

export { compileWords } from "./words.js";

const MOST_CHOICES = 4;
const NAMED = ["loose", "name", "stranger"];

/**
 * What a spoken or typed call means.
 * @param {string} text one call
 * @param {object} words of compileWords
 * @returns {{lines: object[], asks: Array<{said, choices, about, line}>, commands: Array}}
 */
export function understand(text, words) {
  const said = runsOf(text);
  const shorthand = said.some((run) => run.words.some((word) => word === "nil" || /^\d+$/.test(word)));
  const all = said.flatMap((run, i) => piecesOf(readRun(run.words, words, shorthand), i));
  if (!all.length) return { lines: [], asks: [], commands: [] };
  const [pieces, commands] = withoutUndo(all);
  const changes = amendments(pieces);
  if (changes) return { lines: [], asks: [], commands: changes };
  if (!commands.length && isChatter(pieces, words)) return { lines: [], asks: [], commands: [] };
  const stops = said.map((run) => run.stop);
  const listing = new Listing(inOrder(withoutRemarks(pieces, said, words)), stops, words);
  listing.read();
  return answerOf(listing, said, words, commands);
}

function answerOf(listing, said, words, commands) {
  const asks = [];
  const troubled = new Set();
  for (const draft of listing.drafts.filter((one) => !one.sure)) {
    const choices = [...new Set([...draft.choices, ...candidates(draft.said, words)])].slice(0, MOST_CHOICES);
    asks.push({ said: draft.said, choices, about: "name", line: draft.line() });
    draft.runs.forEach((run) => troubled.add(run));
  }
  for (const { run, said: own, about, line } of listing.asks) {
    if (!troubled.has(run) || line) {
      const text = said[run].words.join(" ");
      const choices = about === "words" ? candidates(unread(listing.pieces, run) || text, words) : [];
      asks.push({ said: line ? own : text, choices, about, line });
    }
    troubled.add(run);
  }
  if (!listing.drafts.length && !asks.length && !commands.length) {
    const text = said.flatMap((run) => run.words).join(" ");
    asks.push({ said: text, choices: candidates(text, words), about: "words", line: null });
  }
  const named = new Set(listing.drafts.filter((one) => one.counted || one.sure).flatMap((one) => [...one.runs]));
  // words that were not understood, and an undo in the middle, may speak of any lot of the call
  const held = listing.undone || [...troubled].some((run) => !named.has(run));
  const certain = (draft) => draft.sure && draft.counted && ![...draft.runs].some((run) => troubled.has(run));
  return { lines: held ? [] : listing.drafts.filter(certain).map((draft) => draft.line()), asks, commands };
}

/** The words of a run that may be a name: what is left over, and the names beside it. */
function unread(pieces, run) {
  return pieces
    .filter((one) => one.run === run && NAMED.includes(one.kind))
    .map((one) => one.said)
    .join(" ");
}
