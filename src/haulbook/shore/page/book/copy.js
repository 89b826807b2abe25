/** A copy of what the phone holds, as a book file: docs/reference/book.md. */

import { canonical } from "./canonical.js";
import { faultsOfEntry, inBookOrder, makeEntry } from "./entry.js";

/** A line that was never stored, as it stands in a copy: an entry without place in a chain. */
const draftLine = ({ id, kind, body, at, by, outing, madeAt }) =>
  canonical({ at, body, by, id, kind, made_at: madeAt, outing });

/**
 * @param {import("./entry.js").Entry[]} entries
 * @returns {string} JSON Lines; the station reads it as a book file
 */
export function copyText(entries) {
  return [...entries].sort(inBookOrder).map((entry) => `${canonical(entry)}\n`).join("");
}

/**
 * Lines that the phone would not store. It is no book file: this page brings it in as new lines.
 * @param {import("./store.js").Draft[]} drafts
 * @returns {string}
 */
export function unsavedText(drafts) {
  return drafts.map((draft) => `${draftLine(draft)}\n`).join("");
}

function readLine(line, found) {
  const value = JSON.parse(line);
  if (value && typeof value === "object" && !("hash" in value) && !("seq" in value)) {
    found.drafts.push(readDraft(value));
    return [];
  }
  const faults = faultsOfEntry(value);
  if (!faults.length && canonical(value) !== line) faults.push("the line is not in canonical form");
  if (!faults.length) found.entries.push(value);
  return faults;
}

function readDraft({ id, kind, body, at, by, outing, made_at: madeAt }) {
  const entry = makeEntry({ kind, body, at, by, outing }, { device: "d1", seq: 1, prev: null, id, madeAt });
  return { id, kind, body: entry.body, at, by, outing, madeAt };
}

/**
 * Read a copy back: entries of any device, lines never stored, and what is wrong with the rest.
 * @param {string} text
 * @returns {{entries: object[], drafts: object[], problems: {row: number, words: string}[]}}
 */
export function readCopy(text) {
  const found = { entries: [], drafts: [], problems: [] };
  const lines = text.split("\n");
  if (lines.pop() !== "") {
    found.problems.push({ row: lines.length + 1, words: "the line has no end: the file was cut off" });
  }
  lines.forEach((line, n) => {
    let faults;
    try {
      faults = readLine(line, found);
    } catch (error) {
      faults = error.faults || ["the line is no JSON object"];
    }
    if (faults.length) found.problems.push({ row: n + 1, words: faults.join("; ") });
  });
  return found;
}

/**
 * Hand something to the person as a file.
 * @param {string|Uint8Array} content
 * @param {string} name of the file, as "2027-05-14-a d1.jsonl"
 */
export function downloadCopy(content, name, type = "application/jsonl") {
  const url = URL.createObjectURL(new Blob([content], { type }));
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 60000);
}
