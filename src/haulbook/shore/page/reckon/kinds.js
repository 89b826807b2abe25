/** Animals put together: alike ones, by haul, and in the orders in which they are listed. */

import { haulOrder } from "./fates.js";
import { animalsOf, calledOf, entriesOf, pastOf } from "./past.js";
import { byText } from "./standing.js";
import { instantOf } from "./time.js";

/**
 * Everything that is anywhere, lots that are alike put together: [{...facts of past.js, at, lots, call}], at: the
 * place object; lots: those it is made of; call: how-manieth call it first was. `said` and `cause` are those of the
 * first.
 */
export function kindsOf(happened) {
  const found = [];
  for (const [place, kinds] of happened.held) {
    const fateNow = happened.fateNow(place);
    for (const heap of kinds.values()) {
      if (heap.read?.fateNow !== fateNow) heap.read = { fateNow, kinds: alikeIn(heap.lots, place, fateNow) };
      found.push(...heap.read.kinds);
    }
  }
  return found;
}

function alikeIn(lots, place, fateNow) {
  const alike = new Map();
  for (const lot of lots) {
    const key = pastOf(lot).alike;
    const same = alike.get(key);
    if (!same) alike.set(key, { ...animalsOf(place, lot, fateNow), at: place, lots: [lot], call: lot.called });
    else {
      same.n += lot.n;
      same.lots.push(lot);
      if (lot.called < same.call) same.call = lot.called;
    }
  }
  return [...alike.values()];
}

/** Each lot by itself, with when it was called and the entries that say so: as `haulbook.custody.facts.Animals`. */
export function apartOf(kinds, happened) {
  return kinds.flatMap(({ at, lots }) => lots.map((lot) => {
    const facts = animalsOf(at, lot, happened.fateNow(at));
    return { ...facts, called: calledOf(lot), entries: entriesOf(lot), call: lot.called };
  }));
}

/** Rows alike in some keys put together, in the order in which they first come; `call` the first of them. */
export function grouped(rows, names) {
  const found = new Map();
  for (const row of rows) {
    const key = names.map((name) => row[name] ?? "").join("\t");
    const same = found.get(key);
    if (same) {
      same.n += row.n;
      same.call = Math.min(same.call, row.call);
    } else found.set(key, { ...row });
  }
  return [...found.values()];
}

/** Kinds put together by taxon, stage and unit, in the order of the calls. */
export function asCalled(kinds) {
  return grouped(kinds, ["taxon", "stage", "unit"]).sort((one, other) => one.call - other.call)
    .map(({ taxon, stage, unit, n }) => ({ taxon, stage, unit, n }));
}

/** All individuals of some rows; egg masses, colonies, blades and grams are no animals. */
export function individuals(rows) {
  return rows.reduce((sum, { unit, n }) => sum + (unit === "individual" ? n : 0), 0);
}

/** The order in which the station lists animals: by haul, taxon, stage, unit, fate and place, then as they came. */
export function inBookOrder(animals) {
  const keyed = animals.map((lot) => (
    { lot, at: instantOf(lot.called), name: [lot.taxon, lot.stage ?? "", lot.unit, lot.fate, lot.place].join("\t") }));
  return keyed.sort((one, other) => (
    haulOrder(one.lot.haul, other.lot.haul) || byText(one.name, other.name) || one.at - other.at
    || byText(one.lot.entries.join(), other.lot.entries.join()))).map(({ lot }) => lot);
}
