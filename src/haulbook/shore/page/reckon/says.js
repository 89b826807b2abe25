/** What one entry says, as rows to show. */

/**
 * @returns {Array<object>} of a move its lines; {taxon, zero: true} for searched and none; {taxon, present: true};
 *   {was, now, n, place} for another name; {place, taxon, found} for a recount; lengths with `mm`; else one row:
 *   the body
 */
export function saysOf({ kind, body }) {
  switch (kind) {
    case "move":
    case "redetermination":
      return body.lines;
    case "searched-and-none":
      return body.taxa.map((taxon) => ({ haul: body.haul, taxon, n: 0, zero: true }));
    case "present":
      return [{ haul: body.haul, taxon: body.taxon, present: true }];
    case "counted-again":
      return [{ ...body, found: body.n }];
    default:
      return [body];
  }
}
