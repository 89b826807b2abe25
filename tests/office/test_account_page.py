"""An accounted book as words and rows: limits, open things, periods, places. All data here are invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from haulbook.office.account_book import account_book
from haulbook.office.account_page import account_page
from haulbook.permit.model import Period
from haulbook.taxa import load_pack

MADE = datetime(2025, 4, 10, tzinfo=UTC)


@pytest.fixture
def page(desk):
    def made(*permits):
        done = account_book(desk.book, load_pack("nepacific"), permits=permits, as_of=MADE)
        return account_page(done, station=None, made_at=MADE, sources=())

    return made


def limits(page):
    return {
        line.clause: (line.sentence, line.counted_as, line.limit, line.status, line.weight)
        for line in page.limits
    }


def test_each_limit_says_what_is_left_of_it_and_until_when(desk, page, permit):
    first = desk.haul("2024-06-04-a/1")
    for n, taxon, to in (
        (4, "bay-pipefish", "cooler 1"),
        (3, "pacific-staghorn-sculpin", "cooler 1"),
        (26, "coho-salmon", "back"),
        (2, "coho-salmon", "dead-back"),
        (60, "shiner-perch", "back"),
    ):
        desk.move(first, n, taxon, to)
    desk.move(first, 7, "eelgrass", "cooler 1", unit="blade")
    found = limits(page(permit))
    assert found["A1"] == (
        "16 left, to 31 March 2025",
        "kept, per permit year",
        20,
        "open",
        None,
    ), "the version that is in force last"
    assert found["A1b"] == (
        "none left, fullest outing 2024-06-04-a",
        "kept, per outing",
        4,
        "reached",
        "near",
    )
    assert found["A3"][0] == "1 left, to 31 March 2025"
    assert found["A4"][:3] == ("505 left, fullest day 2024-06-04", "captured, per day", 600)
    assert found["A5"] == (
        "2 of 95 died, fullest outing 2024-06-04-a",
        "died, per outing",
        None,
        "open",
        None,
    )
    assert found["A6b"] == (
        "3 too many, to 31 March 2025",
        "captured, per permit year",
        25,
        "exceeded",
        "stop",
    )
    assert found["A8"][:3] == ("no number, to 31 March 2025", "kept, per permit year", None)


def test_of_days_outings_and_hauls_the_fullest_is_shown_and_of_years_each(desk, page, permit):
    for day, n in (("2024-06-04", 3), ("2024-06-05", 9), ("2024-12-30", 1), ("2025-01-02", 2)):
        desk.move(desk.haul(f"{day}-a/1", f"{day}T09:36:00-07:00"), n, "coho-salmon")
    yearly = tuple(
        replace(clause, period=Period.CALENDAR_YEAR) if clause.id == "A6b" else clause
        for clause in permit.clauses
    )
    lines = page(replace(permit, clauses=yearly)).limits
    assert [line.sentence for line in lines if line.clause == "A4"] == ["591 left, fullest day 2024-06-05"]
    assert [(line.now, line.sentence) for line in lines if line.clause == "A6b"] == [
        (13, "12 left, to 31 December 2024"),
        (2, "23 left, to 31 December 2025"),
    ]


def test_a_prohibition_says_how_many_were_taken_all_the_same(desk, page, permit):
    desk.move(desk.haul("2024-06-04-a/1"), 1, "coho-salmon", "cooler 1")
    found = page(permit)
    assert limits(found)["A6a"] == (
        "none may be kept, 1 were, to 31 March 2025",
        "kept, per permit year",
        None,
        "exceeded",
        "stop",
    )
    stops = [(line.clause, line.where) for line in found.findings if line.weight == "stop"]
    assert ("A6a", "page 3") in stops


@pytest.mark.parametrize(
    ("keys", "title"),
    [
        (["2024-06-04-a/1", "2024-06-04-a/2"], "Outing 2024-06-04-a"),
        (["2024-06-04-a/1", "2024-07-04-a/1"], "Season 2024"),
        (["2024-06-04-a/1", "2026-07-04-a/1"], "Seasons 2024 to 2026"),
    ],
)
def test_a_page_is_headed_by_its_outing_or_its_years(desk, page, keys, title):
    for key in keys:
        desk.move(desk.haul(key, f"{key[:10]}T09:36:00-07:00"), 1, "shiner-perch")
    assert page().title == title


@pytest.mark.parametrize(
    ("sites", "place"),
    [("abcd", "a, b, c, d"), ("abcdef", "a, b, c, d and 2 more sites"), ("aab", "a, b")],
)
def test_up_to_four_sites_are_named_and_the_others_counted(desk, page, sites, place):
    for i, site in enumerate(sites, 1):
        desk.move(desk.haul(f"2024-06-04-a/{i}", site=site), 1, "shiner-perch")
    assert page().place == place


def test_estimates_of_several_years_are_told_apart(desk, page):
    for year in (2024, 2025):
        for i in (1, 2):
            key = desk.haul(f"{year}-06-04-a/{i}", f"{year}-06-04T09:36:00-07:00")
            desk.move(key, 5, "shiner-perch")
    assert [line.period for line in page().estimates] == ["all years", "2024", "2025"]


def test_what_is_still_held_is_said_once_with_where_it_is(desk, page):
    key = desk.haul("2024-06-04-a/1")
    desk.move(key, 3, "shiner-perch", "bucket 1")
    desk.move(key, 2, "bay-pipefish", "bucket 1")
    desk.move(key, 1, "?wee fish")
    assert [(line.what, line.kind) for line in page().open] == [
        ("bucket 1 of 2024-06-04-a holds 5 animals", "no tank yet"),
        (page().open[1].what, "discrepancy"),
    ]
    assert "wee fish" in page().open[1].what
    for i in range(2, 6):
        desk.move(key, 1, "shiner-perch", f"bucket {i}")
    assert page().open[0].what == "9 animals of 1 outing stand in buckets or coolers"
