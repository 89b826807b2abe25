/**
 * Times as the book writes them and as people read them. Instants are milliseconds since 1970 (UTC); zones are IANA
 * names. No clock here: now is handed in.
 */

const MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
  "November", "December"];
const FRACTION = /\.(\d{1,6})/;

/** Whether a time of the book has a clock time, or only a date, month or year. */
export const isInstant = (at) => at.includes("T");

/**
 * The instant in UTC; what has no clock time stands at the start of its first day.
 * @param {string} at "2027-05-14T06:52:10-04:00", "2027-05-14", "2027-05" or "2027"
 * @returns {number} ms, with the microseconds that the text has as a fraction
 */
export function instantOf(at) {
  if (!isInstant(at)) return Date.parse(at.length === 4 ? `${at}-01-01` : at.length === 7 ? `${at}-01` : at);
  const fraction = FRACTION.exec(at);
  if (!fraction) return Date.parse(at);
  return Date.parse(at.replace(FRACTION, "")) + Number(`0.${fraction[1]}`) * 1000;
}

const moments = new WeakMap();

/** The instant of an entry, worked out once. */
export function momentOf(entry) {
  let at = moments.get(entry);
  if (at === undefined) moments.set(entry, at = instantOf(entry.at));
  return at;
}

const clocks = new Map();

function clockOf(zone) {
  if (!clocks.has(zone)) {
    const two = "2-digit";
    clocks.set(zone, new Intl.DateTimeFormat("en-US", {
      timeZone: zone, hourCycle: "h23", year: "numeric", month: two, day: two, hour: two, minute: two, second: two,
    }));
  }
  return clocks.get(zone);
}

/** Minutes by which a zone's clock is ahead of UTC at an instant. */
export function offsetMin(ms, zone) {
  const part = Object.fromEntries(clockOf(zone).formatToParts(ms).map(({ type, value }) => [type, Number(value)]));
  // Some engines of 2020 write midnight as 24.
  const shown = Date.UTC(part.year, part.month - 1, part.day, part.hour % 24, part.minute, part.second);
  return Math.round((shown - Math.floor(ms / 1000) * 1000) / 60000);
}

/** The instant on a zone's clock with its offset, to the second: "2027-05-14T06:52:10-04:00". */
export function isoLocal(ms, zone) {
  const offset = offsetMin(ms, zone);
  const two = (n) => String(n).padStart(2, "0");
  const away = Math.abs(offset);
  const shown = new Date(ms + offset * 60000).toISOString().slice(0, 19);
  return `${shown}${offset < 0 ? "-" : "+"}${two(Math.floor(away / 60))}:${two(away % 60)}`;
}

/** The clock time that an instant is written with: "05:42"; "" where it has only a date. */
export const localTime = (iso) => (isInstant(iso) ? iso.slice(11, 16) : "");

/** The day that a time is written with: "14 May 2027". */
export function localDay(iso) {
  const [year, month, day] = iso.slice(0, 10).split("-");
  return `${Number(day)} ${MONTHS[Number(month) - 1]} ${year}`;
}

/** The day some days after the one an instant is written with, as "2027-05-14". */
export function dayAfter(iso, days) {
  return new Date(Date.parse(iso.slice(0, 10)) + days * 86400000).toISOString().slice(0, 10);
}
