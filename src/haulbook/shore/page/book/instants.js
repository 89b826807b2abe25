/** Times as a book holds them: an instant with its offset, or a date, month or year where nobody knows more. */

const INSTANT =
  /^(\d{4})-(\d{2})-(\d{2})T([01]\d|2[0-3]):[0-5]\d(?::[0-5]\d(?:\.\d{1,6})?)?(?:Z|[+-](?:[01]\d|2[0-3]):[0-5]\d)$/;
const DAY = /^(\d{4})(?:-(\d{2})(?:-(\d{2}))?)?$/;

function isDay([, year, month = "01", day = "01"]) {
  const [y, m, d] = [Number(year), Number(month), Number(day)];
  if (y < 1 || m < 1 || m > 12 || d < 1) return false;
  const date = new Date(0);
  date.setUTCFullYear(y, m, 0); // day 0 of the month after: the last of this one
  return d <= date.getUTCDate();
}

/** Whether a value is an instant with offset, as 2027-05-14T06:52:10-04:00. */
export function isInstant(value) {
  const parts = typeof value === "string" ? INSTANT.exec(value) : null;
  return parts !== null && parts[1] > "0001" && parts[1] < "9999" && isDay(parts);
}

/** Whether a value is an instant with offset, or a date, month or year. */
export function isTime(value) {
  if (isInstant(value)) return true;
  const parts = typeof value === "string" ? DAY.exec(value) : null;
  return parts !== null && isDay(parts);
}

/**
 * The instant as this device's clock and zone say it, to the second.
 * @param {number} ms since 1970
 * @returns {string} as 2027-05-14T06:52:10-04:00
 */
export function instantHere(ms) {
  const offset = -new Date(ms).getTimezoneOffset();
  const two = (n) => String(n).padStart(2, "0");
  const away = Math.abs(offset);
  const local = new Date(ms + offset * 60000).toISOString().slice(0, 19);
  return `${local}${offset < 0 ? "-" : "+"}${two(Math.floor(away / 60))}:${two(away % 60)}`;
}
