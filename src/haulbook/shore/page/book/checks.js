/**
 * Small checks from which the shapes of bodies are put together. A check takes a value and the words for where
 * it stands, and returns a sentence for each thing that is off: none is good.
 */

const GOOD = [];
/** What the station's reader takes for blank, which is a little more than \s. */
const BLANK = "\\s\\x1c-\\x1f\\x85";
const SAYS_SOMETHING = new RegExp(`[^${BLANK}]`);
const ID = /^[0-9a-f]{8}-[0-9a-f]{4}-[1-8][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/;
const HAUL = new RegExp(`^[^${BLANK}/]+/[1-9][0-9]*$`);
const TAXON = new RegExp(`^(?:[a-z0-9][a-z0-9-]*|\\?[^${BLANK}](?:.*[^${BLANK}])?)$`);
const SHA256 = /^[0-9a-f]{64}$/;
const INSIDE = /^(?:net|(?:bucket|cooler) [1-9][0-9]*|tank [A-Za-z0-9][A-Za-z0-9_-]*)$/;
const SOURCES = ["sea", "born", "brought"];
const SINKS = [
  "escaped", "back-in-net", "back", "dead-back", "dead-kept", "killed-kept", "killed-back", "given", "lost",
];

const off = (value, where, wanted) => [`${where} is ${JSON.stringify(value)}; it takes ${wanted}`];
const all = (good, wanted) => (value, where) => (good(value) ? GOOD : off(value, where, wanted));
const isText = (value) => typeof value === "string";
const isObject = (value) => typeof value === "object" && value !== null && !Array.isArray(value);

/** Whether a value is the id of an entry: a UUID in lower case. */
export const isId = (value) => isText(value) && ID.test(value);
export const isInside = (value) => isText(value) && INSIDE.test(value);
export const isSource = (value) => SOURCES.includes(value);

export const text = all((value) => isText(value) && SAYS_SOMETHING.test(value), "words");
export const flag = all((value) => typeof value === "boolean", "true or false");
export const thing = all(isObject, "an object");
export const haul = all((value) => isText(value) && HAUL.test(value), "outing/number, as 2027-05-14-a/1");
export const taxon = all(
  (value) => isText(value) && TAXON.test(value),
  "the key of a taxon, or ?the name as written while it is open",
);
export const sha256 = all((value) => isText(value) && SHA256.test(value), "a SHA-256");
export const entryId = all(isId, "the id of an entry");
export const haulOrEntry = (value, where) => (isId(value) ? GOOD : haul(value, where));
export const inside = all(isInside, "net, bucket N, cooler N or tank KEY");
export const heldPlace = all((value) => isInside(value) || SINKS.includes(value), "an inside place or a sink");
export const fromPlace = all(
  (value) => isInside(value) || SOURCES.includes(value),
  "a place that animals can be taken from",
);

export const whole = (least) =>
  all((value) => Number.isSafeInteger(value) && value >= least, `a whole number of at least ${least}`);

export const from = (least, most = Infinity) =>
  all((value) => typeof value === "number" && value >= least && value <= most, `a number from ${least} on`);

export const above = (least) =>
  all((value) => typeof value === "number" && value > least, `a number above ${least}`);

export const oneOf = (...words) => all((value) => words.includes(value), `one of ${words.join(", ")}`);

export const orNull = (check) => (value, where) => (value === null ? GOOD : check(value, where));

/** A list of at least `least`, each looked at by `check`. */
export function some(check, least = 1) {
  return (value, where) => {
    if (!Array.isArray(value)) return off(value, where, "a list");
    if (value.length < least) return [`${where} is empty`];
    return value.flatMap((item, n) => check(item, `${where} ${n + 1}`));
  };
}

/** An object with free keys, at least one. */
export function mappingOf(check) {
  return (value, where) => {
    if (!isObject(value)) return off(value, where, "an object");
    if (!Object.keys(value).length) return [`${where} is empty`];
    return Object.keys(value).flatMap((key) => [
      ...text(key, `a key of ${where}`),
      ...check(value[key], `${where}, ${key}`),
    ]);
  };
}

/**
 * An object with known keys.
 * @param {Object<string, function>} needed
 * @param {Object<string, function>} optional
 * @param {...function(object): (string|null)} rules asked only where every key is there and good
 */
export function record(needed, optional = {}, ...rules) {
  const known = new Map(Object.entries({ ...needed, ...optional }));
  return (value, where) => {
    if (!isObject(value)) return off(value, where, "an object");
    const said = Object.keys(value).flatMap((key) =>
      known.has(key) ? known.get(key)(value[key], `${where}, ${key}`) : [`${where} has no key ${key}`],
    );
    for (const key of Object.keys(needed)) if (!has(value, key)) said.push(`${where} lacks ${key}`);
    if (said.length) return said;
    return rules.map((rule) => rule(value)).filter((fault) => fault).map((fault) => `${where}: ${fault}`);
  };
}

export const has = (value, key) => Object.prototype.hasOwnProperty.call(value, key);
