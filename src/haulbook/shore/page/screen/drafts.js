/** From what was understood to what is written: drafts of entries. No screen, no clock. */

/** How an animal of a tally group is measured where nobody says otherwise (common practice). */
const MEASURED_AS = {
  crab: "carapace width",
  hermit: "carapace length",
  lobster: "carapace length",
  "slug-snail": "shell height",
  clam: "shell length",
  jelly: "bell diameter",
  cephalopod: "mantle length",
  echinoderm: "diameter",
  worm: "body length",
  "small-crustacean": "body length",
};

/** @param {string|undefined} group tally group of the taxon */
export const measuredAs = (group) => MEASURED_AS[group] || "total";

/**
 * The place that a called line goes to.
 * @param {{fate: string|null, place: string|null, to?: string}} line as `understand` gives it; `to` once that was asked
 * @param {string|null} keep the recorder's keep bucket
 */
export function goesTo({ fate, place, to }, keep) {
  if (to) return to;
  if (fate === "back") return "back";
  if (fate === "dead") return "dead-back";
  if (place) return place === "cooler" ? "cooler 1" : place;
  if (fate === "kept") return keep || "cooler 1";
  return "net";
}

/**
 * A line of the book out of the sea, from a line as `understand` gives it.
 * @param {Object} line complete: count and taxon are there
 * @param {{keep: string|null, haul: string, group?: string}} where
 */
export function calledLine(line, { keep, haul, group }) {
  const move = { taxon: line.taxon, n: line.count, from: "sea", to: goesTo(line, keep), haul };
  if (line.stage) move.stage = line.stage;
  if (line.doubt_about) move.doubt = line.doubt_about;
  if (line.length_mm) Object.assign(move, { length_mm: line.length_mm, length_type: measuredAs(group) });
  return move;
}

/**
 * What a list of called lines writes: one move, one searched-and-none.
 * @param {Object[]} moves lines of the book
 * @param {string[]} zeros taxa that were searched for and not there
 * @param {{text?: string, haul: string, at?: string}} said
 */
export function entriesOf(moves, zeros, { text, haul, at }) {
  const drafts = [];
  if (moves.length) drafts.push({ kind: "move", body: text ? { lines: moves, text } : { lines: moves }, at });
  if (zeros.length) drafts.push({ kind: "searched-and-none", body: { haul, taxa: zeros }, at });
  return drafts;
}

/** Rows alike in taxon, stage and unit, over all hauls: [{key, taxon, stage, unit, n, lots}]. */
export function kindsIn(lots) {
  const kinds = new Map();
  for (const lot of lots) {
    const key = [lot.taxon, lot.stage || "", lot.unit || "individual"].join("|");
    if (!kinds.has(key))
      kinds.set(key, { key, taxon: lot.taxon, stage: lot.stage || null, unit: lot.unit, n: 0, lots: [] });
    const kind = kinds.get(key);
    kind.n += lot.n;
    kind.lots.push(lot);
  }
  return [...kinds.values()];
}

/**
 * The lines of a call after a word of correction.
 * @param {Object[]} lines of the book, as they were written
 * @param {Object} command `{amend_count: 5}` and the like; acts on the last of them
 * @param {string|null} keep
 */
export function amended(lines, command, keep) {
  const [what, value] = Object.entries(command)[0];
  const last = { ...lines[lines.length - 1] };
  if (what === "amend_count") last.n = value;
  else if (what === "amend_taxon") Object.assign(last, { taxon: value, doubt: undefined });
  else if (what === "amend_stage") last.stage = value || undefined;
  else if (what === "amend_fate") last.to = goesTo({ fate: value, place: null }, keep);
  else if (what === "amend_place") last.to = goesTo({ fate: null, place: value }, keep);
  for (const key of Object.keys(last)) if (last[key] === undefined) delete last[key];
  return [...lines.slice(0, -1), last];
}
