/** Everything that can be said in an outing, as one dictionary, made once of a kit. `haulbook.calls.lexicon` is the reference. */

import { ENGLISH, PHRASES, STAGES, STRANGERS } from "./grammar.js";
import { letters } from "./slips.js";
import { soundKey } from "./sound.js";

/** What it costs to leave words out of a listed name. */
const SHORTENED = 0.3;
const NAME_KINDS = ["name", "stranger"];

/** A spelling that a word may have; its sound is worked out when it is first asked for. */
class Form {
  constructor(spelt, word, plural) {
    Object.assign(this, { spelt, word, plural, name: false, own: false, shortens: false, bits: letters(spelt), key: null });
  }

  get sound() {
    if (this.key === null) this.key = soundKey(this.spelt);
    return this.key;
  }
}

/** A dictionary while it is made. */
class Making {
  constructor() {
    this.phrases = new Map();
    this.forms = new Map();
  }

  add(phrase, meaning, shortens = false) {
    const words = phrase.split(" ");
    const key = words.join("");
    const known = this.phrases.get(key) || [];
    if (!known.some((one) => one.kind === meaning.kind && one.value === meaning.value)) known.push(meaning);
    this.phrases.set(key, known);
    const name = NAME_KINDS.includes(meaning.kind);
    for (const word of words) {
      this.form(word, word, false, name, meaning, shortens);
      if (name) this.form(pluralOf(word), word, true, name, meaning, shortens);
    }
  }

  form(spelt, word, plural, name, meaning, shortens) {
    let known = this.forms.get(spelt);
    if (!known) this.forms.set(spelt, (known = []));
    let form = known.find((one) => one.word === word);
    if (!form) known.push((form = new Form(spelt, word, plural)));
    form.name = form.name || name;
    form.own = form.own || meaning.kind !== "stranger";
    form.shortens = form.shortens || shortens;
  }
}

/**
 * The dictionary of a kit.
 * @param {object} kit its `words` (docs/reference/kit.md) and the parents of its taxa
 * @returns {object} phrases: words run together -> meanings; keys: those sorted; forms: spelling -> Form[]; byLength;
 *   names: as listed; alike: pairs of letters of each name, and who bears it; english; remembered: what words were found near to;
 *   parents; groups: taxa that are no species
 */
export function compileWords(kit) {
  const book = kit.words;
  const making = new Making();
  const listed = new Set(book.names.flatMap(({ spoken = [], written = [] }) => [...spoken, ...written]));
  for (const [kind, value, said] of PHRASES) {
    // "smolt" is a stage where no fish is listed so
    const free = said.filter((phrase) => !listed.has(phrase) && !listed.has(phrase.replace(/s$/, "")));
    for (const phrase of free) making.add(phrase, { kind, value, stage: null, cost: 0 });
  }
  const bearers = new Map();
  for (const { taxon, spoken = [], written = [] } of book.names) {
    for (const name of [...spoken, ...written]) {
      bearers.set(name, [...(bearers.get(name) || []), taxon]);
      making.add(name, nameOf(taxon, name, 0), spoken.includes(name));
    }
  }
  for (const { taxon, short = [] } of book.names) {
    for (const name of short) making.add(name, nameOf(taxon, name, SHORTENED));
  }
  for (const value of [...STRANGERS, ...book.strangers]) {
    if (!making.phrases.has(value.split(" ").join(""))) making.add(value, { kind: "stranger", value, stage: null, cost: 0 });
  }
  const { phrases, forms } = making;
  return {
    phrases,
    keys: [...phrases.keys()].sort(),
    forms,
    byLength: byLength(forms),
    names: new Set(bearers.keys()),
    alike: [...bearers].map(([name, taxa]) => [pairsOf(name.split(" ")), taxa]),
    english: english(),
    remembered: new Map(),
    parents: new Map(kit.taxa.map(({ key, parent }) => [key, parent || null])),
    groups: new Set(book.names.filter((one) => one.group).map((one) => one.taxon)),
  };
}

function nameOf(taxon, name, cost) {
  const word = name.split(" ").find((one) => one in STAGES);
  return { kind: "name", value: taxon, stage: word === undefined ? null : STAGES[word], cost };
}

/** Words of English: a capital for the letters shared with the word before, then the rest. */
function english() {
  const found = new Set();
  let word = "";
  for (const one of ENGLISH.match(/[A-Z][a-z]*/g)) found.add((word = word.slice(0, one.charCodeAt(0) - 65) + one.slice(1)));
  return found;
}

function byLength(forms) {
  const found = new Map();
  for (const [spelt, own] of forms) {
    if (!found.has(spelt.length)) found.set(spelt.length, []);
    found.get(spelt.length).push(...own);
  }
  return found;
}

/** The plural of an English noun, as far as names need it. */
function pluralOf(word) {
  if (/(?:ch|sh|x|ss)$/.test(word)) return `${word}es`;
  return /[^aeiou]y$/.test(word) ? `${word.slice(0, -1)}ies` : `${word}s`;
}

/** The pairs of neighbouring letters of words, with their beginnings and ends. */
export function pairsOf(words) {
  const pairs = new Set();
  for (const word of words) {
    const bounded = `^${word}$`;
    for (let i = 0; i <= word.length; i++) pairs.add(bounded.slice(i, i + 2));
  }
  return pairs;
}

/** What words run together stand for. */
export function meaningsOf(words, key) {
  return words.phrases.get(key) || [];
}

/** Whether words run together may still become a phrase. */
export function begins(words, key) {
  let [low, high] = [0, words.keys.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (words.keys[middle] < key) low = middle + 1;
    else high = middle;
  }
  return low < words.keys.length && words.keys[low].startsWith(key);
}

/** Whether a taxon is another or lies under it. */
export function isWithin(words, key, ancestor) {
  for (let one = key; one; one = words.parents.get(one)) if (one === ancestor) return true;
  return false;
}
