/** Calls that change the line before: "scratch that", "make that five". `haulbook.calls.commands` is the reference. */

import { PASSED_OVER, SHARED } from "./state.js";

const SILENT = [...PASSED_OVER, "all", "and", "gets"];
const PRONOUNS = ["it", "them", "em", "him", "her", "that", "those", "these", "he", "she", "they"];
const BEFORE_UNDO = ["oops", "filler", "correct", "the", "chatter"];
const CHANGES = { count: "amend_count", name: "amend_taxon", fate: "amend_fate", stage: "amend_stage", place: "amend_place" };
const SAYS_NO_MORE = ["correct", "refer", "total"];

/** A call without an undo at its beginning, and that undo as a list of commands. */
export function withoutUndo(pieces) {
  let at = 0;
  while (at < pieces.length && (BEFORE_UNDO.includes(pieces[at].kind) || pieces[at].said === "no")) at++;
  if (at === pieces.length || pieces[at].kind !== "undo" || !pieces[at].sure) return [pieces, []];
  const { run } = pieces[at++];
  while (at < pieces.length && pieces[at].run === run && pieces[at].said.split(" ").includes("last")) at++;
  return [pieces.slice(at), ["undo"]];
}

/** What a call changes in the line before; null where it is no such call, or not surely one. */
export function amendments(pieces) {
  const said = pieces.filter((piece) => !SILENT.includes(piece.kind));
  if (!said.length || !said.every(known)) return null;
  const [opens, refers] = opening(said);
  if (!opens && !replaces(said) && !pointsBack(pieces)) return null;
  const changes = new Map();
  for (const piece of asserted(said)) {
    if (SAYS_NO_MORE.includes(piece.kind) || (piece === said[0] && piece.kind === "zero")) continue;
    const command = CHANGES[piece.kind];
    if (!command || changes.has(command) || !piece.value || String(piece.value).startsWith("?")) return null;
    changes.set(command, piece);
  }
  const count = changes.get("amend_count");
  if (count && changes.size > 1) {
    if (count.value === 1 && !/^\d+$/.test(count.said)) changes.delete("amend_count");
    else if (!refers) return null;
  }
  return changes.size ? [...changes].map(([command, piece]) => ({ [command]: piece.value })) : null;
}

/** Whether a piece is sure; a lone word that corrects or points back must be said as listed. */
function known(piece) {
  if (["correct", "refer", "not"].includes(piece.kind) && !piece.exact && !piece.said.includes(" ")) return false;
  return piece.sure;
}

/** Whether a call opens as one that corrects, and whether it points at the line before. */
function opening(said) {
  const [first, after] = said;
  const behind = after && after.kind === "refer";
  const no = first.kind === "zero" && first.value === "no" && after && after.run !== first.run;
  const refers = first.kind === "refer" || (behind && ["correct", "zero"].includes(first.kind));
  return [first.kind === "correct" || refers || no, refers];
}

/** "Keep it", "all of those went back", "those go in bucket two": of what was called before. */
function pointsBack(pieces) {
  const said = pieces.filter((piece) => !SILENT.includes(piece.kind));
  const pronouns = PRONOUNS.filter((word) => word !== "that" || said[0].kind !== "place");
  const pronoun = pieces.some((piece) => piece.said.split(" ").some((word) => pronouns.includes(word)));
  return said.length === 1 && SHARED.includes(said[0].kind) && pronoun;
}

/** "Bucket two, not bucket one" and "not a crescent, a penpoint". */
function replaces(said) {
  const kinds = said.map((piece) => piece.kind);
  const at = kinds.indexOf("not");
  const rest = new Set(kinds.filter((kind) => kind !== "not"));
  const others = [...rest].filter((kind) => kind !== "count").length || rest.size;
  const nots = kinds.length - kinds.filter((kind) => kind !== "not").length;
  return at >= 0 && at < 2 && nots === 1 && others === 1 && [...rest].every((kind) => kind in CHANGES);
}

/** Leave out what stands behind "not": to the end of its run, or of the call where it stands last. */
function asserted(said) {
  const kept = [];
  let skipping = -1;
  for (const piece of said) {
    if (piece.kind === "not") skipping = piece.run;
    else if (piece.run !== skipping) kept.push(piece);
  }
  return kept;
}
