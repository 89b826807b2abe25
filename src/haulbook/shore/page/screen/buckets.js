/** Buckets in the head: number, job, count, minutes of oxygen; the net where something lies in it. */

import { button, el, keyed, mark, say } from "./dom.js";
import { markOf } from "./marks.js";
import { bucketWords, placeWords } from "./words.js";

/** Minutes of oxygen under which a bucket is warned of (planning default, common practice, no source). */
const WARN_MIN = 20;
const MOST = 3;

/** Minutes beyond which a range says no more than "at least". */
const LONG_MIN = 240;

/** "55–110" of a clock's answer. */
export function minutesWords({ low, high }) {
  const whole = (value) => (value === null || value >= LONG_MIN ? null : Math.floor(value));
  return bucketWords.range(whole(low), whole(high), LONG_MIN);
}

/**
 * @param {Object} app
 * @param {function(string)} open a place
 */
export function bucketChips(app, open) {
  const node = el("div", { class: "buckets" });
  const brief = el("p", { class: "brief" });
  const whole = el("div", {}, node, brief);
  let known = [];

  function shown() {
    const { tally } = app;
    const all = tally
      .places()
      .filter(({ place, n }) => place.startsWith("bucket ") || n > 0)
      .map((place) => ({
        place,
        oxygen: place.n > 0 ? tally.minutes(place) : null,
        company: place.n > 0 ? tally.warnings(place) : [],
      }));
    const net = tally.place("net");
    const risky = [...all].sort((a, b) => risk(a) - risk(b)).slice(0, MOST - (net.n > 0 && all.length >= MOST ? 1 : 0));
    const first = all.filter((one) => risky.includes(one));
    if (net.n > 0) first.push({ place: net, oxygen: null, company: [] });
    return { first, rest: all.length - risky.length };
  }

  function update() {
    const { first, rest } = shown();
    known = first;
    keyed(
      node,
      [...first, ...(rest ? [{ rest }] : [])],
      ({ place }) => place?.place ?? "rest",
      ({ place }) => chip(place, open),
      fillChip,
    );
    brief.replaceChildren(...first.filter(({ place }) => place.place !== "net").map((one) => briefOf(one, app.tally)));
  }

  return {
    node: whole,
    update,
    /** The one thing that presses most: air or new water, soonest first; then who must never share a bucket. */
    pressing() {
      const { tally } = app;
      const [next] = known.filter(({ oxygen }) => warned(oxygen)).sort((a, b) => a.oxygen.low - b.oxygen.low);
      if (next) {
        const { place, oxygen } = next;
        return oxygen.low < 1
          ? bucketWords.now(place.place)
          : bucketWords.air(place.place, tally.clock(tally.now() + Math.floor(oxygen.low) * 60e3));
      }
      const apart = known.find(({ company }) => company.some(({ level }) => level === "never"));
      return apart ? `${placeWords.title(apart.place.place)}: ${apart.company[0].words}` : null;
    },
  };
}

function risk({ oxygen, place }) {
  if (!place.n) return 1e6;
  return oxygen === null || oxygen.low === null ? 1e5 : oxygen.low;
}

function chip(place, open) {
  if (!place) return button("", () => open(null), { class: "bucket" });
  const node = el(
    "button",
    { type: "button", class: "bucket", on: { click: () => open(place.place) } },
    el("span", { class: "job" }),
    el("strong", { class: "n" }),
    el("span", { class: "minutes" }),
  );
  return node;
}

function fillChip(node, { place, oxygen, rest }) {
  if (rest) return say(node, bucketWords.more(rest));
  const [job, n, minutes] = node.children;
  const isNet = place.place === "net";
  const number = place.place.replace("bucket ", "");
  say(job, isNet ? bucketWords.net : `${number} ${bucketWords.jobs[place.purpose] ?? ""}`.trim());
  say(n, String(place.n));
  mark(node, "class", `bucket${warned(oxygen) ? " warned" : ""}`);
  if (isNet) say(minutes, bucketWords.notPlaced);
  else if (!oxygen) say(minutes, bucketWords.empty);
  else if (minutes.dataset.said !== minutesWords(oxygen)) {
    minutes.dataset.said = minutesWords(oxygen);
    minutes.replaceChildren(`${minutesWords(oxygen)} `, el("small", { text: bucketWords.oxygen }));
  }
  return null;
}

const warned = (oxygen) => oxygen && oxygen.low !== null && oxygen.low < WARN_MIN;

function briefOf({ place, oxygen }, tally) {
  const number = place.place.replace("bucket ", "");
  if (!oxygen) return el("span", {}, el("strong", { text: number }), ` ${bucketWords.empty}`);
  if (!warned(oxygen)) return el("span", {}, el("strong", { text: number }), ` ${minutesWords(oxygen)}`);
  const at = tally.clock(tally.now() + Math.floor(oxygen.low) * 60e3);
  return el(
    "span",
    { class: "chip near" },
    markOf("near"),
    el("span", { text: bucketWords.brief(number, minutesWords(oxygen), at) }),
  );
}
