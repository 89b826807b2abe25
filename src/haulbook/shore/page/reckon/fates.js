/**
 * Places, what becomes of animals there, and which bases of a permit that raises: the tables of
 * docs/reference/book.md.
 */

export const SOURCES = ["sea", "born", "brought"];

/** Outside places, and the fate of animals that went there before any cut-off. */
export const SINKS = {
  escaped: "seen_escaped",
  "back-in-net": "released_in_net",
  back: "released_alive",
  "dead-back": "died_released",
  "dead-kept": "died_retained",
  "killed-kept": "retained_dead",
  "killed-back": "killed_not_kept",
  given: "retained_alive",
  lost: "fate_unknown",
};

const SINK_NAMES = new Set(Object.keys(SINKS));

export const FATES = ["seen_escaped", "released_in_net", "released_alive", "retained_alive", "retained_dead",
  "killed_not_kept", "died_released", "died_retained", "fate_unknown", "unaccounted"];

const bases = (words) => new Set(words.split(" "));

/** Bases that one animal of a fate raises by 1; later events add to theirs apart. */
export const BASES = {
  seen_escaped: bases("encountered"),
  released_in_net: bases("encountered captured released"),
  released_alive: bases("encountered captured handled released"),
  retained_alive: bases("encountered captured handled retained"),
  retained_dead: bases("encountered captured handled retained killed lethal"),
  killed_not_kept: bases("encountered captured handled killed lethal"),
  died_released: bases("encountered captured handled died lethal"),
  died_retained: bases("encountered captured handled retained died lethal"),
  // Lost animals may have died: what counts deaths adds them in the worst case only.
  fate_unknown: bases("encountered captured handled"),
  unaccounted: bases("encountered captured"),
};

/** What going to a sink means for animals whose fate was settled before. */
export const LATER = {
  "dead-back": "died", "dead-kept": "died", "killed-back": "killed", "killed-kept": "killed",
  given: "given", back: "back", "back-in-net": "back", lost: "lost",
};

const INSIDE = /^(?:net|(?:bucket|cooler) [1-9][0-9]*|tank [A-Za-z0-9][A-Za-z0-9_-]*)$/;

/** Whether a place is one that can never hold less than nothing. */
export const isInside = (place) => INSIDE.test(place);
export const isTank = (place) => place.startsWith("tank ");
export const isSink = (place) => SINK_NAMES.has(place);

/**
 * Fate of animals whose cut-off falls while they are in a place.
 * @param {string|undefined} purpose keep, hold or release; a bucket for which nobody said one keeps nothing
 */
export function fateIn(place, purpose) {
  if (isSink(place)) return SINKS[place];
  const kept = isTank(place) || place.startsWith("cooler ") || (place.startsWith("bucket ") && purpose === "keep");
  return kept ? "retained_alive" : "unaccounted";
}

/** Whether an animal with this fate and place raises a basis, by its fate alone. */
export function raises(fate, place, basis) {
  return BASES[fate].has(basis) || (basis === "handled" && fate === "unaccounted" && place !== "net");
}

/** Stage and unit of a line: an egg mass counts in its own unit, whichever of the two was said. */
export function stageAndUnit(said) {
  if (said.stage === "egg mass" || said.unit === "egg_mass") return ["egg mass", "egg_mass"];
  return [said.stage ?? null, said.unit ?? "individual"];
}

/** The outing in a haul's key, or null where it is the id of an entry (born or brought). */
export function outingOf(haul) {
  const slash = haul.lastIndexOf("/");
  return slash > 0 ? haul.slice(0, slash) : null;
}

/** Order of hauls: outing, then the number as a number. */
export function haulOrder(one, other) {
  const [a, b] = [outingOf(one) ?? "", outingOf(other) ?? ""];
  if (a !== b) return a < b ? -1 : 1;
  return Number(one.slice(a.length + 1)) - Number(other.slice(b.length + 1));
}
