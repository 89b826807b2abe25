/** Starting and landing a haul: how the net was set, how it went, what it measured. */

import { button, el, put } from "./dom.js";
import { bottom, choice, field, heading, numberIn } from "./forms.js";
import { conditionWords, haulWords, kitWords, measureWords, moreWords, setNeeds, setWords } from "./words.js";

/** Start a haul: at once where it is known how the net is set, else that is asked first. `after` is done when it is on. */
export async function startHaul(app, after = () => {}) {
  if (!app.tally.set) return app.views.show(setPanel(app, after));
  await writeStart(app);
  return after();
}

function writeStart(app) {
  const { tally } = app;
  const { net, set_type: type } = tally.set;
  const body = {
    haul: `${tally.outing}/${tally.nextNumber}`,
    site: tally.kit.plan.site,
    ...(net && { net }),
    ...(type && { set_type: type }),
  };
  return tally.write([{ kind: "haul-started", body }]);
}

/** How the net is set: asked before the first haul, which then starts; changed later. */
export function setPanel(app, starting = null) {
  const { tally } = app;
  const nets = tally.kit.plan.nets ?? [];
  const net = choice(
    haulWords.whichNet,
    nets.map((key) => [key, key]),
    tally.set?.net ?? (nets.length === 1 ? nets[0] : null),
  );
  const type = choice(haulWords.howSet, Object.entries(setWords), tally.set?.set_type ?? null);
  const done = async () => {
    await tally.remember("set", { net: net.value, set_type: type.value });
    if (starting) await writeStart(app);
    app.views.back();
    await starting?.();
  };
  const node = el(
    "div",
    { class: "view" },
    heading(starting ? haulWords.startTitle(tally.nextNumber) : moreWords.set),
    nets.length > 1 && [el("h3", { text: haulWords.whichNet }), net.node],
    el("h3", { text: haulWords.howSet }),
    type.node,
    el("p", { class: "second quiet", text: haulWords.sameNext }),
    starting &&
      el(
        "details",
        { open: true },
        el("summary", { text: kitWords.cautions }),
        el(
          "ul",
          { class: "ruled" },
          tally.kit.cautions.map((text) => el("li", {}, el("span", { class: "words second", text }))),
        ),
      ),
    bottom(
      button(moreWords.back, () => app.views.back()),
      button(starting ? haulWords.inTheWater : haulWords.keepSet, () => app.guard(done()), { class: "filled" }),
    ),
  );
  return { node, head: "fold" };
}

/** The net is on the beach: the instant is kept at once, how it went is asked, and may wait. */
export async function land(app) {
  const { tally } = app;
  await tally.remember("landing", { haul: tally.on.haul, at: tally.instant() });
  app.views.show(landPanel(app));
}

/** How the haul went. `after` is done when it is noted. */
export function landPanel(app, after = () => {}) {
  const { tally } = app;
  const { haul, at } = tally.landing;
  const n = tally.number(haul);
  const known = tally.hauls.find((one) => one.haul === haul);
  const before = tally.hauls.filter((one) => one.landedAt && one.haul !== haul).pop();
  const how = choice(
    haulWords.how,
    Object.entries(conditionWords).map(([code, [words, second]]) => [code, words, second]),
    null,
    () => off.replaceChildren(),
  );
  const off = el("p", { class: "off", role: "alert" });
  const letters = setNeeds[known?.set_type] ?? ["w", "d"];
  const measures = letters.map((letter) => measureField(letter, before, tally));
  const depth = field(haulWords.depth, { mode: "decimal" });
  const why = field(haulWords.whatHappened);

  async function note() {
    if (!how.value) return put(off, haulWords.needsHow);
    const body = { haul, condition: Number(how.value) };
    for (const measure of measures) if (!measure.read(body)) return null;
    const deep = numberIn(depth.input);
    depth.off(deep === null || deep >= 0 ? null : haulWords.needsNumber(haulWords.depth));
    if (deep !== null && !(deep >= 0)) return null;
    if (deep !== null) body.depth_m = round(deep);
    if (why.input.value.trim()) body.why = why.input.value.trim();
    await tally.write([{ kind: "haul-landed", body, at }]);
    await tally.remember("landing", null);
    app.views.back();
    return after();
  }

  const node = el(
    "div",
    { class: "view" },
    heading(haulWords.landTitle(n, tally.clock(Date.parse(at)))),
    el("h3", { text: haulWords.how }),
    how.node,
    measures.map((measure) => measure.node),
    depth.node,
    why.node,
    off,
    bottom(
      button(haulWords.later, () => app.views.back()),
      button(haulWords.noteLanding, () => app.guard(note()), { class: "filled" }),
    ),
  );
  return { node, head: "fold" };
}

function measureField(letter, before, tally) {
  const one = field(measureWords[letter], { unit: "m", mode: "decimal" });
  const basis = choice(
    measureWords[letter],
    [
      ["measured", haulWords.measured],
      ["assumed", haulWords.assumed],
    ],
    "measured",
  );
  const last = before?.measures?.[letter]?.m;
  const same =
    last &&
    button(haulWords.same(tally.number(before.haul), last), () => {
      one.input.value = String(last);
      one.off(null);
    });
  return {
    node: el("div", {}, one.node, el("div", { class: "row" }, basis.node, same)),
    read(body) {
      const m = numberIn(one.input);
      one.off(m === null || m > 0 ? null : haulWords.needsNumber(measureWords[letter]));
      if (m !== null && !(m > 0)) return false;
      if (m !== null) body[letter] = { m: round(m), basis: basis.value };
      return true;
    },
  };
}

/** Four decimals at most, as the book keeps them. */
export const round = (value) => Math.round(value * 1e4) / 1e4;
