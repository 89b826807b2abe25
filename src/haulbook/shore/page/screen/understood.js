/** What the last call was understood as: its words, what was entered, what the permit has left, and Strike. */

import { button, el, mark, put, strong } from "./dom.js";
import { headroom, markOf } from "./marks.js";
import { whereFrom, whereTo } from "./fates.js";
import { callWords, leftWords } from "./words.js";

const OTHER_BASES = ["captured", "handled", "encountered", "killed", "lethal", "died"];

/** What is left of a limit is near when a fifth of it, or one animal, is. */
const isNear = (left, limit) => left <= Math.max(1, Math.floor(limit * 0.2));

export function makeUnderstood(app, { lines }) {
  const node = el("div", { class: "understood" });

  function update() {
    const { last } = app.calls;
    mark(node, "data-struck", last?.struckAt ? "yes" : null);
    if (!last) return put(node, el("p", { class: "quiet second", text: callWords.first }));
    const of = shownBy(last);
    const photos = of && app.photo.words(of);
    const spoken = last.text && el("p", { class: `said${last.struckAt ? " struck" : ""}`, text: `“${last.text}”` });
    const list = el(
      "ul",
      { class: "scroll", tabindex: 0 },
      last.lines.map((line) => el("li", {}, entered(line, last), ...(last.struckAt ? [] : leftOf(app.tally, line)))),
      last.zeros.map((taxon) => el("li", {}, strong(callWords.zero(app.tally.nameOf(taxon))))),
      last.present.map((taxon) => el("li", {}, strong(callWords.present(app.tally.nameOf(taxon))))),
      photos && el("li", { class: "quiet second", text: photos }),
      last.struckAt && el("li", { class: "quiet second", text: callWords.struck(app.tally.clock(last.struckAt)) }),
    );
    const acts = last.struckAt
      ? [button(callWords.lines, lines)]
      : [
          of && app.photo.button(() => shownBy(app.calls.last), callWords.theLast),
          button(callWords.strike, () => app.guard(app.calls.strikeLast())),
        ];
    return put(node, spoken, list, el("div", { class: "acts" }, acts));
  }

  function entered(line, last) {
    return el(
      "div",
      { class: last.struckAt ? "struck" : null },
      strong(app.tally.words(line)),
      ` ${whereFrom(line)}${whereTo(line.to)}`,
      line.doubt && el("span", { class: "quiet", text: `, ${callWords.doubt[line.doubt]}` }),
      line.length_mm && el("span", { class: "quiet", text: `, ${line.length_mm} mm` }),
      caution(line),
    );
  }

  function caution(line) {
    const words = app.tally.taxon(line.taxon)?.notice?.hazardous;
    return words && el("div", { class: "left" }, el("span", { class: "chip near" }, markOf("near"), words));
  }

  /** The same in one sentence, for who listens. */
  function sentence() {
    const { last } = app.calls;
    if (!last) return "";
    if (last.struckAt) return `${callWords.strike}: ${last.lines.map((line) => app.tally.words(line)).join(", ")}`;
    const parts = last.lines.map((line) =>
      [
        `${app.tally.words(line)} ${whereFrom(line)}${whereTo(line.to)}`,
        ...leftOf(app.tally, line).map((part) => part.textContent),
      ].join(", "),
    );
    return [...parts, ...last.zeros.map((taxon) => callWords.zero(app.tally.nameOf(taxon)))].join(". ");
  }

  return { node, update, sentence };
}

/** The id of the entry of a call that a photo can be of; null where it speaks of no animal that is there. */
const shownBy = ({ moveId, present, ids }) => moveId ?? (present.length ? ids[0] : null);

/** What the permit has left for a line: the clause that binds keeping, and any other that is near. */
function leftOf(tally, line) {
  if (tally.isKept(line.to) && !tally.isKeeper)
    return [el("div", { class: "left" }, leftWords.askKeeper(tally.kit.keep_device))];
  const found = [];
  if (tally.isKept(line.to)) {
    const { clause, allowed } = tally.left(line);
    if (clause) found.push(clause);
    else if (allowed !== "certainly")
      return [el("div", { class: "left" }, el("span", { class: "chip near" }, markOf("near"), leftWords.noClause))];
  }
  const bases = new Set(tally.kit.clauses.map(({ basis }) => basis));
  for (const basis of OTHER_BASES) {
    const { clause, left } = bases.has(basis) ? tally.left(line, basis) : {};
    if (clause && isNear(left, clause.limit) && !found.includes(clause)) found.push(clause);
  }
  if (!found.length) return [];
  const standings = tally.standings(line.haul);
  return found.map((clause) => leftLine(standings.find((one) => one.clause === clause)));
}

/** "2 more this outing (4b)" and its rings. */
export function leftLine({ clause, n, left, leftAtWorst }) {
  const over = n - clause.limit;
  const period = leftWords.clause(leftWords.periods[clause.period] ?? clause.period, clause.id);
  const words =
    over > 0
      ? chip("stop", leftWords.over(over))
      : left === 0
        ? chip("near", leftWords.none)
        : isNear(left, clause.limit)
          ? chip("near", leftWords.more(left))
          : strong(leftWords.more(left));
  return el(
    "div",
    { class: "left" },
    words,
    " ",
    el("span", { text: period }),
    " ",
    headroom(Math.min(clause.before, n), n - Math.min(clause.before, n), clause.limit),
    leftAtWorst < left && el("span", { class: "quiet", text: leftWords.worst(leftAtWorst) }),
  );
}

export const chip = (kind, words) => el("span", { class: `chip ${kind}` }, markOf(kind), el("span", { text: words }));
