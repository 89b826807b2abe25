"""Which animals a clause counts, how surely, and in which period (A4.2, A4.3; permits and catches invented)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from fractions import Fraction

import pytest

from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.permit.detail import ReportRule
from haulbook.permit.model import ChargeTo, Period, Scope, Source
from haulbook.permit.papers import report_due
from haulbook.permit.scope import Meant, Scoper
from haulbook.permit.status import Status

NOON = datetime.fromisoformat("2024-06-04T12:00:00-07:00")


def only(permit, *ids, **changes):
    return replace(
        permit, clauses=tuple(replace(clause, **changes) for clause in permit.clauses if clause.id in ids)
    )


def test_a_percentage_of_nothing_is_pending_and_leaves_no_number(facts, look, permit_a):
    permit = only(permit_a, "A5", min_n=0)
    (a5,) = look(facts.account(), permit).states.current(permit, NOON, "o", None)
    assert (a5.n, a5.d, a5.status, a5.remaining, a5.over) == (0, 0, Status.PENDING, None, 0)
    facts.haul("o/1")
    facts.add("o/1", 9, "shiner-perch", Fate.DIED_RELEASED)
    a5 = look(facts.account(), permit).of("A5")
    assert (a5.status, a5.remaining, a5.over) == (Status.EXCEEDED, None, 0), (
        "percent has no remaining (rule 6)"
    )


def test_a_clause_without_a_number_can_not_be_exceeded(facts, look, permit_a):
    facts.haul("o/1")
    facts.add("o/1", 5000, "eelgrass", Fate.RETAINED_ALIVE, unit="blade")
    a8 = look(facts.account(), permit_a).of("A8")
    assert (a8.n, a8.status, a8.remaining, a8.over) == (5000, Status.OPEN, None, 0)


def test_in_the_worst_case_only_the_dead_of_the_unnamed_join_the_denominator(facts, look, permit_a):
    facts.haul("o/1")
    facts.add("o/1", 40, "shiner-perch")
    facts.add("o/1", 1, "shiner-perch", Fate.DIED_RELEASED)
    facts.add("o/1", 10, "?wee fish")
    facts.add("o/1", 2, "?wee fish", Fate.DIED_RELEASED)
    a5 = look(facts.account(), permit_a).of("A5")
    assert (a5.n, a5.possible, a5.d, a5.d_worst) == (1, 2, 41, 43)
    assert a5.status is Status.OPEN
    assert a5.worst is Status.EXCEEDED, "3 of 43; with the ten that were let go it would be 3 of 53"


@pytest.mark.parametrize(
    ("window_h", "landed", "died", "counted"),
    [
        (0, "2024-06-04T10:00:00-07:00", "2024-06-04T10:00:00-07:00", (0, 0)),
        (0, "2024-06-04", "2024-06-04", (0, 0)),
        (1, "2024-06-04T10:00:00-07:00", "2024-06-04T10:30:00-07:00", (1, 0)),
        (1, "2024-06-04T10:00:00-07:00", "2024-06-04T11:00:01-07:00", (0, 0)),
        (48, "2024-06-04T10:00:00-07:00", "2024-06-06", (0, 1)),
        (48, "2024-06-04T10:00:00-07:00", "2024-06-07", (0, 0)),
    ],
)
def test_later_deaths_count_within_the_window_and_0_hours_mean_the_beach_alone(
    facts, look, permit_a, window_h, landed, died, counted
):
    permit = only(permit_a, "A6c", mortality_window_h=Fraction(window_h))
    facts.haul("o/1", landed)
    facts.add("o/1", 1, "chum-salmon", Fate.RETAINED_ALIVE, later=[("died", died)])
    found = look(facts.account(), permit).by
    assert (found["A6c"].n, found["A6c"].possible) == counted if "A6c" in found else counted == (0, 0)


def test_an_animal_is_counted_on_the_day_of_its_landing_not_of_its_call(facts, look, permit_a):
    facts.haul("o/1", "2024-06-04T23:50:00-07:00")
    facts.add("o/1", 3, "shiner-perch", called=When("2024-06-05T00:20:00-07:00"))
    assert look(facts.account(), permit_a).of("A4").key.label == "2024-06-04", "rule 5: landed_at"


def test_without_a_landing_the_set_and_else_the_end_of_the_haul_dates_it(facts, look, permit_a):
    set_only = replace(facts.haul("o/1"), landed=None, started=When("2024-06-03T23:50:00-07:00"))
    end_only = replace(set_only, key="o/2", started=None, ended=When("2024-06-05T08:00:00-07:00"))
    called = When("2024-06-07T08:00:00-07:00")
    facts.hauls[:] = [set_only, end_only]
    facts.add("o/1", 1, "shiner-perch", called=called)
    facts.add("o/2", 2, "shiner-perch", called=called)
    facts.add("o/3", 4, "shiner-perch", called=called)
    days = {
        state.key.label: state.n for state in look(facts.account(), permit_a).all if state.clause.id == "A4"
    }
    assert days == {"2024-06-03": 1, "2024-06-05": 2, "2024-06-07": 4}, "with no haul line, the call dates it"


def test_a_month_alone_may_be_any_of_its_days_and_no_other(facts, look, permit_a):
    facts.haul("o/1", "2024-06")
    facts.add("o/1", 3, "shiner-perch")
    days = [state.key.label for state in look(facts.account(), permit_a).all if state.clause.id == "A4"]
    assert days == [f"2024-06-{day:02d}" for day in range(1, 31)]


def test_on_a_sheet_without_clock_times_a_mark_of_the_same_day_is_known_again(facts, look, permit_a):
    once = only(permit_a, "A4", recaptures="once")
    facts.haul("o/1", "2024-06-04")
    facts.haul("o/2", "2024-06-04")
    facts.add("o/1", 30, "shiner-perch", mark="new fin")
    facts.add("o/2", 12, "shiner-perch")
    facts.add("o/2", 6, "shiner-perch", mark="fin")
    assert look(facts.account(), once).of("A4").n == 42, "worked case 3"


def test_the_purpose_of_the_outing_decides_where_a_permit_splits_by_it(facts, pack):
    haul = facts.haul("o/1")
    scope = Scope(taxa=("chinook-salmon",), purpose="teaching")

    def meant(**purposes):
        return Scoper(pack, purposes).meant(scope, facts.row("o/1", 1, "chinook-salmon"), haul)

    assert (meant(o="teaching"), meant(o="research"), meant(p="teaching")) == (
        Meant.CERTAINLY,
        Meant.NOT,
        Meant.POSSIBLY,
    )


def test_a_doubtful_name_may_be_another_species_where_a_sure_one_is_not(facts, look, permit_a):
    permit = only(permit_a, "A3", scope=Scope(taxa=("buffalo-sculpin",)))
    facts.haul("o/1")
    facts.add("o/1", 3, "pacific-staghorn-sculpin", Fate.RETAINED_ALIVE)
    facts.add("o/1", 2, "pacific-staghorn-sculpin", Fate.RETAINED_ALIVE, doubt="name")
    a3 = look(facts.account(), permit).of("A3")
    assert (a3.n, a3.possible) == (0, 2)


def test_a_clause_takes_animals_out_of_another_only_while_it_is_in_force(facts, look, permit_a):
    since = datetime.fromisoformat("2024-08-01T00:00:00-07:00")
    permit = replace(
        permit_a,
        clauses=tuple(
            replace(c, instead_of=("A2",), effective_from=since) if c.id == "A3" else c
            for c in permit_a.clauses
        ),
    )
    facts.haul("o/1")
    facts.haul("p/1", "2024-08-04T09:00:00-07:00")
    facts.add("o/1", 3, "pacific-staghorn-sculpin", Fate.RETAINED_ALIVE)
    facts.add("p/1", 2, "pacific-staghorn-sculpin", Fate.RETAINED_ALIVE)
    assert look(facts.account(), permit).of("A2").n == 3


def test_one_clause_of_the_other_permit_is_enough_to_charge_an_animal_there(facts, look, permit_a, permit_b):
    lets = replace(permit_a, charge_to=ChargeTo("B", Source("Animals under permit B go there. (invented)")))
    herring = replace(permit_b.clauses[0], id="B3", scope=Scope(taxa=("pacific-herring",)))
    facts.haul("o/1")
    facts.add("o/1", 3, "chinook-salmon", stage="young")
    facts.add("o/1", 2, "coho-salmon", stage="young")
    seen = look(facts.account(), lets, replace(permit_b, clauses=(*permit_b.clauses, herring)))
    assert (seen.of("A6b").n, seen.of("B1").n) == (2, 3)


def test_a_yearly_report_of_a_permit_of_several_years_is_due_after_each_year(permit_a):
    """31 March for the past calendar year: 50 CFR 13.45; the latest day is the permit's own end."""
    (clause,) = [clause for clause in permit_a.clauses if clause.id == "A12"]
    zone = permit_a.tz
    permit = replace(
        permit_a,
        valid_from=datetime(2024, 4, 1, tzinfo=zone),
        valid_to=datetime(2026, 7, 1, tzinfo=zone),
        ends_on=date(2026, 6, 30),
    )

    def due(detail, on, period=Period.CALENDAR_YEAR):
        return report_due(permit, replace(clause, detail=detail, period=period), on)[1]

    march, days = ReportRule(month_day=(3, 31)), ReportRule(days_after_end=30)
    assert due(march, date(2024, 6, 4)) == date(2025, 3, 31)
    assert due(days, date(2024, 6, 4)) == date(2025, 1, 30)
    assert due(days, date(2026, 6, 4)) == date(2026, 7, 30), "the permit ends before the year does"
    assert due(days, date(2024, 6, 4), Period.PERMIT_LIFE) == date(2026, 7, 30)
