/** Who may be meant by words that were not understood. `haulbook.calls.candidates` is the reference. */

import { pairsOf } from "./words.js";

/** Names less alike than this help nobody. */
const LEAST = 0.2;
const MOST = 4;

/** At most four taxa, likeliest first, by Dice's coefficient (Dice 1945) over pairs of letters. */
export function candidates(said, words) {
  const pairs = pairsOf(said.split(" ").filter(Boolean));
  const best = new Map();
  for (const [others, taxa] of words.alike) {
    let shared = 0;
    for (const pair of pairs) if (others.has(pair)) shared++;
    const score = (2 * shared) / (pairs.size + others.size);
    if (score < LEAST) continue;
    for (const taxon of taxa) if (score > (best.get(taxon) || 0)) best.set(taxon, score);
  }
  const ranked = [...best].sort((one, other) => other[1] - one[1] || (one[0] < other[0] ? -1 : 1));
  return ranked.slice(0, MOST).map(([taxon]) => taxon);
}
