"""What is said before an animal is put in the keep bucket (A4.3 rules 2, 6, 8-10, 16; permits invented)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from haulbook.custody.facts import Paper
from haulbook.custody.fates import Basis, Fate
from haulbook.custody.when import When
from haulbook.permit.call import Level, Step, at_call, held_stops
from haulbook.permit.detail import HoldingRule
from haulbook.permit.follow import duties
from haulbook.permit.headroom import headroom, left_for
from haulbook.permit.model import Consequence, Period, Stop
from haulbook.permit.scope import Meant
from haulbook.permit.state import States
from haulbook.permit.status import Status
from haulbook.permit.take import Take

NOW = datetime.fromisoformat("2024-06-04T10:00:00-07:00")


def changed(permit, clause_id, **changes):
    clauses = tuple(replace(c, **changes) if c.id == clause_id else c for c in permit.clauses)
    return replace(permit, clauses=clauses)


@pytest.fixture
def ask(facts, pack):
    def asking(permit, n, taxon, fate=Fate.RETAINED_ALIVE, haul="o/1", **more):
        take = Take(facts.account(), (permit,), pack)
        return at_call(take, Step(facts.row(haul, n, taxon, fate, **more)), NOW)

    return asking


def test_a_call_within_every_limit_is_ok_and_says_how_many_are_left(facts, ask, permit_a):
    facts.haul("o/1")
    answer = ask(permit_a, 1, "bay-pipefish")
    assert (answer.level, answer.may, answer.release_now) == (Level.OK, 1, False)
    assert {line.clause: line.message for line in answer.lines} == {
        "A1": "clause A1: 1 of 12 retained per permit year: open",
        "A1b": "clause A1b: 1 of 4 retained per outing: open",
        "A4": "clause A4: 1 of 600 captured per day: open",
    }
    assert answer.left == 3, "of 4 an outing; the least of all clauses that it raises (rule 1)"
    blades = ask(permit_a, 5, "eelgrass", unit="blade")
    assert (blades.level, blades.left) == (Level.OK, None), "allowed without a number"


def test_a_limit_of_each_haul_begins_anew_with_the_next(facts, ask, permit_a, pack):
    permit = changed(permit_a, "A1b", period=Period.HAUL)
    facts.haul("o/1", "2024-06-04T09:36:00-07:00")
    facts.haul("o/2", "2024-06-04T10:36:00-07:00")
    facts.add("o/1", 4, "bay-pipefish", Fate.RETAINED_ALIVE)
    said = {line.clause: line for line in ask(permit, 1, "bay-pipefish", haul="o/1").lines}
    assert (said["A1b"].level, said["A1b"].may) == (Level.BLOCK, 0)
    said = {line.clause: line for line in ask(permit, 1, "bay-pipefish", haul="o/2").lines}
    assert said["A1b"].message == "clause A1b: 1 of 4 retained per haul: open"
    take = Take(facts.account(), (permit,), pack)
    ids = [room.state.clause.id for room in headroom(take, NOW, "o", "o/1")]
    unnamed = [room.state.clause.id for room in headroom(take, NOW, "o")]
    assert "A1b" in ids
    assert "A1b" not in unnamed, "no haul is named, so none runs"


def test_past_the_limit_not_one_more_may_be_kept(facts, ask, permit_a):
    facts.haul("o/1")
    facts.add("o/1", 6, "bay-pipefish", Fate.RETAINED_ALIVE)
    answer = ask(permit_a, 3, "bay-pipefish")
    (line,) = [line for line in answer.lines if line.clause == "A1b"]
    assert (line.level, line.may, answer.may, answer.left) == (Level.BLOCK, 0, 0, 0)


def test_a_lost_animal_may_be_dead_so_it_asks_where_a_dead_one_warns(facts, ask, permit_a):
    facts.haul("o/1")
    facts.add("o/1", 77, "shiner-perch")
    facts.add("o/1", 5, "shiner-perch", Fate.DIED_RELEASED)
    dead = {line.clause: line for line in ask(permit_a, 1, "shiner-perch", Fate.DIED_RELEASED).lines}
    assert (dead["A5"].level, dead["A5"].provisional) == (Level.WARN, True)
    assert dead["A5"].message == "clause A5: 6 died of 83 captured: exceeded"
    lost = {line.clause: line for line in ask(permit_a, 1, "shiner-perch", Fate.FATE_UNKNOWN).lines}
    assert lost["A5"].level is Level.ASK
    assert "6 if all that is possible counts" in lost["A5"].message


def test_nothing_is_kept_after_the_last_day_of_the_right_to_hold(facts, ask, permit_a):
    def until(day):
        return changed(permit_a, "A13", detail=HoldingRule(until=date.fromisoformat(day)))

    facts.haul("o/1", "2024-06-04T23:30:00-07:00")
    facts.haul("o/2", "2024-06-05T00:00:00-07:00")
    assert ask(until("2024-06-04"), 1, "bay-pipefish", haul="o/1").level is Level.OK
    answer = ask(until("2024-06-04"), 1, "bay-pipefish", haul="o/2")
    assert (answer.level, answer.may) == (Level.BLOCK, 0)
    assert answer.lines[0].message == "clause A13: animals may be held until 4 June 2024"
    assert "No organism that has left the beach may be released" in answer.lines[0].quote
    assert ask(until("2024-06-04"), 1, "bay-pipefish", Fate.RELEASED_ALIVE, haul="o/2").level is Level.OK


def test_what_is_prohibited_has_nothing_left_and_names_the_clause_that_says_so(facts, permit_a, pack):
    facts.haul("o/1")
    states = States(Take(facts.account(), (permit_a,), pack))
    left = left_for(states, facts.row("o/1", 1, "coho-salmon"), Basis.RETAINED, NOW)
    assert (left.n, left.by.clause.id, left.by.status, left.allowed) == (
        0,
        "A6a",
        Status.CLOSED,
        Meant.NOT,
    )


def test_a_stop_of_the_outing_forbids_its_next_set_and_no_other_outing(facts, permit_a, pack):
    permit = changed(permit_a, "A6c", on_reach=Consequence(Stop.OUTING))
    facts.haul("o/1", "2024-06-04T09:36:00-07:00")
    facts.haul("p/1", "2024-06-05T09:36:00-07:00")
    facts.add("o/1", 1, "chum-salmon", Fate.DIED_RELEASED)
    facts.add("p/1", 1, "?wee fish", Fate.DIED_RELEASED)
    take = Take(facts.account(), (permit,), pack)
    later = datetime.fromisoformat("2024-06-05T10:00:00-07:00")
    assert [(stop.stop, stop.outing, stop.haul) for stop in held_stops(take, later, "o")] == [
        (Stop.OUTING, "o", "o/1")
    ]
    assert held_stops(take, later, "p") == [], "an animal that may be a salmon stops nothing (rule 10)"


def test_a_stop_is_cleared_by_a_paper_about_that_clause_alone(facts, permit_a, pack):
    permit = changed(permit_a, "A6c", on_reach=Consequence(Stop.PERMIT))
    facts.haul("o/1")
    facts.add("o/1", 1, "chum-salmon", Fate.DIED_RELEASED)
    take = Take(facts.account(), (permit,), pack)
    later = datetime.fromisoformat("2024-07-04T10:00:00-07:00")

    def held(clause, no="A"):
        paper = Paper(no, "cleared", When("2024-06-20T10:00:00-07:00"), "p1", "e", clause)
        return len(held_stops(take, later, "p", [paper]))

    assert (held("A6c"), held("A6b"), held("A6c", "B")) == (0, 1, 1)


@pytest.mark.parametrize(
    ("clock_from", "since"),
    [("landed_at", "2024-06-04T09:36:00-07:00"), ("event", "2024-06-05T15:36:00-07:00")],
)
def test_the_clock_of_a_duty_runs_from_the_landing_unless_the_clause_says_the_event(
    facts, look, permit_a, clock_from, since
):
    rule = Consequence(notify="the agency", within_h=24, written_within_d=14, clock_from=clock_from)
    permit = changed(permit_a, "A6c", on_reach=rule)
    facts.haul("o/1", "2024-06-04T09:36:00-07:00")
    facts.add("o/1", 1, "chum-salmon", Fate.RETAINED_ALIVE, later=[("died", "2024-06-05T15:36:00-07:00")])
    seen = look(facts.account(), permit)
    (duty,) = [duty for duty in duties(seen.take, permit, seen.all) if duty.clause == "A6c"]
    assert duty.since == datetime.fromisoformat(since)
    assert (duty.by - duty.since).total_seconds() == 24 * 3600
    assert (duty.written_by - duty.since.date()).days == 14


def test_who_is_told_of_an_exceedance_is_told_of_the_haul_that_went_above(facts, look, permit_a):
    permit = changed(permit_a, "A6c", limit=2, on_exceed=Consequence(notify="the agency", within_h=24))
    for i, n in enumerate((2, 1, 1), 1):
        facts.haul(f"o/{i}", f"2024-06-04T{9 + i:02d}:36:00-07:00")
        facts.add(f"o/{i}", n, "chum-salmon", Fate.DIED_RELEASED)
    seen = look(facts.account(), permit)
    (duty,) = [duty for duty in duties(seen.take, permit, seen.all) if duty.clause == "A6c"]
    assert (duty.haul, duty.why) == ("o/2", "limit exceeded")


def test_the_clock_of_a_percentage_runs_from_the_haul_that_exceeded_it_not_from_the_last_death(
    facts, look, permit_a
):
    permit = changed(permit_a, "A5", on_exceed=Consequence(notify="the agency", within_h=24))
    for i, (lived, died) in enumerate(((38, 1), (40, 4), (30, 0), (30, 9)), 1):
        facts.haul(f"o/{i}", f"2024-06-04T{9 + i:02d}:36:00-07:00")
        facts.add(f"o/{i}", lived, "shiner-perch")
        if died:
            facts.add(f"o/{i}", died, "shiner-perch", Fate.DIED_RELEASED)
    seen = look(facts.account(), permit)
    (duty,) = [duty for duty in duties(seen.take, permit, seen.all) if duty.clause == "A5"]
    assert (duty.haul, duty.since) == ("o/2", datetime.fromisoformat("2024-06-04T11:36:00-07:00")), "5 of 83"


def test_after_an_amendment_that_lowers_a_limit_the_clock_runs_from_what_came_later(facts, look, permit_a):
    (old,) = [clause for clause in permit_a.clauses if clause.id == "A6c"]
    since = datetime.fromisoformat("2024-08-01T00:00:00-07:00")
    told = Consequence(notify="the agency", within_h=24)
    first = replace(old, limit=5, effective_to=since)
    lowered = replace(old, limit=1, version=2, effective_from=since, on_exceed=told)
    others = tuple(clause for clause in permit_a.clauses if clause.id != "A6c")
    permit = replace(permit_a, clauses=(*others, first, lowered))
    facts.haul("o/1")
    facts.haul("p/1", "2024-08-04T09:00:00-07:00")
    facts.add("o/1", 3, "chum-salmon", Fate.DIED_RELEASED)
    facts.add("p/1", 1, "chum-salmon", Fate.DIED_RELEASED)
    seen = look(facts.account(), permit)
    (duty,) = [duty for duty in duties(seen.take, permit, seen.all) if duty.clause == "A6c"]
    assert (duty.haul, duty.version) == ("p/1", 2), "the three of June exceeded nothing (rule 13)"
