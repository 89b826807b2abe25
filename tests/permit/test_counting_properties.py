"""Counts, statuses and sets hold for any catch, not only for the worked ones."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime
from fractions import Fraction
from functools import cache
from math import ceil
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from haulbook.custody.facts import Account, Animals, Haul, Later
from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.exchange.permit_toml import read_permit
from haulbook.permit.grounds import Span
from haulbook.permit.model import Scope
from haulbook.permit.rows import report_rows
from haulbook.permit.scope import Meant, Scoper
from haulbook.permit.state import States
from haulbook.permit.status import Status, near_from, over, remaining, status_of, status_of_percent
from haulbook.permit.take import Take
from haulbook.taxa import load_pack

CASES = Path(__file__).resolve().parents[1] / "cases" / "permits"
AFTER = datetime(2025, 4, 10, tzinfo=UTC)
YEAR = Span(date(2024, 4, 1), date(2025, 3, 31))
TAXA = (
    "bay-pipefish",
    "pacific-staghorn-sculpin",
    "cottidae",
    "chinook-salmon",
    "salmonidae",
    "shiner-perch",
    "?what",
)
HAULS = tuple(
    Haul(f"{outing}/{n}", outing, landed=When(f"2024-0{month}-04T0{7 + n}:00:00-07:00"))
    for outing, month in (("o", 5), ("p", 9))
    for n in (1, 2)
)


@st.composite
def catches(draw):
    haul = draw(st.sampled_from(HAULS))
    fate = draw(st.sampled_from(list(Fate)))
    later = ()
    if fate is Fate.RETAINED_ALIVE:
        kinds = draw(st.lists(st.sampled_from(["died", "killed", "lost", "given"]), max_size=1))
        later = tuple(Later(kind, When(f"{haul.landed.text[:8]}05T20:00:00-07:00"), "x") for kind in kinds)
    return Animals(
        haul.key,
        draw(st.sampled_from(TAXA)),
        draw(st.integers(1, 9)),
        fate,
        "net" if fate is Fate.UNACCOUNTED else "back",
        haul.landed,
        stage=draw(st.sampled_from([None, "young", "adult"])),
        later=later,
        entries=(draw(st.uuids()).hex,),
    )


def counts(animals, *permits):
    take = Take(Account(HAULS, tuple(animals)), permits, pack())
    states = States(take)
    return {
        (s.permit, s.clause.id, s.clause.version, s.key.label): (
            s.n,
            s.possible,
            s.d,
            s.d_worst,
            s.status,
            s.worst,
        )
        for permit in permits
        for s in states.history(permit, AFTER)
    }


def pack():
    return load_pack("nepacific")


@cache
def permit_named(name):
    return read_permit(CASES / f"{name}.toml", pack())


@given(st.integers(1, 10_000), st.integers(0, 10_000))
def test_near_begins_at_four_fifths_rounded_up_without_floating_point(limit, n):
    assert near_from(limit) == ceil(Fraction(8, 10) * limit)
    expected = (
        Status.EXCEEDED
        if n > limit
        else Status.REACHED
        if n == limit
        else Status.NEAR
        if n >= ceil(Fraction(8, 10) * limit)
        else Status.OPEN
    )
    assert status_of(n, limit) is expected
    assert remaining(n, limit) == max(0, limit - n)


@given(st.integers(0, 50), st.integers(0, 50), st.integers(0, 50))
def test_an_amendment_that_lowers_a_limit_exceeds_nothing_by_itself(limit, carried, added):
    n = carried + added
    status = status_of(n, limit, carried=carried)
    assert over(n, limit, carried=carried) == max(0, n - max(limit, carried))
    assert (status is Status.OVER_SINCE_AMENDMENT) == (carried > limit and added == 0)
    assert (status is Status.EXCEEDED) == (over(n, limit, carried=carried) > 0)


@given(st.integers(0, 500), st.integers(0, 500), st.integers(0, 1000), st.integers(0, 100))
def test_percentages_compare_as_exact_fractions(n, d, tenths, min_n):
    percent = Fraction(tenths, 10)
    status = status_of_percent(n, d, percent, min_n)
    if d == 0 or d < min_n:
        assert status is Status.PENDING
    elif n == 0:
        assert status is (Status.CLOSED if percent == 0 else Status.OPEN)
    else:
        share = Fraction(n, d) * 100
        assert status is (
            Status.OPEN if share < percent else Status.REACHED if share == percent else Status.EXCEEDED
        )


@settings(max_examples=40, deadline=None)
@given(st.lists(catches(), max_size=8), st.randoms(use_true_random=False))
def test_splitting_animals_into_more_rows_and_shuffling_them_changes_no_count(animals, chance):
    permits = (permit_named("a"), permit_named("b"))
    split = []
    for row in animals:
        cut = chance.randint(0, row.n)
        split += [replace(row, n=n) for n in (cut, row.n - cut) if n]
    chance.shuffle(split)
    assert counts(animals, *permits) == counts(split, *permits)


@settings(max_examples=40, deadline=None)
@given(st.lists(catches(), max_size=8))
def test_report_rows_hold_every_animal_once_and_add_up_to_captured(animals):
    permit = permit_named("a")
    take = Take(Account(HAULS, tuple(animals)), (permit,), pack())
    rows = report_rows(take, permit, YEAR, AFTER)
    assert sum(row["n_encountered"] for row in rows) == sum(row.n for row in animals)
    for row in rows:
        parts = ("n_released_alive", "n_released_in_net", "n_retained_alive", "n_retained_dead")
        dead = ("n_killed_not_kept", "n_died_released", "n_died_retained", "n_unaccounted")
        assert row["n_captured"] == sum(row[name] for name in (*parts, *dead))
    by_fate = Counter()
    for row in animals:
        by_fate[row.fate.value] += row.n
    reported = Counter()
    for row in rows:
        if row["disposition_code"]:
            reported[row["disposition_code"]] += row["n_encountered"]
    assert reported == by_fate


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_a_name_is_certain_inside_possible_across_and_nothing_outside(data):
    names = pack()
    keys = sorted(names.taxa)
    members = tuple(data.draw(st.lists(st.sampled_from(keys), min_size=1, max_size=5, unique=True)))
    exclude = tuple(data.draw(st.lists(st.sampled_from(keys), max_size=2, unique=True)))
    name = data.draw(st.sampled_from(keys))
    stands_for = names.species_of(name)
    means = frozenset().union(*(names.species_of(key) for key in members))
    means -= frozenset().union(*(names.species_of(key) for key in exclude))
    answer = Scoper(names).by_taxon(Scope(taxa=members, exclude=exclude), name)
    expected = Meant.NOT
    if stands_for & means:
        expected = Meant.CERTAINLY if stands_for <= means else Meant.POSSIBLY
    assert answer is expected


@settings(max_examples=40, deadline=None)
@given(st.lists(catches(), max_size=8), catches())
def test_certain_counts_never_fall_and_the_worst_case_never_lies_below_them(animals, more):
    permit = permit_named("a")
    before, after = counts(animals, permit), counts([*animals, more], permit)
    for key, (n, possible, d, d_worst, _, _) in before.items():
        assert after[key][0] >= n
        assert after[key][0] + after[key][1] >= n + possible
        assert d is None or d_worst >= d
