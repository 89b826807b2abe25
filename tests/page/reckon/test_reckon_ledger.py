"""The page's ledger says what ``haulbook.custody`` says, of hundreds of random outings and of the shared ones."""

from __future__ import annotations

import itertools

import pytest

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, chain
from haulbook.custody.striking import check_strike
from haulbook.problems import Refusal

pytestmark = pytest.mark.browser

SEEDS = range(150)

READ = """
const facts = (m, q, sides, within, outing) => (state) => {
  const plain = ({call, later, ...lot}) => ({...lot, later: later.map((one) => [one.kind, one.at, one.entry])});
  const rows = [];
  const row = (place, what, n) => { if (n) rows.push({outing: place.outing, place: place.place, taxon: what.taxon,
    stage: what.stage, unit: what.unit, haul: what.haul, n}); };
  const totals = new Map();
  const add = (place, what, n) => {
    const key = JSON.stringify([place, what]); const known = totals.get(key) ?? {place, what, n: 0};
    known.n += n; totals.set(key, known); };
  for (const [place, lot] of state.happened.lots()) add(place, lot.what, lot.n);
  for (const {place, what, n} of state.happened.short()) add(place, what, -n);
  for (const {source, what, n} of state.happened.outOf())
    add(sides.placeNamed(what.haul.includes('/') ? what.haul.split('/')[0] : null, source), what, -n);
  for (const {place, what, n} of totals.values()) row(place, what, n);
  const found = new Map();
  for (const {haul, taxon} of [...state.animals, ...state.present])
    found.set(haul, [...(found.get(haul) ?? []), taxon]);
  const how = {within, wholeChains: true};
  return {
    struck: [...state.struck].sort(),
    animals: state.animals.map(plain),
    hauls: state.hauls.map((h) => ({haul: h.haul, outing: h.outing, site: h.site ?? null, net: h.net ?? null,
      condition: h.condition, started: h.startedAt, landed: h.landedAt, ended: h.endedAt, remarks: h.remarks,
      measures: h.measures ?? {}})),
    present: state.present.map(({haul, taxon}) => [haul, taxon]),
    none_found: state.searched.filter(({haul, taxon}) => !(found.get(haul) ?? []).some((one) => within(one, taxon)))
      .map(({haul, taxon}) => [haul, taxon]),
    short: state.happened.short().map(({place, what, n}) => ({outing: place.outing, place: place.place, haul: what.haul,
      taxon: what.taxon, stage: what.stage, unit: what.unit, n})),
    balances: rows,
    out_of_sea: state.outOfSea,
    discrepancies: q.discrepancies(state, how).map(({key, words, outing, entries, settled}) => (
      {key, words, outing, entries: [...entries].sort(), settled})),
    open: q.openThings(state, outing, how).map((one) => ({...one, entries: [...one.entries].sort()})),
  };
};
"""

ANSWER = f"""(async () => {{
  {READ}
  const [q, sides] = await Promise.all(['questions', 'sides'].map((name) => import(`/reckon/${{name}}.js`)));
  const {{withinOf}} = await import('/reckon/left.js');
  const within = withinOf({{clauses: [], permits: [], taxa: data.taxa}});
  const read = facts(m, q, sides, within, data.outing);
  return data.books.map((entries) => read(m.replay(entries)));
}})()"""


def told(answer):
    """An answer in one order, whatever the order in which it was found."""
    return {
        key: sorted(value, key=str) if key not in ("open", "hauls") and isinstance(value, list) else value
        for key, value in answer.items()
    }


@pytest.fixture(scope="module")
def books(outings):
    return [outings.outing(seed) for seed in SEEDS]


def as_json(entries):
    return [entry.as_json() for entry in entries]


def compare(found, wanted):
    for number, (page, python) in enumerate(zip(found, wanted, strict=True)):
        page, python = told(page), told(python)
        for key, value in python.items():
            if key in ("animals", "short", "balances", "discrepancies"):
                value, got = _sorted_rows(value), _sorted_rows(page[key])
            else:
                got = page[key]
            assert got == value, f"outing {number}: {key}"


def _sorted_rows(rows):
    return sorted((dict(sorted(row.items())) for row in rows), key=str)


def test_the_page_says_of_random_outings_what_python_says(js, books, outings, answers, pack, parents):
    data = {"taxa": parents, "outing": outings.OUTING}
    shuffled = [as_json(outings.shuffled(book, seed)) for seed, book in enumerate(books)]
    found = js("reckon/ledger.js", ANSWER, {**data, "books": shuffled})
    compare(found, [answers.ledger_answer(book, pack.is_within, outings.OUTING) for book in books])


def test_going_on_with_more_entries_is_the_same_as_beginning_anew(js, books, outings, parents):
    """In pieces of one to nine, in the order in which they might come in; late ones and strikes among them."""
    grow = f"""(async () => {{
      {READ}
      const [q, sides] = await Promise.all(['questions', 'sides'].map((name) => import(`/reckon/${{name}}.js`)));
      const read = facts(m, q, sides, Object.is, data.outing);
      const sorted = (one) => JSON.stringify(one, (_, v) => Array.isArray(v) ? [...v].sort((a, b) =>
        JSON.stringify(a) < JSON.stringify(b) ? -1 : 1) : v);
      const off = [];
      data.books.forEach((entries, number) => {{
        let state = m.replay([]);
        for (let at = 0, n = 1; at < entries.length; at += n, n = 1 + (n * 7 + number) % 9)
          state = m.extend(state, entries.slice(Math.max(0, at - 1), at + n));
        const [one, other] = [read(state), read(m.replay(entries))].map(sorted);
        const more = [state, m.replay(entries)].map((s) => JSON.stringify([s.places.map((p) => ({{...p, flow: p.n}})),
          s.outOfSea, s.accounted, s.difference, s.outside, s.calls.length, s.openNames]));
        if (one !== other || more[0] !== more[1]) off.push(number);
      }});
      return off;
    }})()"""
    some = books[:70]
    key = ("at", "device", "seq")
    in_time = [sorted(as_json(book), key=lambda one: [one[name] for name in key]) for book in some]
    late = [as_json(outings.shuffled(book, seed)) for seed, book in enumerate(some)]
    for order in (in_time, late):
        assert js("reckon/ledger.js", grow, {"books": order, "outing": outings.OUTING}) == []


STRIKES = """data.map(([entries, asked]) => {
  const state = m.replay(entries);
  return asked.map((ids) => [
    state.strikeProblems(ids).map((one) => one.why !== 'below' ? [one.why, one.id, one.by ?? null] : ['below',
      one.place.outing ? `${one.place.place} of ${one.place.outing}` : one.place.place, one.n, one.what.taxon,
      one.what.stage, one.what.unit, one.what.haul, one.left, one.entries.map(({id}) => id)]),
    state.refuseStrike(ids) === null]);
})"""


def said_by_python(book, ids):
    try:
        check_strike(Book.of(book), ids)
    except Refusal as refusal:
        return sorted(problem.message for problem in refusal.problems)
    return []


def as_python_says_it(problem, entries):
    why, *rest = problem
    if why == "unknown":
        return f"there is no entry {rest[0]} in this book"
    if why == "struck":
        return f"entry {rest[0]} is struck already, by {rest[1]}"
    if why == "strike":
        return f"entry {rest[0]} is a strike, and those stay: enter the line again"
    place, n, taxon, stage, unit, haul, left, ids = rest
    kind = (
        taxon
        + (f" ({stage})" if stage else "")
        + ("" if unit in ("individual", "egg_mass") else f" [{unit}]")
    )
    by_id = {entry.id: entry for entry in entries}
    names = ", ".join(f"{one} ({by_id[one].device} {by_id[one].seq}, {by_id[one].at})" for one in ids)
    return (
        f"{place} would hold {n} {kind} of {haul}: {left} went on from there. "
        f"In the way: {names}. Strike these too, or enter what arrived first"
    )


def test_a_strike_is_refused_where_and_as_python_refuses_it(js, books, outings):
    asked = []
    for seed, book in enumerate(books[:120]):
        rng = outings.random.Random(seed)
        asked.append([[entry.id for entry in rng.sample(book, k=min(len(book), n))] for n in (1, 1, 1, 2, 3)])
    asked[0].append(["01890000-0000-7000-8000-000000000000"])
    found = js(
        "reckon/ledger.js", STRIKES, [[as_json(b), a] for b, a in zip(books[:120], asked, strict=True)]
    )
    refused = 0
    for book, sets, page in zip(books[:120], asked, found, strict=True):
        for ids, (problems, free) in zip(sets, page, strict=True):
            wanted = said_by_python(book, ids)
            assert sorted(as_python_says_it(one, book) for one in problems) == wanted
            assert free == (not wanted)
            refused += bool(wanted)
    assert refused > 60


def test_the_words_of_a_refused_strike_name_what_went_on_and_when(js, outings):
    import random

    pen = outings.Pen("d1", random.Random(0))
    pen.skew *= 0
    line = {"taxon": "cunner", "n": 3, "from": "sea", "to": "bucket 1", "haul": f"{outings.OUTING}/1"}
    first = pen.write("move", {"lines": [line]}, outings.START)
    pen.write("move", {"lines": [{**line, "n": 2, "from": "bucket 1", "to": "cooler 1"}]}, outings.START)
    said = js(
        "reckon/ledger.js",
        "m.replay(data[0]).refuseStrike([data[1]], (key) => key.toUpperCase())",
        [as_json(pen.entries), first.id],
    )
    assert said == (
        "bucket 1 would hold -2 CUNNER of 2026-09-26-a/1: 2 went on from there. "
        "In the way: line 2 of d1 at 12:00. Strike these too, or enter first what arrived."
    )


@pytest.fixture(scope="module")
def three_hauls(case):
    told = case("outing-three-hauls")
    keys = {"device", "what"}
    written = sorted(told["steps"], key=lambda step: step["device"])
    entries = [
        entry
        for device, steps in itertools.groupby(written, key=lambda step: step["device"])
        for entry in chain(
            [Draft(**{key: value for key, value in step.items() if key not in keys}) for step in steps],
            device,
        )
    ]
    return entries, told["expected"]


def test_the_shared_outing_of_three_hauls_ends_as_written_down(js, three_hauls, answers, pack, parents):
    entries, expected = three_hauls
    data = {"taxa": parents, "outing": "2027-05-14-a", "books": [as_json(entries)]}
    (page,) = js("reckon/ledger.js", ANSWER, data)
    at_the_end = next(one["rows"] for one in expected["balances"] if one["at"] is None)
    assert _sorted_rows(page["balances"]) == _sorted_rows(at_the_end)
    by_fate: dict[str, int] = {}
    for lot in page["animals"]:
        by_fate[lot["fate"]] = by_fate.get(lot["fate"], 0) + lot["n"]
    assert by_fate == expected["by_fate"]
    assert page["none_found"] == expected["none_found"]
    assert [one["key"] for one in page["discrepancies"]] == expected["discrepancies"]
    assert page["out_of_sea"] == 638
    compare([page], [answers.ledger_answer(entries, pack.is_within, "2027-05-14-a")])
