/** Leaving the beach and arriving: the instant, temperature and air of a bucket or cooler, and the tank it goes into. */

import { button, el } from "./dom.js";
import { bottom, field, heading, numberIn } from "./forms.js";
import { round } from "./haul.js";
import { emptyInto } from "./moving.js";
import { capital, closeWords, moreWords, sortWords } from "./words.js";

/** A bucket or cooler leaves the beach: the instant, its temperature, its air. */
export function leavePanel(app, name) {
  const { tally } = app;
  const temperature = field(sortWords.temperature, { mode: "decimal" });
  const rate = field(sortWords.airRate, { mode: "decimal" });
  const go = async () => {
    const [degrees, air] = [numberIn(temperature.input), numberIn(rate.input)];
    temperature.off(Number.isNaN(degrees) ? sortWords.needsNumber : null);
    rate.off(air === null || air >= 0 ? null : sortWords.needsNumber);
    if (Number.isNaN(degrees) || !(air === null || air >= 0)) return;
    await tally.write([
      ...(degrees === null
        ? []
        : [
            {
              kind: "reading",
              body: {
                place: name,
                instrument: tally.instrument || sortWords.thermometer,
                temperature_c: round(degrees),
              },
            },
          ]),
      ...(air === null ? [] : [{ kind: "place", body: { place: name, act: "air", air_per_h: round(air) } }]),
      { kind: "place", body: { place: name, act: "left-beach" } },
    ]);
    app.views.back();
  };
  return {
    head: "fold",
    node: el(
      "div",
      { class: "view" },
      heading(sortWords.leave(name)),
      el("p", { class: "second", text: sortWords.leaveSub }),
      temperature.node,
      rate.node,
      bottom(
        button(moreWords.back, () => app.views.back()),
        button(sortWords.leaveNow, () => app.guard(go()), { class: "filled" }),
      ),
    ),
  };
}

/** Arrival: everything in a cooler or bucket goes into one tank. */
export function tankPanel(app, name) {
  const { tally } = app;
  const tank = field(closeWords.tank, { value: tally.tank ?? "" });
  const go = async () => {
    const key = tank.input.value.trim().replace(/^tank /, "");
    tank.off(/^[A-Za-z0-9][A-Za-z0-9_-]*$/.test(key) ? null : sortWords.needsTank);
    if (!/^[A-Za-z0-9][A-Za-z0-9_-]*$/.test(key)) return;
    await tally.remember("tank", key);
    await emptyInto(app, name, `tank ${key}`);
    app.views.back();
  };
  return {
    head: "fold",
    node: el(
      "div",
      { class: "view" },
      heading(`${capital(name)}: ${closeWords.intoTank}`),
      el("p", { class: "second", text: sortWords.arrivalSub }),
      tank.node,
      bottom(
        button(moreWords.back, () => app.views.back()),
        button(closeWords.intoTank, () => app.guard(go()), { class: "filled" }),
      ),
    ),
  };
}
