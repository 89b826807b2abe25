/**
 * Who may share a bucket. The table travels in the kit; words and verdicts as in `haulbook.care.company` (common
 * practice).
 */

import { taxaOf } from "./duties.js";
import { nameOf } from "./names.js";

const WORDS = {
  ok: "get on", short: "for a short time only", "by size": "by size", no: "not in one bucket",
  never: "never in one bucket",
};

/**
 * An animal, or several alike, as company sees them: {taxon, kind, shortest, longest} (mm, null where nobody
 * measured).
 */
export function guestOf(kit, { taxon, length_mm: mm = null }) {
  const { company } = kit;
  const known = taxaOf(kit).get(taxon);
  const usual = known?.company ?? company.alone;
  // A crab nobody measured is a large one; one that is known to be small is not.
  const crab = known?.group === "crab" && usual === company.by_group.crab;
  const small = crab && mm !== null && mm < company.large_crab_mm;
  return { taxon, kind: small ? "small crabs" : usual, shortest: mm, longest: mm };
}

const tables = new WeakMap();

/** Verdict and reason of two classes: Map("class\tclass" -> {verdict, why}), both ways round. */
function pairsOf({ company }) {
  if (!tables.has(company)) {
    tables.set(company, new Map(company.pairs.flatMap((pair) => {
      const [one, other = one] = pair.of;
      return [[`${one}\t${other}`, pair], [`${other}\t${one}`, pair]];
    })));
  }
  return tables.get(company);
}

/**
 * Whether two may share a bucket, and why (not): {level: "ok"|"short"|"no"|"never", why}. The order does not
 * matter.
 */
export function verdict(kit, one, other, say = nameOf(kit)) {
  const { company } = kit;
  if (one.kind === company.alone || other.kind === company.alone) {
    return { level: "never", why: `${say((one.kind === company.alone ? one : other).taxon)} travels alone` };
  }
  const pair = pairsOf(kit).get(`${one.kind}\t${other.kind}`);
  const level = pair.verdict;
  const why = (words) => `${say(one.taxon)} with ${say(other.taxon)}: ${words}`;
  const hunters = [one, other].every(({ kind }) => company.size_rule_between.includes(kind));
  if (level === "by size" || ((level === "ok" || level === "short") && hunters)) {
    const fits = fit(one, other, company.size_ratio);
    const no = (words) => ({ level: "no", why: why(words) });
    if (fits === false) return no(`one is shorter than ${company.size_ratio} of the other`);
    if (fits === null && level === "by size") return no("only by size, and nobody measured them");
  }
  return { level: level === "by size" ? "ok" : level, why: why(pair.why || WORDS[level]) };
}

function fit(one, other, ratio) {
  if ([one.shortest, one.longest, other.shortest, other.longest].includes(null)) return null;
  return Math.min(one.shortest, other.shortest) >= ratio * Math.max(one.longest, other.longest);
}

const LEVELS = ["ok", "short", "no", "never"];
const worstFirst = (one, other) => LEVELS.indexOf(other.level) - LEVELS.indexOf(one.level);

/**
 * What should not share a bucket, or only for a short time; the worst first, each once.
 * @param {object} kit
 * @param {{lots: Array}} place of the state
 * @returns {Array<{level, words, taxa: Array<string>}>} taxa: one, or the two that do not go together
 */
export function warnings(kit, { lots }, say = nameOf(kit)) {
  const there = guestsIn(kit, lots);
  const found = new Map();
  there.forEach((one, place) => {
    for (const other of there.slice(one.n > 1 ? place : place + 1)) {
      const { level, why } = verdict(kit, one, other, say);
      if (level !== "ok") found.set(why, { level, words: why, taxa: [...new Set([one.taxon, other.taxon])] });
    }
  });
  return [...found.values()].sort(worstFirst);
}

/** The worst that a newcomer meets in a place: {level, why}; null where everybody gets on or it is empty. */
export function worstWith(kit, line, { lots }, say = nameOf(kit)) {
  const newcomer = guestOf(kit, line);
  return guestsIn(kit, lots).map((guest) => verdict(kit, newcomer, guest, say)).filter(({ level }) => level !== "ok")
    .sort(worstFirst)[0] ?? null;
}

/** Animals in a place as company sees them, alike ones together: [{taxon, kind, shortest, longest, n}]. */
function guestsIn(kit, lots) {
  const found = new Map();
  for (const lot of lots) {
    if (lot.n <= 0 || lot.unit !== "individual") continue;
    const key = `${lot.taxon}\t${lot.length_mm ?? ""}`;
    if (!found.has(key)) found.set(key, { ...guestOf(kit, lot), n: 0 });
    found.get(key).n += lot.n;
  }
  return [...found.values()];
}
