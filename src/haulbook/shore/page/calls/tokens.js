/** A call cut into runs of words: what stands between two marks of punctuation. `haulbook.calls.tokens` is the reference. */

const TYPED = [
  [/[’‘]/g, "'"],
  [/[^\u0000-\u23ff\uff01-\uff5e]/g, ""],
  [/([¼-¾⅐-⅞])/g, " $1 "],
  [/×/g, "x"],
  [/[–—]/g, " - "],
];
const SPINES = ["two", "three", "four", "five", "six", "seven", "eight", "nine"];
const PLAIN = [
  ...SPINES.map((word, i) => [new RegExp(`\\b${i + 2}(?:-?(?=spine)|\\s(?=spined?\\s+stickle))`, "g"), `${word} `]),
  [/(\d),(?=\d{3}\b)/g, "$1"],
  [/(\d),(?=\d{1,2}\s*(?:mm|cm)\b)/g, "$1."],
  [/(\d)\s+1\/2\b/g, "$1.5"],
  [/(\d)\s+1\/4\b/g, "$1.25"],
  [/(\d)\s+3\/4\b/g, "$1.75"],
  [/\b1\/2\b/g, " half "],
  [/(\d+)\s+-+\s+(?=\d)/g, "$1 or "],
  [/\s-+\s/g, " , "],
  [/['`]/g, ""],
  [/&/g, " and "],
  [/\bx?(\d+)\+(?=[\s,;.]|$)/g, "over $1"],
  [/\+/g, ","],
  [/\b(\d+)\s*x\b|\bx\s*(\d+)\b/g, " $1$2 "],
  [/\bb\s?(\d{1,2})\b/g, " bucket $1 "],
  [/(\d\s*(?:mm|cm))\s*[tfs]l\b/g, "$1"],
  [/([a-z])(?=\d)/g, "$1 "],
  [/(\d)(?=[a-z])/g, "$1 "],
  [/(\d)-(?=\d)/g, "$1 or "],
  [/(\w)-(?=\w)/g, "$1 "],
];
const TOKENS = /\d+\.\d+|\d+|[a-z]+|[?~]|[,;:/.!()\n]/g;
const STOPS = ",;:/.!()\n";
const SIGNS = { "?": "cf", "~": "about" };

/**
 * The runs of a call in their order; shorthand (x4, b2, 45mm) is taken apart.
 * @returns {Array<{words: string[], stop: string}>} stop: the mark that ends it, empty at the end of the call
 */
export function runsOf(text) {
  const found = [];
  let words = [];
  for (const word of plain(text).match(TOKENS) || []) {
    if (!STOPS.includes(word)) {
      words.push(SIGNS[word] || word);
      continue;
    }
    if (words.length) found.push({ words, stop: word });
    else if (found.length && ":;.!".includes(word)) found[found.length - 1].stop = word;
    words = [];
  }
  if (words.length) found.push({ words, stop: "" });
  return found;
}

function plain(text) {
  let said = text;
  for (const [pattern, to] of TYPED) said = said.replace(pattern, to);
  said = said.normalize("NFKD").replace(/⁄/g, "/").replace(/[^\x00-\x7f]/g, "").toLowerCase();
  for (const [pattern, to] of PLAIN) said = said.replace(pattern, to);
  return said;
}
