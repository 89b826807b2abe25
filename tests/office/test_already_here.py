"""Outings of sheets that a book has already: nothing doubles, nothing disappears unsaid. All data are invented."""

from __future__ import annotations

import pytest

from haulbook.custody.book import Book, merge
from haulbook.custody.entry import chain
from haulbook.custody.ledger import account_of
from haulbook.exchange.entries import entries_of
from haulbook.exchange.map_toml import read_sheet_map
from haulbook.exchange.propose import propose
from haulbook.exchange.propose_toml import proposal_toml
from haulbook.exchange.reading import read_sheets
from haulbook.office.already_here import (
    ADD,
    LEAVE_OUT,
    OTHER,
    REPLACE,
    Plan,
    as_planned,
    plan_for,
    plan_of_json,
    strikes_for,
)
from haulbook.problems import Refusal
from haulbook.taxa import load_pack

PACK = load_pack("nwatlantic")
SHEET = """\
Haul,Date,Site,Set,Species,Count,Fate
A1,2023-06-20,east point,1,cunner,4,back
A1,2023-06-20,east point,1,tautog,1,kept
B1,2023-07-21,east point,1,tautog,3,back
"""
A, B = "2023-06-20-a", "2023-07-21-a"


@pytest.fixture
def entries(tmp_path):
    (tmp_path / "sheet.csv").write_text(SHEET)
    (tmp_path / "map.toml").write_text(proposal_toml(propose([tmp_path / "sheet.csv"], PACK.key)))
    reading = read_sheets([tmp_path / "sheet.csv"], read_sheet_map(tmp_path / "map.toml"))
    return entries_of(reading, PACK, (), None, "p1")


def animals(book):
    return sum(lot.n for lot in account_of(book, within=PACK.is_within).animals)


def test_without_anything_in_the_way_entries_stay_byte_for_byte(entries):
    plan = plan_for([A, B], {}, (), 0)
    assert plan == Plan()
    assert as_planned(entries, plan) == entries


def test_an_outing_is_left_out_with_every_line_of_it(entries):
    made = as_planned(entries, plan_for([A, B], {A: LEAVE_OUT}, [A], 0))
    assert {entry.outing for entry in made} == {B}
    assert [entry.seq for entry in made] == list(range(1, len(made) + 1))


def test_another_outing_takes_the_first_free_letter_with_all_its_hauls(entries):
    plan = plan_for([A, B], {A: OTHER, B: OTHER}, [A, "2023-06-20-b", B], 0)
    assert plan.renamed == {A: "2023-06-20-c", B: "2023-07-21-b"}
    made = as_planned(entries, plan)
    account = account_of(Book.of(made), within=PACK.is_within)
    assert [haul.key for haul in account.hauls] == ["2023-06-20-c/1", "2023-07-21-b/1"]
    assert animals(merge(Book.of(entries), Book.of(made))) == 16


def test_a_day_with_every_letter_taken_is_refused():
    taken = [f"2023-06-20-{letter}" for letter in "abcdefghijklmnopqrstuvwxyz"]
    with pytest.raises(Refusal, match="has 26 outings already"):
        plan_for([A], {A: OTHER}, taken, 0)


def test_the_same_plan_gives_the_same_entries_and_another_plan_others(entries):
    plan = plan_for([A, B], {A: LEAVE_OUT}, [A], 0)
    assert as_planned(entries, plan_of_json(plan.as_json())) == as_planned(entries, plan)
    again = plan_for([A, B], {A: LEAVE_OUT}, [A], 1)
    assert {entry.id for entry in as_planned(entries, plan)}.isdisjoint(
        e.id for e in as_planned(entries, again)
    )
    assert {entry.device for entry in as_planned(entries, again)} != {
        entry.device for entry in as_planned(entries, plan)
    }


def test_adding_changes_no_key(entries):
    assert as_planned(entries, plan_for([A, B], {A: ADD}, [A], 0)) == entries


def test_what_earlier_files_say_is_struck_and_nothing_else(entries):
    book = Book.of(entries)
    (body,) = strikes_for(book, A, "sheet, corrected.csv")
    assert set(body["entries"]) == {entry.id for entry in entries if entry.outing == A}
    assert body["reason"] == "brought in again, corrected, from sheet, corrected.csv"
    assert strikes_for(book, "2023-06-20-b", "x") == ()


def test_a_long_strike_is_cut_into_several(entries, monkeypatch):
    monkeypatch.setattr("haulbook.office.already_here.MOST_STRUCK", 3)
    bodies = strikes_for(Book.of(entries), A, "x")
    assert [len(body["entries"]) for body in bodies][:-1] == [3] * (len(bodies) - 1)
    assert sum(len(body["entries"]) for body in bodies) == sum(entry.outing == A for entry in entries)


def test_a_strike_that_would_leave_a_tank_owing_is_refused(entries):
    from haulbook.custody.entry import Draft
    from haulbook.custody.ids import uuid8

    line = {"taxon": "tautog", "n": 1, "from": "bucket 1", "to": "tank q1", "haul": f"{A}/1"}
    at = "2023-06-20T12:00:00-04:00"
    moved = chain([Draft(uuid8(b"x"), at, at, "p1", A, "move", {"lines": [line]})], "desk")
    with pytest.raises(
        Refusal, match=r"what earlier files say of 2023-06-20-a can't be struck: .* would hold -1"
    ):
        strikes_for(Book.of((*entries, *moved)), A, "x")


def test_replaced_and_brought_in_again_the_book_counts_once(entries):
    plan = plan_for([A, B], {A: REPLACE, B: LEAVE_OUT}, [A, B], 1)
    assert (plan.replaced, plan.left_out) == ((A,), (B,))
    made = as_planned(entries, plan)
    from haulbook.custody.entry import Draft
    from haulbook.custody.ids import uuid8

    at = "2026-01-01T12:00:00-04:00"
    strikes = chain(
        [
            Draft(uuid8(b"s"), at, at, "p1", A, "strike", body)
            for body in strikes_for(Book.of(entries), A, "x")
        ],
        "desk",
    )
    assert animals(Book.of((*entries, *made, *strikes))) == 8
