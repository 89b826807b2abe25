/**
 * What tells two taxa apart for certain, side by side: look-alike cards from the kit's table. Equal to
 * `haulbook.identify.apart`.
 */

/** States that a taxon (index into the table) can show in a character, by key; every state where it is unscored. */
export function statesOf(table, taxon, key) {
  const character = table.characters.find((one) => one.key === key);
  if (!character) return new Set();
  const cell = character.cells.find(([place]) => place === taxon);
  const keys = character.states.map(([name]) => name);
  return new Set(cell ? cell[1].map((at) => keys[at]) : keys);
}

/** Whether both taxa can give the answers after which a character may be asked. */
export function sharedPath(table, one, other, character) {
  return character.ask_when.every(([key, states]) => {
    const theirs = statesOf(table, other, key);
    return [...statesOf(table, one, key)].some((state) => theirs.has(state) && states.includes(state));
  });
}

/**
 * Characters that part two taxa (indices), easy on the beach: both scored, no state shared, and both can be asked.
 */
export function partedBy(table, one, other, mostCost = 1) {
  return table.characters.filter((character) => {
    const cells = [one, other].map((taxon) => character.cells.find(([place]) => place === taxon));
    return character.cost <= mostCost && cells.every(Boolean) && !cells[0][1].some((at) => cells[1][1].includes(at))
      && sharedPath(table, one, other, character);
  });
}

/**
 * Taxa side by side: the looks that part at least two of them, those that part most pairs first.
 * @param {object} kit
 * @param {Array<string>} taxa keys, two to five
 * @returns {{taxa: Array<string>, looks: [{character, words, of: [{taxon, states: Array<string>}]}], undecided:
 *   [[taxon, taxon]]}} taxa: those the table knows; states in words; undecided: pairs that no look on the beach
 *   parts
 */
export function sideBySide(kit, taxa) {
  const table = kit.identify;
  const places = new Map(table.taxa.map(({ key }, i) => [key, i]));
  const known = taxa.filter((key) => places.has(key));
  const pairs = known.flatMap((one, i) => known.slice(i + 1).map((other) => [one, other]));
  const parts = new Map();
  const undecided = [];
  for (const pair of pairs) {
    const found = partedBy(table, ...pair.map((key) => places.get(key)));
    if (!found.length) undecided.push(pair);
    for (const character of found) parts.set(character, (parts.get(character) ?? 0) + 1);
  }
  const looks = [...parts].sort(([, one], [, other]) => other - one).map(([character]) => ({
    character: character.key,
    words: character.question,
    of: known.map((taxon) => ({ taxon, states: statesInWords(character, places.get(taxon)) })),
  }));
  return { taxa: known, looks, undecided };
}

function statesInWords(character, taxon) {
  const cell = character.cells.find(([place]) => place === taxon);
  return cell ? cell[1].map((at) => character.states[at][1]) : [];
}
