"""What the bed gave: years held against one another, the hauls behind, lengths; all invented."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulbook.custody.facts import Account, Animals, Haul, Lengths, Measure
from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.office.bed import (
    as_json,
    bed_of,
    from_json,
    hauls_behind,
    held_against,
    lengths_by_year,
    part_of,
)
from haulbook.office.densities import areas_of
from haulbook.taxa import load_pack

PACK = load_pack("nwatlantic")


def haul(year: int, n: int, site: str = "cove", month: int = 5) -> Haul:
    outing = f"{year}-{month:02d}-0{n}-a"
    metres = {"w": Measure(6.0, "measured"), "d": Measure(20.0, "measured")}
    at = When(f"{year}-{month:02d}-0{n}T06:00:00-04:00")
    return Haul(
        f"{outing}/1",
        outing,
        site=site,
        net="n1",
        set_type="straight",
        landed=at,
        condition=1,
        measures=metres,
    )


def lot(of: Haul, n: int, taxon: str = "cunner", mm: float | None = None) -> Animals:
    return Animals(of.key, taxon, n, Fate.RELEASED_ALIVE, "back", of.landed, length_mm=mm)


def account(counts: dict[int, list[int]]) -> Account:
    hauls, animals = [], []
    for year, ns in counts.items():
        for i, n in enumerate(ns, 1):
            one = haul(year, i)
            hauls.append(one)
            animals += [lot(one, n)] if n else []
    return Account(tuple(hauls), tuple(animals))


def bed(some: Account):
    return bed_of(some, areas_of(some.hauls, {}), PACK.is_within)


def test_years_whose_intervals_overlap_cannot_be_told_apart():
    found = held_against(bed(account({2025: [4, 6, 5, 9], 2026: [5, 8, 4, 7]})), "2026", "2025", PACK)
    assert found.headline == "4 hauls cannot tell whether 2026 differs from 2025."
    assert "not the same as no change" in found.words


def test_years_whose_intervals_do_not_meet_are_worth_a_look_and_no_finding():
    found = held_against(bed(account({2025: [4, 6, 5, 5], 2026: [60, 70, 66, 64]})), "2026", "2025", PACK)
    assert found.headline == "1 of 1 kinds lie apart in 2026 and 2025."
    assert "cunner (more)" in found.words
    assert "Worth a look, not a finding" in found.words


def test_a_year_without_an_interval_is_not_held_against_another():
    found = held_against(bed(account({2025: [4], 2026: [5, 8, 4, 7]})), "2027", "2025", PACK)
    assert found.headline == "2027 can't be held against 2025."


def test_all_years_are_never_put_together():
    assert {one.period for one in bed(account({2025: [1, 2], 2026: [3, 0]}))} == {"2025", "2026"}


@given(
    st.dictionaries(st.integers(2020, 2024), st.lists(st.integers(0, 50), min_size=1, max_size=5), min_size=1)
)
def test_what_is_stored_reads_back_as_it_was(counts):
    made = bed(account(counts))
    assert from_json(as_json(made)) == made


def test_a_part_keeps_only_the_hauls_asked_for():
    hauls = (haul(2026, 1, "cove", 5), haul(2026, 2, "lee", 5), haul(2026, 3, "cove", 8))
    whole = Account(hauls, tuple(lot(one, 2) for one in hauls))
    part = part_of(whole, ("cove",), (5,))
    assert [one.key for one in part.hauls] == ["2026-05-01-a/1"]
    assert [one.haul for one in part.animals] == ["2026-05-01-a/1"]


def test_the_hauls_behind_a_number_say_what_each_gave():
    some = account({2026: [4, 0, 5]})
    behind = hauls_behind(some, areas_of(some.hauls, {}), "cunner", bed(some))
    assert [(one.haul, one.n, one.area_m2) for one in behind] == [
        ("2026-05-03-a/1", 5, 120.0), ("2026-05-02-a/1", 0, 120.0), ("2026-05-01-a/1", 4, 120.0),
    ]  # fmt: skip


def test_lengths_of_lists_and_of_single_animals_count_alike():
    one = haul(2026, 1)
    some = Account(
        (one,), (lot(one, 2, mm=57.0),), lengths=(Lengths(one.key, "cunner", "TL", (51.0, 60.0, 69.9), "e"),)
    )
    assert lengths_by_year(some, "cunner") == {"2026": Counter({50: 3, 60: 2})}
    assert lengths_by_year(some, "tautog") == {}


@pytest.mark.parametrize("taxon", ["cunner"])
def test_animals_seen_escaping_are_no_catch(taxon):
    one = haul(2026, 1)
    gone = Animals(one.key, taxon, 9, Fate.SEEN_ESCAPED, "escaped", one.landed)
    some = Account((one,), (lot(one, 2), gone))
    assert hauls_behind(some, areas_of(some.hauls, {}), taxon, bed(some))[0].n == 2
