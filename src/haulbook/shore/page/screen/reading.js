/** A reading of an instrument: in a bucket, or of the water at the haul. */

import { button, el, put } from "./dom.js";
import { bottom, choice, field, heading, numberIn } from "./forms.js";
import { round } from "./haul.js";
import { capital, moreWords, readingWords } from "./words.js";

const MEASURES = ["temperature_c", "salinity", "oxygen_mg_l", "oxygen_percent", "ph", "tan_mg_n_l"];

/** @param {string|null} [name] of the place; null: that is asked */
export function readingPanel(app, name = null) {
  const { tally } = app;
  const haul = (tally.on ?? tally.lastHaul)?.haul;
  const places = tally.places().map(({ place }) => [place, capital(place)]);
  const where = choice(
    readingWords.where,
    [...(haul ? [["haul", readingWords.haulWater]] : []), ...places],
    name ?? (haul ? "haul" : null),
  );
  const instrument = field(readingWords.instrument, { value: tally.instrument ?? "" });
  const fields = MEASURES.map((key) => [key, field(readingWords[key], { mode: "decimal" })]);
  const scale = choice(readingWords.scale, [
    ["nbs", readingWords.nbs],
    ["total", readingWords.total],
  ]);
  const off = el("p", { class: "off", role: "alert" });

  async function note() {
    const body = {};
    let sound = true;
    for (const [key, one] of fields) {
      const value = numberIn(one.input);
      one.off(Number.isNaN(value) ? readingWords.needsNumber(readingWords[key]) : null);
      sound = sound && !Number.isNaN(value);
      if (value !== null) body[key] = round(value);
    }
    const missing = !Object.keys(body).length
      ? readingWords.needsOne
      : !instrument.input.value.trim()
        ? readingWords.needsInstrument
        : "ph" in body && !scale.value
          ? readingWords.needsScale
          : !where.value
            ? readingWords.where
            : null;
    put(off, missing);
    if (!sound || missing) return;
    if ("ph" in body) body.scale = scale.value;
    const key = instrument.input.value.trim();
    await tally.remember("instrument", key);
    await tally.write([
      {
        kind: "reading",
        body: { ...body, instrument: key, ...(where.value === "haul" ? { haul } : { place: where.value }) },
      },
    ]);
    app.views.back();
  }

  const node = el(
    "div",
    { class: "view" },
    heading(readingWords.title),
    el("h3", { text: readingWords.where }),
    where.node,
    instrument.node,
    el(
      "div",
      { class: "pair" },
      fields.map(([, one]) => one.node),
    ),
    el("h3", { text: readingWords.scale }),
    scale.node,
    off,
    bottom(
      button(moreWords.back, () => app.views.back()),
      button(readingWords.note, () => app.guard(note()), { class: "filled" }),
    ),
  );
  return { node, head: "fold" };
}
