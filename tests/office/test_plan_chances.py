"""Chances of overstepping a clause: which hauls they stand on, and what each kind of clause makes of them."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from fractions import Fraction

import numpy as np
import pytest

from haulbook.custody.facts import Account, Animals, Haul
from haulbook.custody.fates import Basis, Fate
from haulbook.custody.when import When
from haulbook.office.planning.catch import comparable, counted
from haulbook.office.planning.chances import Forecast, chance_reasons, most_overall
from haulbook.permit.headroom import headroom
from haulbook.permit.model import Clause, Period, Permit, Scope, Source
from haulbook.permit.take import Take
from haulbook.taxa import load_pack

PACK = load_pack("nwatlantic")
BEGIN = datetime(2027, 1, 1, tzinfo=UTC)
LIMIT = Clause(
    permit="X", id="1", version=1, effective_from=BEGIN, kind="limit", basis=Basis.CAPTURED, limit=100,
    source=Source("At most one hundred.", page=1), scope=Scope(everything=True), confirmed_by=("p1", "p2"),
)  # fmt: skip


def permit(*clauses: Clause) -> Permit:
    return Permit(
        no="X", holder="invented", zone="UTC", valid_from=BEGIN, valid_to=datetime(2028, 1, 1, tzinfo=UTC),
        ends_on=date(2027, 12, 31), year_start=(1, 1), people=("p1",), clauses=clauses,
    )  # fmt: skip


def haul(i, *, month=5, **changes) -> Haul:
    when = When(f"2026-{month:02d}-{i + 1:02d}T08:00:00Z")
    outing = f"2026-{month:02d}-{i + 1:02d}-a"
    return Haul(key=f"{outing}/1", outing=outing, site="cove", net="n1", condition=1, landed=when, **changes)


def animals(of: Haul, n: int, taxon="cunner", fate=Fate.RELEASED_ALIVE) -> Animals:
    return Animals(of.key, taxon, n, fate, "back", of.landed)


HAULS = [haul(i) for i in range(12)]


def forecast(*lots, clauses=(LIMIT,), hauls=HAULS, seed=3):
    take = Take(Account(tuple(hauls), tuple(lots)), (permit(*clauses),), PACK)
    return Forecast(take, hauls, np.random.default_rng(seed)), take


def chances(made, take):
    at = datetime(2027, 5, 20, tzinfo=UTC)
    return made.chances(headroom(take, at, "2027-05-20-a"), ("X",), at)


def each(n, taxon="cunner", **how):
    return [animals(one, n + i % 3, taxon, **how) for i, one in enumerate(HAULS)]


def test_comparable_is_the_same_site_and_net_near_the_month_and_not_failed():
    hauls = [
        haul(1),
        haul(2, month=4),
        haul(3, month=6),
        haul(4, month=7),
        replace(haul(5), site="elsewhere"),
        replace(haul(6), net="n2"),
        replace(haul(7), condition=4),
        replace(haul(8), landed=None),
        replace(haul(9), landed=When("2026")),
        replace(haul(10), condition=5),
    ]
    assert comparable(hauls, "cove", {"n1"}, 5) == (hauls[0], hauls[1], hauls[2], hauls[9])


def test_january_stands_beside_december():
    assert comparable([haul(1, month=12)], "cove", {"n1"}, 1)


def test_with_nine_comparable_hauls_no_probability_is_given_and_with_ten_it_is():
    nine, take = forecast(*each(20)[:9], hauls=HAULS[:9])
    assert not nine.enough
    assert chances(nine, take) == ()
    ten, take = forecast(*each(20)[:10], hauls=HAULS[:10])
    assert ten.enough
    assert chances(ten, take)


def test_a_limit_is_overstepped_once_the_hauls_together_pass_what_is_left():
    (chance,) = chances(*forecast(*each(20)))  # 20 to 22 animals a haul, hardly any clumping
    assert chance.left == 100
    assert chance.by_hauls == tuple(sorted(chance.by_hauls))
    assert chance.after(3) < 0.05 < 0.9 < chance.after(6)
    assert chance.most == 3
    assert chance.seen == 12 * 21


def test_what_was_taken_this_period_leaves_less_room():
    of_this_year = Haul(
        "2027-05-02-a/1", "2027-05-02-a", site="cove", net="n1", landed=When("2027-05-02T08:00:00Z")
    )
    (chance,) = chances(*forecast(*each(20), animals(of_this_year, 80), hauls=[*HAULS, of_this_year]))
    assert chance.left == 20
    assert chance.most == 0


def test_a_limit_a_haul_looks_at_each_haul_alone():
    clause = replace(LIMIT, period=Period.HAUL, limit=30)
    (chance,) = chances(*forecast(*each(20), clauses=(clause,)))
    assert chance.left == 30
    assert 0.02 < chance.after(1) < 0.2
    assert chance.after(2) < 0.4  # two hauls of 21 animals together would pass 30 for certain


def test_a_percentage_is_overstepped_only_from_its_least_number_on():
    clause = replace(
        LIMIT, kind="percent", basis=Basis.DIED, percent=Fraction(5), of=Basis.CAPTURED, limit=None, min_n=40,
        period=Period.OUTING,
    )  # fmt: skip
    deaths = [animals(one, 3, fate=Fate.DIED_RELEASED) for one in HAULS]
    (chance,) = chances(*forecast(*each(17), *deaths, clauses=(clause,)))  # 3 of some 21: far above 5 %
    assert chance.left is None
    assert chance.after(1) < 0.01  # fewer than 40 animals
    assert chance.after(3) > 0.9


def test_of_several_kinds_the_worse_of_kinds_apart_and_all_together_is_said():
    # Two kinds that always come together: drawn apart they would even out, in the net they do not.
    numbers = [40 if i % 4 == 0 else 1 for i in range(12)]
    apart = [
        animals(one, n, kind) for one, n in zip(HAULS, numbers, strict=True) for kind in ("cunner", "tautog")
    ]
    merged = [animals(one, 2 * n) for one, n in zip(HAULS, numbers, strict=True)]
    two, one = (chances(*forecast(*lots))[0].after(1) for lots in (apart, merged))
    assert two == pytest.approx(one, abs=0.02)


def test_what_people_decide_is_shown_and_limits_nothing():
    clause = replace(LIMIT, basis=Basis.RETAINED, limit=4)
    kept = [animals(one, 3, fate=Fate.RETAINED_ALIVE) for one in HAULS]
    made, take = forecast(*kept, clauses=(clause,))
    found = chances(made, take)
    assert found[0].of_choice
    assert found[0].after(3) > 0.9
    assert list(chance_reasons(found, take, 3)) == []
    assert most_overall(found) is None


def test_a_likely_breach_is_a_limit_with_the_number_the_most_hauls_and_the_clause():
    made, take = forecast(*each(40))
    (reason,) = chance_reasons(chances(made, take), take, 3)
    assert reason.weight == "limit"
    assert "with 3 hauls the chance to overstep it is" in reason.message
    assert "at most 1 keeps it below 5 %" in reason.message
    assert "At most one hundred." in reason.quote


def test_a_clause_without_a_number_or_on_samples_has_no_chance():
    clauses = (replace(LIMIT, limit=None), replace(LIMIT, id="2", basis=Basis.SAMPLED))
    assert chances(*forecast(*each(20), clauses=clauses)) == ()


def test_a_name_that_may_be_meant_counts_as_the_worst_case():
    clause = replace(LIMIT, scope=Scope(taxa=("grubby",)))
    take = Take(Account(tuple(HAULS), tuple(each(2, "cottidae"))), (permit(clause),), PACK)
    series = counted(take, take.permits[0], clause, HAULS, Basis.CAPTURED)
    assert sum(series["cottidae"]) == sum(2 + i % 3 for i in range(12))
