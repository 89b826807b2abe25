"""An outing as its page shows it, checked against the book's other side: what was moved out of the sea."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, chain, uuid8
from haulbook.custody.facts import Account
from haulbook.custody.reading_outing import read_outing
from haulbook.demo.season import papers, season
from haulbook.exchange.permit_toml import permit_of
from haulbook.exchange.toml_keys import parse_toml
from haulbook.office.entry_words import plainly, told
from haulbook.office.outing_page import COLUMNS, lots_behind, outing_page, put_together
from haulbook.office.permit_standing import permit_standings
from haulbook.taxa import load_pack

PACK = load_pack("nwatlantic")
OUTING = "2027-05-14-a"
TAXA = ("cunner", "grubby", "sand-shrimp", "?small grey thing")
SINKS = (
    "back",
    "back-in-net",
    "dead-back",
    "dead-kept",
    "killed-back",
    "killed-kept",
    "escaped",
    "bucket 1",
    "net",
)


def reading_of(*bodies):
    drafts = []
    for i, (kind, body) in enumerate(bodies):
        at = f"2027-05-14T07:{i:02d}:00-04:00"
        drafts.append(Draft(uuid8(f"{i}".encode()), at, at, "p3", OUTING, kind, body))
    return read_outing(chain(drafts, "d1"), OUTING)


def call(n, taxon, to, haul=1, start="sea", **more):
    line = {"from": start, "to": to, "n": n, "taxon": taxon, "haul": f"{OUTING}/{haul}", **more}
    return "move", {"lines": [line]}


CALLS = st.lists(
    st.tuples(st.integers(1, 9), st.sampled_from(TAXA), st.sampled_from(SINKS), st.integers(1, 3)),
    min_size=1,
    max_size=12,
)


@settings(max_examples=60, deadline=None)
@given(CALLS)
def test_every_animal_stands_in_one_haul_and_one_column_and_the_rest_is_the_difference(calls):
    reading = reading_of(*(call(n, taxon, to, haul) for n, taxon, to, haul in calls))
    page = outing_page(reading.account, PACK, {})
    out = -reading.balances.of(place="sea").n
    assert page.total.out == out == sum(n for n, *_rest in calls)
    assert sum(cell.n or 0 for cell in page.total.by_haul) == out
    assert sum(page.total.by_column.values()) + page.total.difference == out
    assert page.total.difference == sum(n for n, _t, to, _h in calls if to in ("net", "bucket 1"))
    for row in page.rows:
        for haul, cell in zip(page.hauls, row.by_haul, strict=True):
            behind = lots_behind(reading.account, haul.haul.key, row.taxon, row.stage or "-")
            assert sum(lot.n for lot in behind) == (cell.n or 0)


def test_what_was_taken_from_where_it_never_arrived_is_a_difference_the_other_way():
    reading = reading_of(call(2, "cunner", "net"), call(3, "cunner", "back", start="net"))
    page = outing_page(reading.account, PACK, {})
    assert (page.total.out, page.total.accounted, page.total.difference) == (2, 3, -1)


def test_none_found_is_a_zero_not_looked_for_is_a_dot_and_seen_is_neither():
    opened = {
        "plan": None,
        "digest": None,
        "pack": "nwatlantic",
        "version": "1",
        "permits": [],
        "looked_for": ["cunner"],
    }
    haul = {"haul": f"{OUTING}/2"}
    reading = reading_of(
        ("outing-opened", opened),
        call(1, "cunner", "back"),
        call(1, "grubby", "back"),
        ("haul-landed", {**haul, "condition": 1}),
        ("present", {**haul, "taxon": "sand-shrimp"}),
    )
    rows = {row.taxon: row.by_haul[1] for row in outing_page(reading.account, PACK, {}).rows}
    assert (rows["cunner"].n, rows["cunner"].looked) == (0, True)
    assert (rows["grubby"].n, rows["grubby"].looked) == (None, False)
    assert rows["sand-shrimp"].seen


def test_fish_come_first_and_egg_masses_are_no_animals():
    reading = reading_of(
        call(9, "sand-shrimp", "back"), call(1, "grubby", "back"),
        call(4, "grubby", "back", unit="egg_mass", stage="egg mass"),
    )  # fmt: skip
    page = outing_page(reading.account, PACK, {})
    assert [(row.taxon, row.unit) for row in page.rows] == [
        ("grubby", "individual"), ("sand-shrimp", "individual"), ("grubby", "egg_mass"),
    ]  # fmt: skip
    assert (page.total.out, page.fish) == (10, 1)


@pytest.fixture(scope="module")
def invented():
    _, made = season()
    outings = sorted({entry.outing for entry in made.entries if entry.outing})
    own = Book.of(entry for entry in made.entries if entry.outing == outings[0])
    return read_outing(own.entries, outings[0]), own


def test_animals_put_together_say_the_same_numbers_to_a_permit(invented):
    reading, _own = invented
    text = papers()["permit.toml"].decode()
    permit = permit_of(parse_toml(text, "permit.toml"), "permit.toml", PACK)
    as_of = datetime(2024, 5, 10, tzinfo=UTC)
    few = put_together(reading.account)
    assert sum(lot.n for lot in few.animals) == sum(lot.n for lot in reading.account.animals)
    (whole,), (short,) = (permit_standings(one, [permit], PACK, as_of) for one in (reading.account, few))
    assert [(one.clause, one.now.n, one.now.d, one.now.status) for one in whole.clauses] == [
        (one.clause, one.now.n, one.now.d, one.now.status) for one in short.clauses
    ]


def test_every_fate_has_one_column_at_most():
    fates = [fate for fates in COLUMNS.values() for fate in fates]
    assert len(fates) == len(set(fates))


def test_every_line_of_a_season_is_said_in_words(invented):
    _reading, own = invented
    for entry in own.entries:
        words = told(entry, PACK)
        assert words
        assert "{" not in words
        assert own.entries[0].outing not in words or entry.kind in ("settled",)


def test_a_sentence_with_keys_is_said_with_names():
    words = "net still holds 3 winter-flounder of 2027-05-14-a/2: say where they went"
    assert plainly(words, OUTING, ["winter-flounder", "flounder"], PACK) == (
        "Net still holds 3 winter flounder of haul 2: say where they went"
    )


def test_an_empty_outing_has_an_empty_page():
    page = outing_page(replace(Account((), ()), looked_for={}), PACK, {})
    assert (page.rows, page.total.out, page.area_m2) == ((), 0, None)
