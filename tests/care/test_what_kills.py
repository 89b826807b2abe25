"""Kept animals read back from an invented book."""

from __future__ import annotations

from datetime import datetime

import pytest

from haulbook.care.what_kills import by_taxon, kept_table
from haulbook.custody.ledger import account_of

UNTIL = datetime.fromisoformat("2027-05-24T06:40:00-04:00")


def flat(taxon, length_mm):
    return 3.0 if taxon == "cunner" else 1.0


@pytest.fixture
def season(log):
    day = "2027-05-14T"
    log.write("haul-started", {"haul": "2027-05-14-a/1"}, day + "06:20:00-04:00")
    log.write("haul-landed", {"haul": "2027-05-14-a/1", "condition": 1}, day + "06:30:00-04:00")
    for n, litres in ((1, 15), (2, 10)):
        body = {"place": f"bucket {n}", "act": "set-up", "purpose": "keep", "litres": litres}
        log.write("place", body, day + "06:31:00-04:00")
    log.move("sea", "bucket 1", 5, "cunner", day + "06:40:00-04:00")
    log.move("sea", "bucket 1", 4, "grubby", day + "06:45:00-04:00")
    log.move("sea", "bucket 2", 2, "grubby", day + "06:46:00-04:00")
    log.move("sea", "back", 9, "grubby", day + "06:47:00-04:00")
    body = {"place": "bucket 1", "oxygen_mg_l": 6.1, "temperature_c": 13.5, "instrument": "ox1"}
    log.write("reading", body, day + "07:30:00-04:00")
    log.move("bucket 1", "dead-kept", 1, "cunner", day + "08:00:00-04:00", cause="low O2")
    for n in (1, 2):
        log.write("place", {"place": f"bucket {n}", "act": "left-beach"}, day + "09:00:00-04:00")
    log.move("bucket 1", "tank q1", 4, "cunner", day + "10:30:00-04:00")
    log.move("bucket 1", "tank q1", 4, "grubby", day + "10:30:00-04:00")
    log.move("bucket 2", "tank q1", 2, "grubby", day + "10:30:00-04:00")
    log.move("tank q1", "dead-kept", 1, "cunner", "2027-05-17T06:40:00-04:00", None, cause="unknown")
    return log.book


def test_what_a_clock_ahead_of_the_table_wrote_is_not_in_it_yet(season):
    early = datetime.fromisoformat("2027-05-14T06:42:00-04:00")
    assert [(row.taxon, row.n) for row in kept_table(account_of(season), season, early, flat)] == [
        ("cunner", 1),
        ("cunner", 1),
        ("cunner", 3),
    ]
    before = datetime.fromisoformat("2027-05-14T06:00:00-04:00")
    assert kept_table(account_of(season), season, before, flat) == ()


def test_each_lot_shows_what_it_went_through(season):
    rows = kept_table(account_of(season), season, UNTIL, flat)
    by_end = {(row.taxon, row.ended, row.n): row for row in rows}
    assert sum(row.n for row in rows) == 11  # the nine put straight back were never kept
    in_bucket = by_end["cunner", "died", 1]
    deaths = [row for row in rows if row.taxon == "cunner" and row.ended == "died"]
    assert len(deaths) == 2
    assert {row.cause for row in deaths} == {"low O2", "unknown"}
    beach = next(row for row in deaths if row.cause == "low O2")
    assert beach.handling_h is None
    assert beach.days_lived == pytest.approx((1 + 20 / 60) / 24)
    tank = next(row for row in deaths if row.cause == "unknown")
    assert tank.days_lived == pytest.approx(3.0)
    alive = by_end["cunner", "alive", 3]
    assert alive.handling_h == pytest.approx(4.0)
    assert alive.days_lived == pytest.approx(10.0)
    # bucket 1 at its fullest: 5 x 3 + 4 x 1 = 19 mg/h in 15 L
    assert alive.bucket_load_mg_l_h == pytest.approx(19 / 15)
    assert (alive.lowest_oxygen_mg_l, alive.warmest_c) == (6.1, 13.5)
    assert in_bucket.n == 1


def test_another_bucket_has_its_own_load_and_no_reading(season):
    rows = kept_table(account_of(season), season, UNTIL, flat)
    second = next(row for row in rows if row.taxon == "grubby" and row.n == 2)
    assert second.bucket_load_mg_l_h == pytest.approx(2 / 10)
    assert second.lowest_oxygen_mg_l is None


def test_the_table_by_taxon_adds_up_with_most_dead_first(season):
    lines = by_taxon(kept_table(account_of(season), season, UNTIL, flat))
    assert [line.taxon for line in lines] == ["cunner", "grubby"]
    assert [(line.n, line.alive, line.dead, line.no_longer_followed) for line in lines] == [
        (5, 3, 2, 0),
        (6, 6, 0, 0),
    ]
    assert lines[1].days_lived_by_the_dead is None
    assert lines[0].days_lived_by_the_dead == pytest.approx((3.0 + (1 + 20 / 60) / 24) / 2)


def test_a_better_name_keeps_its_past(log):
    day = "2027-05-14T"
    log.write(
        "place",
        {"place": "bucket 1", "act": "set-up", "purpose": "keep", "litres": 10},
        day + "06:31:00-04:00",
    )
    log.move("sea", "bucket 1", 2, "?sculpin", day + "06:40:00-04:00")
    line = {
        "place": "bucket 1",
        "haul": "2027-05-14-a/1",
        "n": 2,
        "was": {"taxon": "?sculpin"},
        "now": {"taxon": "grubby"},
    }
    log.write("redetermination", {"lines": [line], "why": "in the light"}, day + "07:00:00-04:00")
    log.write("place", {"place": "bucket 1", "act": "left-beach"}, day + "09:00:00-04:00")
    (row,) = kept_table(account_of(log.book), log.book, UNTIL, flat)
    assert (row.taxon, row.bucket_load_mg_l_h) == ("grubby", pytest.approx(0.2))
