"""The tank book: what each tank holds since when, and what happened in it. All of it is invented."""

from __future__ import annotations

import pytest

from haulbook.custody.reading_tanks import TankEvent, read_tanks

OUTING = "2027-05-14-a"
HAUL = f"{OUTING}/1"


def held(phone):
    return {
        (one.tank, one.taxon): (one.n, one.since, one.latest) for one in read_tanks(phone.entries).holdings
    }


def test_a_tank_holds_what_came_less_what_went_since_the_first_of_them_came(phone):
    first = phone.move("cooler 1", "tank q1", 4)
    phone.move("tank q1", "dead-kept", 3, outing=None)
    last = phone.move("cooler 1", "tank q1", 2)
    assert held(phone) == {("tank q1", "cunner"): (3, first.when, last.when)}
    phone.move("tank q1", "given", 3, outing=None)
    assert held(phone) == {}
    again = phone.move("cooler 1", "tank q1", 1)
    assert held(phone) == {("tank q1", "cunner"): (1, again.when, again.when)}


def test_a_transfer_begins_anew_in_the_other_tank_and_a_better_name_does_not(phone):
    came = phone.move("cooler 1", "tank q1", 4)
    moved = phone.move("tank q1", "tank x2", 1, outing=None)
    phone.rename("tank q1", 2, "cunner", "tautog", outing=None)
    assert held(phone) == {
        ("tank q1", "cunner"): (1, came.when, came.when),
        ("tank q1", "tautog"): (2, came.when, came.when),
        ("tank x2", "cunner"): (1, moved.when, moved.when),
    }


def test_what_left_before_it_came_is_owed_until_then(phone):
    phone.move("tank q1", "dead-kept", 2, outing=None)
    assert held(phone) == {}
    (below,) = read_tanks(phone.entries).discrepancies
    assert (below.key, below.found) == (f"below-zero:station tank q1 cunner - individual {HAUL}", -2)
    came = phone.move("cooler 1", "tank q1", 5)
    assert held(phone) == {("tank q1", "cunner"): (3, came.when, came.when)}
    assert read_tanks(phone.entries).discrepancies == ()


def test_each_thing_that_happened_is_said_in_order_with_where_from_or_where_to(phone):
    came = phone.move("cooler 1", "tank q1", 4, stage="young")
    moved = phone.move("tank q1", "tank x2", 1, stage="young", outing=None)
    died = phone.move("tank q1", "dead-kept", 1, stage="young", outing=None, cause="fungus")
    renamed = phone.rename(
        "tank q1",
        1,
        {"taxon": "cunner", "stage": "young"},
        {"taxon": "tautog", "stage": "young"},
        outing=None,
    )
    lost = phone.move("tank q1", "lost", 1, stage="young", outing=None, cause="missing")
    common = {"by": "p3", "stage": "young", "unit": "individual", "haul": HAUL}

    def event(tank, kind, entry, n, taxon="cunner", **more):
        values = common | {"at": entry.when, "entry": entry.id} | more
        return TankEvent(tank=tank, kind=kind, n=n, taxon=taxon, **values)

    assert read_tanks(phone.entries).events == (
        event("tank q1", "arrived", came, 4, other="cooler 1"),
        event("tank q1", "left", moved, 1, other="tank x2"),
        event("tank x2", "arrived", moved, 1, other="tank q1"),
        event("tank q1", "died", died, 1, other="dead-kept", why="fungus"),
        event("tank q1", "renamed", renamed, 1, "tautog", other="cunner", why="seen again in the light"),
        event("tank q1", "lost", lost, 1, other="lost", why="missing"),
    )


@pytest.mark.parametrize("outing", [None, OUTING])
def test_a_recount_says_what_the_book_said_and_what_differs_is_the_stations(phone, outing):
    phone.move("cooler 1", "tank q1", 4)
    phone.move("cooler 1", "tank q1", 2, haul=2)
    count = phone.write("counted-again", {"place": "tank q1", "taxon": "cunner", "n": 5}, outing=outing)
    reading = read_tanks(phone.entries)
    last = reading.events[-1]
    assert (last.kind, last.n, last.expected, last.haul, last.entry) == ("counted", 5, 6, None, count.id)
    (differs,) = reading.discrepancies
    assert (differs.key, differs.outing) == (f"count-differs:{count.id}", None)
    phone.move("tank q1", "lost", 1, haul=2, outing=None, cause="missing at the count")
    assert read_tanks(phone.entries).discrepancies == ()


def test_an_answer_settles_a_recount(phone):
    count = phone.write("counted-again", {"place": "tank q1", "taxon": "cunner", "n": 1}, outing=None)
    body = {"key": f"count-differs:{count.id}", "answer": "stands", "why": "brought from the other room"}
    phone.write("settled", body, outing=None)
    assert [one.settled for one in read_tanks(phone.entries).discrepancies] == ["stands"]


def test_born_animals_have_their_balance_here_wherever_they_go(phone):
    born = phone.next_id()
    line = {"from": "born", "to": "tank q1", "n": 3, "taxon": "cunner", "haul": born}
    phone.write("move", {"lines": [line]}, outing=None, id=born)
    phone.move("tank q1", "given", 1, haul=born, outing=None)
    reading = read_tanks(phone.entries)
    assert {(row.place, row.n) for row in reading.balances.rows} == {
        ("tank q1", 2),
        ("given", 1),
        ("born", -3),
    }
    assert [(one.haul, one.n) for one in reading.holdings] == [(born, 2)]


def test_papers_of_no_outing_are_here_and_those_of_an_outing_are_not(phone):
    body = {"permit": "EX-27-014", "act": "notice-sent"}
    paper = phone.write("paper", body, outing=None)
    phone.write("paper", body)
    assert [one.entry for one in read_tanks(phone.entries).papers] == [paper.id]
