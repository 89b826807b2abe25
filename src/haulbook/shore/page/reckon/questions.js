/**
 * What stands between an outing and its closing, and what may wait. Equal to `haulbook.custody.closing` and
 * `discrepancies`.
 */

import { looseChains } from "./chains.js";
import { belowZero, countDiffers, nameOpen, zeroAndCount } from "./counts_off.js";
import { isSink, outingOf } from "./fates.js";
import { byText } from "./standing.js";
import { doubleCount, lateLines, startedTwice } from "./told_twice.js";

/** Discrepancies that an outing can be closed with: they are printed. */
const ONLY_SHOWN = new Set(["name-open", "clock", "late-line", "zero-and-count"]);
const OF_A_DEVICE = new Set(["gap", "fork", "clock"]);

const SAME = (key) => key;

/**
 * What is open in an outing: first what blocks closing it, then what will be printed.
 * @param {State} state
 * @param {string} outing
 * @param {object} [how]
 * @param {(taxon, other) => boolean} [how.within] whether a taxon is another or lies within it (kit: `withinOf`)
 * @param {(key) => string} [how.nameOf] a taxon in words
 * @param {boolean} [how.wholeChains] whether the book holds all that its devices wrote, also of other outings
 * @returns {Array<{kind: "animals" | "unaccounted" | "fate-unknown" | "discrepancy", key, blocks, words, n,
 *   entries}>}
 */
export function openThings(state, outing, how = {}) {
  const { nameOf = SAME } = how;
  const things = [
    ...animalsLeft(state.happened, outing, nameOf),
    ...fixedWithoutFate(state, outing, nameOf),
    ...fatesUnknown(state, outing, nameOf),
    ...openDiscrepancies(state, outing, how),
  ];
  return things.sort((one, other) => (
    other.blocks - one.blocks || byText(one.kind, other.kind) || byText(one.key, other.key)));
}

function animalsLeft(happened, outing, nameOf) {
  const held = new Map();
  const add = (place, what, n) => {
    if (place.outing !== outing || isSink(place.place)) return;
    const key = `${place.place} ${what.taxon} ${what.stage || "-"}`;
    if (!held.has(key)) held.set(key, { place, what, n: 0 });
    held.get(key).n += n;
  };
  for (const [place, { what, n }] of happened.lots()) add(place, what, n);
  for (const { place, what, n } of happened.short()) add(place, what, -n);
  return [...held].filter(([, { n }]) => n > 0).map(([key, { place, what, n }]) => ({
    kind: "animals",
    key: `animals:${outing} ${key}`,
    blocks: true,
    words: `${place.place} still holds ${n} ${named(what, nameOf)}: say where they went`,
    n,
    entries: [],
  }));
}

const named = ({ taxon, stage }, nameOf) => (stage ? `${nameOf(taxon)} (${stage})` : nameOf(taxon));

function fixedWithoutFate(state, outing, nameOf) {
  const stuck = ({ haul, fate, fated }) => fate === "unaccounted" && fated !== null && outingOf(haul) === outing;
  return state.lotsOf(stuck).map((lot) => ({
    kind: "unaccounted",
    key: `unaccounted:${lot.entries[0]} ${lot.place}`,
    blocks: true,
    words: `${lot.n} ${nameOf(lot.taxon)} of ${lot.haul} left the beach in a place that was not to keep, `
      + `now in ${lot.place}: say what the bucket was for at that time, or strike that it left`,
    n: lot.n,
    entries: lot.entries,
  }));
}

function fatesUnknown(state, outing, nameOf) {
  const { standing } = state;
  const unknown = state.lotsOf(({ haul, fate }) => fate === "fate_unknown" && outingOf(haul) === outing);
  if (!unknown.length) return [];
  const toLost = new Set(standing
    .filter(({ kind, body }) => kind === "move" && body.lines.some(({ to }) => to === "lost")).map(({ id }) => id));
  const confirmed = new Set(standing.filter(({ kind }) => kind === "settled").map(({ body }) => body.key));
  const lost = new Map();
  for (const lot of unknown) {
    // Renamed among the lost, where they had never arrived: then no move to lost speaks of them.
    const key = `fate-unknown:${lot.entries.find((id) => toLost.has(id)) ?? lot.entries[0]}`;
    lost.set(key, [...(lost.get(key) ?? []), lot]);
  }
  return [...lost].filter(([key]) => !confirmed.has(key)).map(([key, together]) => {
    const said = together.map(({ n, taxon, haul, cause }) => `${n} ${nameOf(taxon)} of ${haul}: ${cause}`).join("; ");
    return {
      kind: "fate-unknown",
      key,
      blocks: false,
      words: `fate unknown, for the lead to confirm (${said}); the report prints it`,
      n: together.reduce((sum, { n }) => sum + n, 0),
      entries: [...new Set(together.flatMap(({ entries }) => entries))],
    };
  });
}

/** Everything in the book that can't be or that somebody has to say, settled or not. */
export function discrepancies(state, { within = Object.is, nameOf = SAME, wholeChains = false } = {}) {
  const { standing, happened, entries } = state;
  const said = standing.filter(({ kind }) => kind === "settled");
  const answers = new Map(said.map(({ body }) => [body.key, body.answer]));
  const found = [
    ...belowZero(standing, happened, nameOf),
    ...countDiffers(standing, happened, nameOf),
    ...zeroAndCount(state, within, nameOf),
    ...nameOpen(state.lotsOf(({ taxon }) => taxon.startsWith("?"))),
    ...doubleCount(standing, nameOf),
    ...startedTwice(standing),
    ...lateLines(entries, standing),
    ...looseChains(entries, standing, wholeChains),
  ];
  return found.map((one) => {
    const key = `${one.kind}:${one.subject}`;
    return { ...one, key, settled: answers.get(key) ?? null };
  });
}

function openDiscrepancies(state, outing, how) {
  const devices = new Set(state.entries.filter((entry) => entry.outing === outing).map(({ device }) => device));
  return discrepancies(state, how)
    .filter((one) => one.settled === null
      && (one.outing === outing || (OF_A_DEVICE.has(one.kind) && devices.has(one.subject.split(" ")[0]))))
    .map(({ kind, key, words, entries }) => ({
      kind: "discrepancy", key, blocks: !ONLY_SHOWN.has(kind), words, n: 0, entries,
    }));
}
