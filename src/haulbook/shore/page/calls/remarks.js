/** Words that enter nothing: remarks, and talk about net, water and clock. `haulbook.calls.remarks` is the reference. */

import { byRun } from "./order.js";
import { near, ORDINARY } from "./spelling.js";
import { PASSED_OVER } from "./state.js";
import { meaningsOf } from "./words.js";

const QUIET = [...PASSED_OVER, "and", "chatter", "gets", "at", "all", "ones"];
const CALLED = ["name", "stranger", "zero", "stage", "fate"];
/** Words that say where an animal was, and what they stand behind. */
const OPENERS = ["on", "off", "in", "under", "from", "with", "inside", "among", "beside", "covered", "near", "behind", "by"];
const OPENED = ["name", "filler", "adjective", "length", "fate"];
/** Letters that a recogniser makes of the end of a plural. */
const PLURAL_ENDINGS = ["s", "z", "g"];
/** A remark of one or two words must be no slip, up to this cost, of anything that counts. */
const CLOSE = 1.3;
const COUNTING = ["fate", "stage", "place", "number", "name", "zero"];

/** Whether a call is talk about net, water, buckets or clock, or a search that is not over ("none yet"). */
export function isChatter(pieces, words) {
  const kinds = new Set(pieces.filter((piece) => !["a", "an"].includes(piece.said)).map((piece) => piece.kind));
  if (kinds.has("yet")) return !kinds.has("count");
  const talk = new Set(pieces.filter((piece) => piece.kind === "chatter" && piece.exact).map((piece) => piece.value));
  if (pieces[0].kind === "chatter" && pieces[0].value === "question") return !kinds.has("count") && !kinds.has("zero");
  if (!(talk.has("gear") || talk.has("measure")) || CALLED.some((kind) => kinds.has(kind))) return false;
  if (talk.has("measure")) return true;
  return !kinds.has("count") && pieces.every((piece) => piece.kind !== "loose" || words.english.has(piece.said));
}

/** The pieces of a call with the words of its remarks made silent. */
export function withoutRemarks(pieces, said, words) {
  const runs = byRun(pieces);
  const calls = pieces.some((piece) => piece.kind === "name");
  const kept = [];
  for (const [run, own] of runs) {
    const remark = calls && runs.size > 1 && isRemark(own, said[run].words, words);
    kept.push(...(remark ? own.map(silenced) : withoutTail(own, words)));
  }
  return kept;
}

/** A piece that enters nothing; "oops" and "uh" still stand between what is said twice. */
function silenced(piece) {
  return piece.kind === "oops" ? piece : { ...piece, kind: "filler", sure: true, exact: true };
}

function plainEnglish(piece, words) {
  return piece.kind === "loose" && words.english.has(piece.said);
}

/** Whether a run between pauses is plain English that counts nothing. */
function isRemark(own, said, words) {
  const talk = own.some((piece) => piece.kind === "chatter" && piece.exact); // "bucket two is full"
  const quiet = talk ? [...QUIET, "place"] : QUIET;
  if (!own.every((piece) => quiet.includes(piece.kind) || plainEnglish(piece, words))) return false;
  const loose = own.filter((piece) => piece.kind === "loose").length;
  if (loose === 1 && said.length === 1) return false;
  return loose === 0 || said.length > 2 || !said.some((word) => isClose(word, words));
}

/** Whether a word may be a slip of one that counts. */
function isClose(word, words) {
  return near(word, words).some(
    ([form, cost]) =>
      cost - ORDINARY <= CLOSE && meaningsOf(words, form.word).some((meaning) => COUNTING.includes(meaning.kind)),
  );
}

/** Silence where something was ("covered in weed", "on the wrack") and the rest of a plural ("sculpin g"). */
function withoutTail(own, words) {
  const kept = [];
  let silent = false;
  for (const piece of own) {
    const loose = plainEnglish(piece, words);
    const before = kept.length ? kept[kept.length - 1].kind : "";
    const opens = (loose || piece.kind === "bound") && OPENERS.includes(piece.said) && OPENED.includes(before);
    silent = opens || (silent && (loose || QUIET.includes(piece.kind)));
    const ending = piece.kind === "loose" && PLURAL_ENDINGS.includes(piece.said) && before === "name";
    kept.push(silent || ending ? silenced(piece) : piece);
  }
  return kept;
}
