/**
 * Which one is it: a likelihood key over the kit's table of whole numbers (natural logs in thousandths), which are
 * added. Equal to `haulbook.identify` for answers of one state; what the observer can't tell is skipped. States are
 * values: answering gives a new one.
 */

import { sharedPath, statesOf } from "./apart.js";
import { nameOf } from "./names.js";

/**
 * @param {object} kit
 * @param {Array<string>} [choices] taxa or groups that it can only be, as a question about a call names them
 * @returns {object} state: {kit, table, among, steps, answers: [[character, state key]], skipped: [character]}
 */
export function start(kit, choices = []) {
  const among = choices.length ? membersOf(kit, choices) : null;
  return after({ kit, table: kit.identify, among: among?.size ? among : null }, []);
}

/** The state after some steps [[character, state key, or null where nobody could tell]], the last word on each. */
function after({ kit, table, among }, steps) {
  const said = [...new Map(steps)];
  return {
    kit, table, among, steps, answers: said.filter(([, key]) => key !== null),
    skipped: said.filter(([, key]) => key === null).map(([character]) => character),
  };
}

function membersOf(kit, choices) {
  const table = kit.identify;
  const places = new Map(table.taxa.map(({ key }, i) => [key, i]));
  return new Set(choices.flatMap((taxon) => (places.has(taxon) ? [places.get(taxon)] : table.groups[taxon] ?? [])));
}

/** The state after an answer: an option of the question, its key, or null for "can't tell". */
export function answer(state, option, character = question(state)?.character) {
  const key = option && typeof option === "object" ? option.key : option ?? null;
  return after(state, [...state.steps, [character, key]]);
}

/** The state before the last answer or skip. */
export function back(state) {
  return after(state, state.steps.slice(0, -1));
}

/** Probability of each ranked taxon of the table, in its order. */
export function chances({ table, among, answers }) {
  const sums = table.taxa.map(({ start: before }, i) => (among && !among.has(i) ? -Infinity : before));
  for (const [key, state] of answers) {
    const character = characterOf(table, key);
    const scores = scoresOf(character);
    const at = character.states.findIndex(([name]) => name === state);
    for (let i = 0; i < sums.length; i += 1) sums[i] += scores(i, at);
  }
  const most = Math.max(...sums);
  const weights = sums.map((sum) => Math.exp((sum - most) / 1000));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  return weights.map((weight) => weight / total);
}

const characterOf = (table, key) => table.characters.find((one) => one.key === key);

const scored = new WeakMap();

/** Log likelihood in thousandths of a state for a taxon: (taxon index, state index) -> number. */
function scoresOf(character) {
  if (!scored.has(character)) {
    const scores = ([taxon, hits, hit, miss]) => [taxon, { hits: new Set(hits), hit, miss }];
    scored.set(character, new Map(character.cells.map(scores)));
  }
  const cells = scored.get(character);
  return (taxon, state) => {
    const cell = cells.get(taxon);
    if (!cell) return character.chance;
    return cell.hits.has(state) ? cell.hit : cell.miss;
  };
}

/**
 * The look that is expected to tell most for what it costs; null where none is worth asking.
 * @returns {{character, words, options: [{key, words}], bits, between: [taxon, taxon]|null}|null}
 */
export function question(state) {
  const { table } = state;
  const shares = chances(state);
  // Somebody who doubts between a few names is asked once, however often one of them was found here.
  const sure = Math.max(...shares) >= table.rules.sure && (state.answers.length > 0 || !state.among);
  if (nobody(state) || sure) return null;
  const barred = new Set([...state.skipped, ...state.answers.map(([key]) => key)]);
  const can = table.characters.filter((one) => !barred.has(one.key) && mayAsk(one, state.answers));
  const pair = closeLeaders(table, shares);
  const found = (pair && between(table, shares, can, pair)) ?? best(table, shares, can);
  if (!found) return null;
  const { character } = found;
  return {
    character: character.key, words: character.question, bits: found.bits, between: found.between ?? null,
    options: character.states.map(([key, words]) => ({ key, words })),
  };
}

function mayAsk(character, answers) {
  const seen = new Map(answers);
  return character.ask_when.every(([key, states]) => states.includes(seen.get(key)));
}

function closeLeaders(table, shares) {
  const order = byShare(shares);
  if (order.length < 2) return null;
  const [first, second] = order;
  const { close, close_share: together } = table.rules;
  if (shares[first] + shares[second] < together || shares[first] >= close * shares[second]) return null;
  return [first, second];
}

/**
 * Indices, most probable first; the later one first where two are equal, as the station's ranking takes its two
 * leaders.
 */
function byShare(shares) {
  return shares.map((_, i) => i).sort((one, other) => shares[other] - shares[one] || other - one);
}

function between(table, shares, can, pair) {
  const ofPair = shares.map(() => 0);
  const both = shares[pair[0]] + shares[pair[1]];
  for (const i of pair) ofPair[i] = shares[i] / both;
  const keys = pair.map((i) => table.taxa[i].key);
  const found = best(table, ofPair, can.filter((one) => sharedPath(table, ...pair, one)));
  return found && { ...found, bits: bitsOf(found.character, shares), between: keys };
}

function best(table, weights, can) {
  let found = null;
  for (const character of can) {
    const bits = bitsOf(character, weights);
    if (bits < table.rules.least_bits) continue;
    if (!found || bits / character.cost > found.worth) found = { character, bits, worth: bits / character.cost };
  }
  return found;
}

/**
 * Bits that an answer is expected to tell: entropy of the answer less its mean entropy given the taxon (Shannon
 * 1948).
 */
export function bitsOf(character, weights) {
  const scores = scoresOf(character);
  const told = character.states.map(() => 0);
  let given = 0;
  weights.forEach((weight, taxon) => {
    if (!weight) return;
    character.states.forEach((_, at) => {
      const chance = Math.exp(scores(taxon, at) / 1000);
      told[at] += weight * chance;
      given -= weight * chance * Math.log2(chance);
    });
  });
  return Math.max(0, -told.reduce((sum, chance) => sum + (chance ? chance * Math.log2(chance) : 0), 0) - given);
}

/**
 * Who it may be, most probable first: [{taxon, name, p, notices: ["protected", ...]}]. Empty where no taxon that
 * can be weighed has the body that was seen.
 */
export function ranking(state) {
  if (nobody(state)) return [];
  const { table, kit, among } = state;
  const shares = chances(state);
  const order = shares.map((_, i) => i).sort((one, other) => shares[other] - shares[one] || one - other);
  return order.filter((i) => !among || among.has(i)).map((i) => {
    const { key: taxon, notices } = table.taxa[i];
    return { taxon, name: nameOf(kit)(taxon), p: shares[i], notices };
  });
}

const BODY = "body_plan";

/** Whether the body seen is that of no ranked taxon: more looks would only dress that up. */
function nobody({ table, answers }) {
  const body = new Map(answers).get(BODY);
  return body !== undefined && table.taxa.every((_, i) => !statesOf(table, i, BODY).has(body));
}

/**
 * The finest name that is sure enough to be written down: {taxon, p}; null where none is, or nothing was looked at.
 */
export function leaveAt(state) {
  const { table, answers } = state;
  if (!answers.length || nobody(state)) return null;
  const shares = chances(state);
  const leader = shares.indexOf(Math.max(...shares));
  if (shares[leader] >= table.rules.sure) return { taxon: table.taxa[leader].key, p: shares[leader] };
  const around = Object.entries(table.groups).filter(([, members]) => members.includes(leader))
    .map(([taxon, members]) => ({ taxon, size: members.length, p: members.reduce((sum, i) => sum + shares[i], 0) }))
    .filter(({ p }) => p >= table.rules.sure).sort((one, other) => one.size - other.size);
  return around.length ? { taxon: around[0].taxon, p: around[0].p } : null;
}

/** Taxa known by nothing but their body that fit the one seen: offered, never ranked. Empty once a taxon is sure. */
export function toldByBody(state) {
  const { table, answers } = state;
  const body = new Map(answers).get(BODY);
  if (body === undefined || (!nobody(state) && Math.max(...chances(state)) >= table.rules.sure)) return [];
  return Object.entries(table.body_only).filter(([, bodies]) => bodies.includes(body)).map(([taxon]) => taxon);
}

/**
 * What must be heeded although the name is not certain: [{kind, taxon, p, words}] of taxa possible by what was
 * seen.
 */
export function warnings(state) {
  const { table, kit, answers } = state;
  if (!answers.length) return [];
  const shares = nobody(state) ? table.taxa.map(() => 0) : chances(state);
  const byBody = toldByBody(state);
  const words = new Map(kit.taxa.map(({ key, notice }) => [key, notice ?? {}]));
  return KINDS.flatMap((kind) => [
    ...possible(table, shares, kind),
    ...byBody.filter((taxon) => words.get(taxon)?.[kind]).map((taxon) => ({ taxon, p: null })),
  ].map(({ taxon, p }) => ({ kind, taxon, p, words: words.get(taxon)[kind] })));
}

const KINDS = ["hazardous", "protected", "invasive", "introduced"];

/** Taxa that carry a kind of notice, where all of them together are possible: [{taxon, p}], most probable first. */
function possible({ taxa, rules }, shares, kind) {
  const rows = taxa.map(({ key, notices }, i) => ({ taxon: key, p: shares[i], carries: notices.includes(kind) }))
    .filter(({ carries }) => carries).sort((one, other) => other.p - one.p);
  if (rows.reduce((sum, { p }) => sum + p, 0) < rules.possible) return [];
  return rows.filter(({ p }) => p >= Math.min(rules.least_named, rows[0].p));
}
