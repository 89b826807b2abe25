/** How a word sounds, as a key, in the manner of Metaphone (Philips 1990). `haulbook.calls.sound` is the reference. */

const RULES = [
  [/^(?:kn|gn|pn)/g, "n"], [/^wr/g, "r"], [/^wh/g, "w"], [/^x/g, "s"],
  [/tch|[cs]h|[ct]i(?=[ao])/g, "j"], [/dg(?=[eiy])/g, "j"], [/ph/g, "f"], [/gh/g, ""], [/ck|q(?:u)?/g, "k"],
  [/c(?=[eiy])/g, "s"], [/c/g, "k"], [/x/g, "ks"], [/z/g, "s"], [/th/g, "t"], [/mb$/g, "m"],
  [/v/g, "f"], [/d/g, "t"], [/b/g, "p"], [/g(?=[eiy])/g, "j"], [/g/g, "k"],
  [/(?!^)[aeiouywh]/g, ""], [/^[aeiouy]/g, "a"], [/(.)\1+/g, "$1"],
];
/** Shorter keys are shared by too many words to say anything. */
const LEAST_SOUNDS = 3;

/** The key of a lower-case word; empty where it is too short to tell words apart. */
export function soundKey(word) {
  let key = word;
  for (const [pattern, to] of RULES) key = key.replace(pattern, to);
  return key.length >= LEAST_SOUNDS ? key : "";
}
