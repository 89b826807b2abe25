/** What things are called on the screen: the kit's first common name, and lines in words. */

const names = new WeakMap();

/** Says a taxon's key in words: nameOf(kit)("cunner"); an open name as it was said. */
export function nameOf(kit) {
  if (!names.has(kit)) {
    const first = new Map(kit.taxa.map(({ key, names: [name] }) => [key, name]));
    names.set(kit, (key) => first.get(key) ?? (key.startsWith("?") ? `“${key.slice(1)}”` : key));
  }
  return names.get(kit);
}

const UNITS = {
  egg_mass: ["egg mass of ", "egg masses of "], colony: ["colony of ", "colonies of "],
  blade: ["blade of ", "blades of "], gram: ["g of ", "g of "],
};

/** Number, name and stage of animals: "4 rock gunnel", "1 winter flounder, young", "2 egg masses of moon snail". */
export function animalsInWords(kit, { n, taxon, stage, unit }) {
  const name = nameOf(kit)(taxon);
  const [one, more] = UNITS[stage === "egg mass" ? "egg_mass" : unit] ?? ["", ""];
  const said = stage && stage !== "egg mass" ? `, ${stage}` : "";
  return `${n} ${n === 1 ? one : more}${name}${said}`;
}
