/**
 * From counted scoops to the whole catch. Cochran (1977), Sampling Techniques, ch. 2; equal to
 * `haulbook.estimate.scoops`.
 */

/**
 * @param {{of: number, counted: Array<number>}} scoops all scoops of the catch; animals in each one that was counted
 * @returns {{n, se: number|null, rounded, none: boolean}} estimate, standard error (null: can't be told, never the
 *   same as 0), whole animals rounded up, and whether none stood in the part that was looked at; or {refused:
 *   words}
 */
export function estimate({ of, counted }) {
  const m = counted.length;
  if (counted.some((n) => !Number.isInteger(n) || n < 0)) {
    return { refused: "Each scoop is a whole number, 0 or more." };
  }
  if (!Number.isInteger(of) || m < 1 || m > of) {
    return { refused: `${m} scoops counted of ${of}: count at least one and no more than there are.` };
  }
  const sum = counted.reduce((total, n) => total + n, 0);
  const mean = sum / m;
  const none = sum === 0 && m < of;
  let se = null;
  if (m === of) se = 0;
  else if (m > 1 && !none) {
    const spread = counted.reduce((total, n) => total + (n - mean) ** 2, 0) / (m - 1);
    se = Math.sqrt(of ** 2 * (1 - m / of) * spread / m);
  }
  return { n: of * mean, se, rounded: Math.ceil((of * sum) / m), none };
}

/** What a line of a move says about such an estimate: {n, basis, subsample}. */
export function expanded({ of, counted, batch }) {
  const { rounded } = estimate({ of, counted });
  return { n: rounded, basis: "expanded", subsample: { method: "scoops", of, counted, ...(batch ? { batch } : {}) } };
}
