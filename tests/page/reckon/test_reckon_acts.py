"""Drafts of one act, the list that is read back, and scoops: equal to the rooms behind them."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from haulbook.custody.bodies import faults_of
from haulbook.custody.book import Book
from haulbook.custody.ledger import account_of
from haulbook.custody.lines import estimate_of
from haulbook.estimate.subsample import scoops

pytestmark = pytest.mark.browser

SEEDS = range(70)


@pytest.fixture(scope="module")
def books(outings):
    return [outings.outing(seed, most=30) for seed in SEEDS]


def as_json(entries):
    return [entry.as_json() for entry in entries]


WRITE = """
const write = (state, draft, n) => m2.extend(state, [{id: `x${n}`, device: 'zz', seq: n, hash: `x${n}`, prev: null,
  at: '2026-09-26T23:00:00-04:00', made_at: '', by: 'p3', outing: data.outing, ...draft}]);
const onTheBeach = (state) => state.places.filter(({place}) => !place.startsWith('tank'));
const above = ({lots}) => lots.filter(({n}) => n > 0).length;
"""

EMPTY = f"""(async () => {{
  const m2 = await import('/reckon/ledger.js');
  {WRITE}
  return data.books.map((entries) => {{
    let state = m2.replay(entries);
    const drafts = [], off = [];
    const sums = (s) => [s.outOfSea, s.difference];
    for (const {{place, n}} of onTheBeach(state)) {{
      const [sea, difference] = sums(state);
      const below = state.place(place).lots.filter((lot) => lot.n < 0).map(({{n}}) => n);
      const draft = m.emptyPlace(state, place, place === 'cooler 1' ? 'lost' : 'back', {{cause: 'spilt'}});
      if (!draft) {{ if (n > 0) off.push(['nothing to empty', place, n]); continue; }}
      drafts.push(draft);
      state = write(state, draft, drafts.length);
      const left = state.place(place).lots.map(({{n}}) => n);
      if (above(state.place(place)) || left.join() !== below.join()) off.push(['left', place, left]);
      if (sums(state)[0] !== sea) off.push(['sea', place]);
    }}
    return [drafts, off, onTheBeach(state).map(above)];
  }});
}})()"""


def test_emptying_every_place_leaves_nothing_in_them_and_every_draft_is_one_the_book_takes(
    js, books, outings
):
    found = js(
        "reckon/rest.js", EMPTY, {"books": [as_json(book) for book in books], "outing": outings.OUTING}
    )
    written = 0
    for drafts, off, left in found:
        assert off == []
        assert not any(left)
        for draft in drafts:
            assert (
                faults_of(
                    draft["kind"], draft["body"], outings.OUTING, "01890000-0000-7000-8000-000000000000"
                )
                == []
            )
            keys = [
                (line["taxon"], line.get("stage"), line.get("unit"), line["haul"])
                for line in draft["body"]["lines"]
            ]
            assert len(keys) == len(set(keys))
            written += 1
    assert written > 100


TAKE = f"""(async () => {{
  const m2 = await import('/reckon/ledger.js');
  {WRITE}
  return data.books.map((entries, at) => {{
    const state = m2.replay(entries);
    const found = [];
    for (const {{place}} of onTheBeach(state)) {{
      const there = m.whatIsIn(state, place);
      if (!there.length) continue;
      const {{taxon, stage, unit}} = there[at % there.length];
      const alike = there.filter((lot) => lot.taxon === taxon && lot.stage === stage && lot.unit === unit);
      const all = alike.reduce((sum, {{n}}) => sum + n, 0);
      for (const n of [1, all, all + 1]) {{
        const draft = m.take(state, {{place, to: 'back', taxon, stage, unit, n}});
        found.push({{n, all, hauls: [...new Set(alike.map(({{haul}}) => haul))], draft,
          landed: Object.fromEntries(state.hauls.map((one) => [one.haul, one.landedAt]))}});
      }}
    }}
    return found;
  }});
}})()"""


def test_taking_some_names_their_haul_or_says_that_it_was_assumed(js, books, outings):
    found = js("reckon/rest.js", TAKE, {"books": [as_json(book) for book in books], "outing": outings.OUTING})
    assumed = 0
    for taken in (one for of_book in found for one in of_book):
        lines = taken["draft"]["body"]["lines"]
        assert sum(line["n"] for line in lines) == taken["n"]
        assert (
            faults_of("move", taken["draft"]["body"], outings.OUTING, "01890000-0000-7000-8000-000000000000")
            == []
        )
        guessed = len(taken["hauls"]) > 1 and taken["n"] < taken["all"]
        assert all(line.get("haul_assumed", False) == guessed for line in lines)
        if guessed and all(taken["landed"].values()):
            last = max(taken["hauls"], key=lambda haul: (taken["landed"][haul], haul))
            assert lines[0]["haul"] == last
            assumed += 1
    assert assumed > 2


def test_nothing_in_the_net_makes_no_draft_and_rest_back_says_what_was_called(js, outings):
    import random

    pen = outings.Pen("d1", random.Random(0))
    line = {"taxon": "cunner", "n": 3, "from": "sea", "to": "net", "haul": f"{outings.OUTING}/1"}
    pen.write(
        "move", {"lines": [line, {**line, "haul": f"{outings.OUTING}/2", "stage": "young"}]}, outings.START
    )
    expression = """(async () => { const {replay} = await import('/reckon/ledger.js');
      const {haul} = data[0].body.lines[0];
      return [m.restBack(replay([])), m.restBack(replay(data)), m.restBack(replay(data), haul)]; })()"""
    none, both, one = js("reckon/rest.js", expression, as_json(pen.entries))
    assert none is None
    assert both["body"]["text"] == "rest back"
    back = {"taxon": "cunner", "n": 3, "from": "net", "to": "back"}
    assert both["body"]["lines"] == [
        {**back, "haul": f"{outings.OUTING}/1"},
        {**back, "haul": f"{outings.OUTING}/2", "stage": "young"},
    ]
    assert [line["haul"] for line in one["body"]["lines"]] == [f"{outings.OUTING}/1"]


def test_a_recount_and_a_strike_are_drafts_that_the_book_takes(js, outings):
    import random

    pen = outings.Pen("d1", random.Random(0))
    line = {"taxon": "cunner", "n": 3, "from": "sea", "to": "bucket 1", "haul": f"{outings.OUTING}/1"}
    first = pen.write("move", {"lines": [line]}, outings.START)
    second = pen.write("move", {"lines": [{**line, "from": "bucket 1", "to": "back"}]}, outings.START)
    expression = """(async () => {
      const {replay} = await import('/reckon/ledger.js');
      const state = replay(data.entries);
      const eggs = {place: 'net', taxon: 'moon-snail', stage: 'egg mass', unit: 'egg_mass', n: 0};
      return [m.countedAgain({place: 'bucket 1', taxon: 'cunner', n: 2}), m.countedAgain(eggs),
        m.strike(state, [data.one]), m.strike(state, [data.one, data.other])];
    })()"""
    recount, eggs, refused, both = js(
        "reckon/rest.js", expression, {"entries": as_json(pen.entries), "one": first.id, "other": second.id}
    )
    for draft in (recount, eggs, both["draft"]):
        assert (
            faults_of(draft["kind"], draft["body"], outings.OUTING, "01890000-0000-7000-8000-000000000000")
            == []
        )
    assert refused["inTheWay"] == [second.id]
    assert "bucket 1 would hold -3 cunner" in refused["refused"]
    assert both["draft"]["body"]["entries"] == [first.id, second.id]


LIST = """(async () => {
  const {replay} = await import('/reckon/ledger.js');
  return data.map((entries) => { const state = replay(entries);
    return Object.fromEntries(state.hauls.map(({haul}) => [haul, m.haulList(state, haul)])); });
})()"""


def test_the_list_read_back_is_the_account_of_the_haul_in_the_order_of_the_calls(js, books):
    found = js("reckon/list.js", LIST, [as_json(book) for book in books])
    rows = 0
    for book, page in zip(books, found, strict=True):
        known = Book.of(book)
        account = account_of(known)
        order = {entry.id: at for at, entry in enumerate(known.standing())}
        assert set(page) == {haul.key for haul in account.hauls}
        for haul, listed in page.items():
            wanted: dict[tuple, dict[str, int]] = {}
            first: dict[tuple, int] = {}
            for lot in (lot for lot in account.animals if lot.haul == haul):
                key = (lot.taxon, lot.stage, lot.unit)
                fates = wanted.setdefault(key, {})
                fates[str(lot.fate)] = fates.get(str(lot.fate), 0) + lot.n
                first[key] = min(first.get(key, 10**9), order[lot.entries[0]])
            assert {
                (row["taxon"], row["stage"], row["unit"]): row["fates"] for row in listed["rows"]
            } == wanted
            called = [first[row["taxon"], row["stage"], row["unit"]] for row in listed["rows"]]
            assert called == sorted(called)
            assert [sum(row["fates"].values()) for row in listed["rows"]] == [
                row["n"] for row in listed["rows"]
            ]
            assert sorted(listed["none"]) == sorted(taxon for key, taxon in account.none_found if key == haul)
            assert sorted(listed["present"]) == sorted(taxon for key, taxon in account.present if key == haul)
            rows += len(listed["rows"])
    assert rows > 300


# Scoops

counted = st.lists(st.integers(0, 400), min_size=1, max_size=12)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(counted, st.integers(0, 30)), min_size=10, max_size=10))
def test_scoops_are_expanded_as_the_estimate_room_does(js, drawn):
    asked = [{"counted": here, "of": len(here) + more} for here, more in drawn]
    for one, page in zip(asked, js("reckon/scoops.js", "data.map(m.estimate)", asked), strict=True):
        wanted = scoops(one["counted"], one["of"])
        assert page["n"] == pytest.approx(wanted.n)
        assert (page["se"] is None) == (wanted.se is None)
        assert page["se"] is None or page["se"] == pytest.approx(wanted.se)
        assert page["rounded"] == estimate_of({"counted": one["counted"], "of": one["of"]})
        assert page["none"] == wanted.not_in_subsample


def test_the_scoops_of_the_shared_example_make_600(js):
    """12 scoops, of which 52, 47 and 51: docs/reference/book.md; s2 = 7, so se = sqrt(144 (1 - 3/12) 7/3)."""
    page = js("reckon/scoops.js", "m.estimate(data)", {"of": 12, "counted": [52, 47, 51]})
    assert (page["n"], page["rounded"]) == (600, 600)
    assert page["se"] == pytest.approx((144 * 0.75 * 7 / 3) ** 0.5)
    line = js("reckon/scoops.js", "m.expanded(data)", {"of": 12, "counted": [52, 47, 51], "batch": "tote 1"})
    assert line == {
        "n": 600, "basis": "expanded",
        "subsample": {"method": "scoops", "of": 12, "counted": [52, 47, 51], "batch": "tote 1"},
    }  # fmt: skip


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (
            {"of": 2, "counted": [1, 2, 3]},
            "3 scoops counted of 2: count at least one and no more than there are.",
        ),
        ({"of": 2, "counted": []}, "0 scoops counted of 2: count at least one and no more than there are."),
        ({"of": 3, "counted": [1.5]}, "Each scoop is a whole number, 0 or more."),
    ],
)
def test_scoops_that_can_not_be_are_refused_in_words(js, asked, words):
    assert js("reckon/scoops.js", "m.estimate(data)", asked) == {"refused": words}
