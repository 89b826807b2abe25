"""The invented season is whole: its sheets and its own book tell of the same animals."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta

import pytest

from haulbook.custody.book import Book
from haulbook.custody.closing import open_things
from haulbook.custody.discrepancies import discrepancies
from haulbook.custody.fates import Fate
from haulbook.custody.ledger import account_of
from haulbook.demo.draw import draw_seasons
from haulbook.demo.season import papers, season
from haulbook.taxa import load_pack
from haulbook.tide import daylight, extremes, load_catalog, water_at

PACK = load_pack("nwatlantic")


@pytest.fixture(scope="module")
def drawn():
    return season()


@pytest.fixture(scope="module")
def book(drawn) -> Book:
    return drawn[1]


def test_the_same_seed_draws_the_same_files(drawn):
    sheets, book = season()
    assert sheets == drawn[0]
    assert book == drawn[1]
    assert season(7)[0] != sheets


def test_three_seasons_of_sixty_hauls_with_everything_that_happens(book):
    kinds = Counter(entry.kind for entry in book.entries)
    assert kinds["haul-started"] == 60
    assert len({entry.at[:4] for entry in book.entries if entry.kind == "haul-started"}) == 3
    for kind in (
        "strike",
        "redetermination",
        "lengths",
        "searched-and-none",
        "care",
        "paper",
        "outing-signed",
    ):
        assert kinds[kind] > 0, kind
    lines = [line for entry in book.entries if entry.kind == "move" for line in entry.body["lines"]]
    assert any("subsample" in line for line in lines)
    assert {entry.device for entry in book.entries} == {"d1", "d2", "desk"}


def test_every_animal_has_a_place_and_no_device_contradicts_another(book):
    account = account_of(book, within=PACK.is_within)
    assert not account.short
    assert not discrepancies(book, PACK.is_within)
    assert not any(lot.fate is Fate.UNACCOUNTED for lot in account.animals)
    for outing in dict.fromkeys(haul.outing for haul in account.hauls):
        assert not open_things(book, outing, PACK.is_within)


def test_the_book_says_what_was_drawn(book):
    account = account_of(book, within=PACK.is_within)
    told: Counter[tuple[str, str]] = Counter()
    for lot in account.animals:
        told[lot.taxon, lot.fate.value] += lot.n
    drawn: Counter[tuple[str, str]] = Counter()
    for outing in draw_seasons():
        for haul in outing.hauls:
            for catch in haul.catch:
                taxon = catch.kind.taxon
                drawn[taxon, "released_alive"] += catch.back
                drawn[taxon, "retained_alive"] += catch.kept
                drawn[taxon, "died_released"] += catch.dead
                drawn[taxon, "seen_escaped"] += catch.escaped
    assert told == +drawn


def test_a_shrimp_dies_in_the_tank_each_june_and_one_report_is_amended(book):
    account = account_of(book, within=PACK.is_within)
    assert [event.kind for lot in account.animals for event in lot.later] == ["died"] * 3
    sent = [entry for entry in book.entries if entry.kind == "paper" and entry.body["act"] == "report-sent"]
    assert len(sent) == 3


def test_the_crew_hauls_around_low_water_by_daylight():
    """The tide of the real station near the invented cove; a good hour around low is common practice, no source."""
    station = load_catalog().find("8452660")
    for outing in draw_seasons():
        first, last = outing.hauls[0].started, outing.hauls[-1].landed
        lows = [
            one.time
            for one in extremes(water_at(station, {}), first - timedelta(hours=3), last + timedelta(hours=3))
            if one.kind == "low"
        ]
        assert any(first < low < last + timedelta(minutes=15) for low in lows), outing.key
        assert all(
            min(abs(haul.landed - low) for low in lows) < timedelta(minutes=80) for haul in outing.hauls
        )
        light = daylight(41.46, -71.31, first.date(), first.tzinfo)
        assert light.sunrise < first < outing.hauls[-1].ended < light.sunset


def test_it_says_of_itself_that_it_is_invented():
    for name in ("station.toml", "permit.toml"):
        assert b"invented" in papers()[name]
