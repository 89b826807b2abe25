"""The twelve worked cases of the permit language, number for number (A4.5 of its reference; invented)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from haulbook.custody.facts import Paper
from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.permit.call import Level, Step, at_call
from haulbook.permit.delta import report_delta
from haulbook.permit.filing import for_report
from haulbook.permit.follow import duties, stops
from haulbook.permit.going import before_going
from haulbook.permit.grounds import Span
from haulbook.permit.model import Stop
from haulbook.permit.papers import report_due
from haulbook.permit.plan import Going, PlannedHaul
from haulbook.permit.rows import report_rows
from haulbook.permit.state import States
from haulbook.permit.status import Status
from haulbook.permit.take import Take

YEAR = Span(date(2024, 4, 1), date(2025, 3, 31))
AFTER = datetime.fromisoformat("2025-04-10T12:00:00-07:00")


def at(text):
    return datetime.fromisoformat(text)


def of_kind(filing, kind):
    return [finding for finding in filing.findings if finding.kind == kind]


def test_case_1_an_unidentified_sculpin_counts_in_the_group_perhaps_in_the_species(
    facts, look, permit_a, pack
):
    facts.haul("o/1")
    facts.add("o/1", 3, "pacific-staghorn-sculpin", Fate.RETAINED_ALIVE)
    take = Take(facts.account(), (permit_a,), pack)
    unnamed = facts.row("o/1", 2, "cottidae", Fate.RETAINED_ALIVE)
    answer = at_call(take, Step(unnamed), at("2024-06-04T09:50:00-07:00"))
    said = {line.clause: line for line in answer.lines}
    assert said["A3"].level is Level.ASK
    assert "5 if all that is possible counts: name it, measure it or release it" in said["A3"].message
    assert answer.may == 2

    facts.animals.append(unnamed)
    seen = look(facts.account(), permit_a)
    assert (seen.of("A2").n, seen.of("A2").status, seen.of("A2").remaining) == (5, Status.OPEN, 5)
    a3 = seen.of("A3")
    assert (a3.n, a3.remaining, a3.status) == (3, 1, Status.OPEN)
    assert (a3.possible, a3.worst_n, a3.worst) == (2, 5, Status.EXCEEDED)

    facts.animals[-1] = replace(unnamed, fate=Fate.RELEASED_ALIVE, place="back")
    seen = look(facts.account(), permit_a)
    assert (seen.of("A2").n, seen.of("A3").n, seen.of("A4").n) == (3, 3, 5)


def test_case_2_handled_and_retained_are_one_animal(facts, look, permit_a, pack):
    facts.haul("o/1")
    facts.add("o/1", 4, "bay-pipefish", Fate.RETAINED_ALIVE)
    left = facts.add("o/1", 16, "bay-pipefish")
    seen = look(facts.account(), permit_a)
    assert (seen.of("A1b").n, seen.of("A1b").status) == (4, Status.REACHED)
    a1 = next(state for state in seen.all if state.clause.id == "A1" and state.clause.version == 1)
    assert (a1.n, a1.remaining) == (4, 8)

    fifth = replace(left, n=1, fate=Fate.RETAINED_ALIVE, place="bucket 1")
    answer = at_call(seen.take, Step(fifth, left), at("2024-06-04T09:50:00-07:00"))
    assert [(line.clause, line.may) for line in answer.lines if line.level is Level.BLOCK] == [("A1b", 0)]
    assert "No more than 4 of these on any one outing" in answer.lines[0].quote
    assert "A4" not in {line.clause for line in answer.lines}, "keeping is no second capture (rule 9)"

    rows = report_rows(seen.take, permit_a, YEAR, AFTER)
    totals = {
        name: sum(row[name] for row in rows)
        for name in ("n_captured", "n_handled", "n_retained_alive", "n_released_alive")
    }
    assert totals == {"n_captured": 20, "n_handled": 20, "n_retained_alive": 4, "n_released_alive": 16}


@pytest.mark.parametrize(("recaptures", "expected"), [("each", 48), ("once", 42)])
def test_case_3_a_recapture_counts_each_time_or_once(facts, look, permit_a, recaptures, expected):
    facts.haul("o/1", "2024-06-04T09:36:00-07:00")
    facts.haul("o/2", "2024-06-04T10:30:00-07:00")
    facts.add("o/1", 30, "shiner-perch", mark="new fin")
    facts.add("o/2", 12, "shiner-perch")
    facts.add("o/2", 6, "shiner-perch", mark="fin")
    changed = tuple(replace(c, recaptures=recaptures) if c.id == "A4" else c for c in permit_a.clauses)
    seen = look(facts.account(), replace(permit_a, clauses=changed))
    assert seen.of("A4").n == expected


def test_case_4_eggs_on_blades_have_a_unit_of_their_own(facts, look, permit_a, pack):
    facts.haul("o/1")
    facts.add("o/1", 20, "eelgrass", Fate.RETAINED_ALIVE, unit="blade")
    eggs = facts.add("o/1", 1, "pacific-herring", Fate.RETAINED_ALIVE, unit="egg_mass", stage="egg mass")
    seen = look(facts.account(), permit_a)
    assert (seen.of("A7").n, seen.of("A7").status) == (1, Status.EXCEEDED)
    assert (seen.of("A8").n, seen.of("A8").status) == (20, Status.OPEN)
    assert "A4" not in seen.by, "no fish was captured"

    facts.animals.remove(eggs)
    take = Take(facts.account(), (permit_a,), pack)
    answer = at_call(take, Step(eggs), at("2024-06-04T10:00:00-07:00"))
    assert answer.level is Level.BLOCK
    assert answer.release_now

    facts.add("o/1", 1, "pacific-herring", Fate.RELEASED_ALIVE, unit="egg_mass", stage="egg mass")
    states = States(Take(facts.account(), (permit_a,), pack))
    now = {
        state.clause.id: state
        for state in states.current(permit_a, at("2024-06-04T12:00:00-07:00"), "o", None)
    }
    assert (now["A7"].n, now["A7"].status) == (0, Status.CLOSED)


def test_case_5_two_permits_are_both_charged(facts, look, permit_a, permit_b):
    facts.haul("o/1", "2024-06-04T09:36:00-07:00")
    facts.add("o/1", 2, "chinook-salmon", stage="young")
    facts.add("o/1", 1, "chinook-salmon", Fate.DIED_RELEASED, stage="young")
    seen = look(facts.account(), permit_a, permit_b)
    counts = {
        key: (seen.of(key).n, seen.of(key).clause.limit, seen.of(key).status)
        for key in ("A6b", "A6c", "B1", "B2")
    }
    assert counts == {
        "A6b": (3, 25, Status.OPEN),
        "A6c": (1, 1, Status.REACHED),
        "B1": (3, 10, Status.OPEN),
        "B2": (1, 1, Status.REACHED),
    }
    now = at("2024-06-04T10:00:00-07:00")
    held = [(stop.stop, stop.state.clause.id) for stop in stops(seen.states, permit_b, now, "o", "o/1", ())]
    assert held == [(Stop.TAXON, "B2")]
    due = [duty for duty in duties(seen.take, permit_a, seen.all) if duty.clause == "A6b"]
    assert [(duty.by, duty.written_by) for duty in due] == [
        (at("2024-06-05T09:36:00-07:00"), date(2024, 6, 18))
    ]
    assert "A6a" not in seen.by, "retained 0"

    fourth = facts.row("o/1", 1, "chinook-salmon", Fate.RETAINED_ALIVE, stage="young")
    answer = at_call(seen.take, Step(fourth), now)
    assert answer.level is Level.BLOCK
    assert answer.release_now
    assert any("keep none, release at once" in line.message for line in answer.lines)


def test_case_6_a_protected_animal_found_late_is_never_relabelled(facts, look, permit_a):
    facts.haul("o/1", "2024-06-04T09:36:00-07:00")
    facts.add("o/1", 30, "shiner-perch")
    late = facts.add("o/1", 1, "chinook-salmon", Fate.RETAINED_ALIVE, stage="young", place="tank q1")
    seen = look(facts.account(), permit_a)
    assert (seen.of("A6b").n, seen.of("A6a").n, seen.of("A6a").status, seen.of("A6a").over) == (
        1,
        1,
        Status.EXCEEDED,
        1,
    )
    filing = for_report(seen.take, permit_a, YEAR, AFTER)
    (prohibited,) = of_kind(filing, "prohibited")
    assert prohibited.clause == "A6a"
    assert prohibited.entries == late.entries
    assert "Tell the agency, hold the animals and wait for its instruction" in prohibited.advice
    assert "No organism that has left the beach may be released" in prohibited.advice
    (tell,) = [finding for finding in of_kind(filing, "tell") if finding.clause == "A6b"]
    assert tell.by == at("2024-06-05T09:36:00-07:00"), "24 h run from the landing, not from the discovery"
    own = [row for row in filing.rows if row["flag"] == "unauthorised"]
    assert [(row["taxon_common"], row["n_retained_alive"], row["n_released_alive"]) for row in own] == [
        ("Chinook salmon", 1, 0)
    ]


def test_case_7_the_year_ends_at_local_midnight(facts, look, permit_a, permit_b, pack):
    facts.haul("o/1", "2024-12-31T23:40:00-08:00", started="2024-12-31T23:30:00-08:00")
    facts.haul("o/2", "2025-01-01T00:20:00-08:00", started="2025-01-01T00:10:00-08:00")
    facts.add("o/1", 2, "chinook-salmon", stage="young")
    facts.add("o/2", 3, "chinook-salmon", stage="young")
    seen = look(facts.account(), permit_b)
    assert [(state.key.label, state.n) for state in seen.all if state.clause.id == "B1"] == [("2024", 2)]

    going = Going(
        outing="o",
        hauls=(
            PlannedHaul(1, at("2024-12-31T23:30:00-08:00"), at("2024-12-31T23:40:00-08:00")),
            PlannedHaul(2, at("2025-01-01T00:10:00-08:00"), at("2025-01-01T00:20:00-08:00")),
        ),
        permits=("B",),
        crew=("p1",),
    )
    before = before_going(
        Take(replace(facts.account(), animals=(), hauls=()), (permit_b,), pack), going, AFTER
    )
    assert before.hauls[2] == "NO-GO"
    assert before.hauls[1] != "NO-GO"

    days = Span(date(2024, 1, 1), date(2025, 12, 31))
    filing = for_report(seen.take, permit_b, days, AFTER)
    assert [(row["haul_no"], row["flag"], row["n_captured"]) for row in filing.rows] == [
        ("1", "normal", 2),
        ("2", "unauthorised", 3),
    ]
    assert [finding.message.split(":")[0] for finding in of_kind(filing, "no-permit")] == ["haul o/2"]
    assert look(facts.account(), permit_a).of("A6b").n == 5


def test_case_8_an_amendment_counts_what_came_before_it(facts, look, permit_a, pack):
    for i, (day, n) in enumerate([("2024-06-04", 4), ("2024-07-04", 4), ("2024-08-13", 3)]):
        facts.haul(f"o{i}/1", f"{day}T09:00:00-07:00")
        facts.add(f"o{i}/1", n, "bay-pipefish", Fate.RETAINED_ALIVE)
    facts.haul("o14/1", "2024-08-14T09:00:00-07:00")

    def ask(outing, n, now):
        take = Take(facts.account(), (permit_a,), pack)
        return at_call(take, Step(facts.row(f"{outing}/1", n, "bay-pipefish", Fate.RETAINED_ALIVE)), at(now))

    def a1(answer):
        return next(line for line in answer.lines if line.clause == "A1")

    first = a1(ask("o14", 1, "2024-08-14T09:10:00-07:00"))
    assert (first.level, first.state.n, first.state.status) == (Level.NOTICE, 12, Status.REACHED)
    facts.add("o14/1", 1, "bay-pipefish", Fate.RETAINED_ALIVE)
    second = a1(ask("o14", 1, "2024-08-14T09:11:00-07:00"))
    assert (second.level, second.may, second.state.clause.version) == (Level.BLOCK, 0, 1)

    facts.haul("o16/1", "2024-08-16T09:00:00-07:00")
    six = ask("o16", 6, "2024-08-16T09:10:00-07:00")
    assert six.may == 4
    assert [line.clause for line in six.lines if line.level is Level.BLOCK] == ["A1b"]
    facts.add("o16/1", 4, "bay-pipefish", Fate.RETAINED_ALIVE)
    seen = look(facts.account(), permit_a)
    assert (seen.of("A1").clause.version, seen.of("A1").n, seen.of("A1").remaining, seen.of("A1").status) == (
        2,
        16,
        4,
        Status.NEAR,
    )
    old = next(state for state in seen.all if state.clause.id == "A1" and state.clause.version == 1)
    assert (old.n, old.status) == (12, Status.REACHED), "the block of 14 August stays right in the history"


def test_case_9_a_correction_after_the_report_amends_it(facts, permit_a, pack):
    for i in range(4):
        facts.haul(f"o{i}/1", f"2024-{('05', '06', '09', '10')[i]}-04T09:00:00-07:00")
        facts.add(f"o{i}/1", (4, 4, 3, 3)[i], "bay-pipefish", Fate.RETAINED_ALIVE)
    old = report_rows(Take(facts.account(), (permit_a,), pack), permit_a, YEAR, AFTER)
    facts.animals[-1] = replace(facts.animals[-1], n=2)
    facts.add("o3/1", 1, "tube-snout", Fate.RETAINED_ALIVE, entries=("correction",))
    take = Take(facts.account(), (permit_a,), pack)
    new = report_rows(take, permit_a, YEAR, AFTER, corrected=frozenset({"correction"}))
    kept = {}
    for row in new:
        kept[row["taxon_common"], row["flag"]] = (
            kept.get((row["taxon_common"], row["flag"]), 0) + row["n_retained_alive"]
        )
    assert kept == {("bay pipefish", "normal"): 13, ("tube-snout", "unauthorised"): 1}
    delta = report_delta(old, new)
    changes = {
        (line.key["taxon_common"], column): (a, b)
        for line in delta
        for column, (a, b) in line.changed.items()
    }
    assert changes["bay pipefish", "n_retained_alive"] == (3, 2)
    assert changes["tube-snout", "n_retained_alive"] == (0, 1)
    assert sum(row["n_retained_alive"] for row in old) == 14, "the first report stays as it was"
    assert [
        f.message for f in for_report(take, permit_a, YEAR, AFTER).findings if f.kind == "not-allowed"
    ] == ["1 tube-snout retained; no clause in force allows that"]


def test_case_10_a_percentage_is_compared_in_whole_numbers(facts, look, permit_a):
    hauls = [("o/1", 12, 1), ("o/2", 48, 2), ("o/3", 20, 2)]
    expected = [(1, 12, Status.PENDING), (3, 60, Status.REACHED), (5, 80, Status.EXCEEDED)]
    for i, ((key, captured, died), (n, d, status)) in enumerate(zip(hauls, expected, strict=True)):
        facts.haul(key, f"2024-06-04T{9 + i:02d}:36:00-07:00")
        facts.add(key, captured - died, "shiner-perch")
        facts.add(key, died, "shiner-perch", Fate.DIED_RELEASED)
        seen = look(facts.account(), permit_a)
        assert (seen.of("A5").n, seen.of("A5").d, seen.of("A5").status) == (n, d, status)
    held = stops(seen.states, permit_a, at("2024-06-04T12:00:00-07:00"), "o", "o/3", ())
    assert [stop.stop for stop in held] == [Stop.OUTING]
    (finding,) = of_kind(for_report(seen.take, permit_a, YEAR, AFTER), "exceeded")
    assert "5 died of 80 captured after haul o/3" in finding.message


@pytest.mark.parametrize(("hours", "died"), [(30, 1), (48, 1), (50, 0)])
def test_case_11_a_late_death_counts_within_48_hours_of_landing(facts, look, permit_a, hours, died):
    facts.haul("o/1", "2024-06-04T10:00:00-07:00")
    facts.add("o/1", 3, "bay-pipefish", Fate.RETAINED_ALIVE)
    dead_at = at("2024-06-04T10:00:00-07:00") + timedelta(hours=hours)
    facts.add("o/1", 1, "bay-pipefish", Fate.RETAINED_ALIVE, later=[("died", dead_at.isoformat())])
    seen = look(facts.account(), permit_a)
    assert (seen.of("A4").n, seen.of("A1").n, seen.of("A5").n, seen.of("A5").d) == (4, 4, died, 4)
    assert seen.of("A5").key.label == "o", "charged to the outing of capture"
    rows = report_rows(seen.take, permit_a, YEAR, AFTER)
    assert sum(row["n_died_later"] for row in rows) == 1, "recorded either way"


def test_case_12_a_notice_too_late_holds_the_first_set(permit_a, pack, facts):
    sent = Paper("A", "notice-sent", When("2024-06-03T10:00:00-07:00"), "p1", "e1")
    going = Going(
        outing="o",
        hauls=(PlannedHaul(1, at("2024-06-04T09:10:00-07:00"), at("2024-06-04T09:20:00-07:00")),),
        permits=("A",),
        crew=("p1",),
        papers=(sent,),
    )
    take = Take(facts.account(), (permit_a,), pack)
    before = before_going(take, going, at("2024-06-03T12:00:00-07:00"))
    assert before.word == "NO-GO"
    (reason,) = [reason for reason in before.reasons if reason.weight == "no-go"]
    assert reason.clause == "A9"
    assert reason.until == at("2024-06-04T10:00:00-07:00")
    assert "notice 23 h 10 min before the first set, 24 h asked" in reason.message
    later = replace(
        going, hauls=(PlannedHaul(1, at("2024-06-04T10:00:00-07:00"), at("2024-06-04T10:10:00-07:00")),)
    )
    assert before_going(take, later, at("2024-06-03T12:00:00-07:00")).word != "NO-GO"
    clause = next(clause for clause in permit_a.clauses if clause.id == "A12")
    assert report_due(permit_a, clause, date(2024, 6, 4))[1] == date(2025, 4, 30)
