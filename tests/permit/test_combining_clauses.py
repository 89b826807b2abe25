"""How clauses, permits and versions act together (A4.3; permits and catches invented)."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from fractions import Fraction

import pytest

from haulbook.custody.facts import Lengths, Paper
from haulbook.custody.fates import Basis, Fate
from haulbook.custody.when import When
from haulbook.permit.call import Level, Step, at_call, held_stops
from haulbook.permit.filing import for_report
from haulbook.permit.grounds import Span
from haulbook.permit.headroom import headroom, left_for
from haulbook.permit.model import ChargeTo, Consequence, Period, Scope, Sizes, Source, Stop
from haulbook.permit.scope import Meant, Scoper
from haulbook.permit.state import States
from haulbook.permit.status import Status
from haulbook.permit.take import Take

NOW = datetime.fromisoformat("2024-06-04T10:00:00-07:00")
AFTER = datetime(2025, 4, 10, tzinfo=UTC)
YEAR = Span(date(2024, 4, 1), date(2025, 3, 31))


def only(permit, *ids, **changes):
    """Return the permit with a few of its clauses, each changed alike."""
    kept = tuple(replace(clause, **changes) for clause in permit.clauses if clause.id in ids)
    return replace(permit, clauses=kept)


def clause_of(permit, clause_id):
    return next(clause for clause in permit.clauses if clause.id == clause_id)


def added(permit, clause_id, new_id, **changes):
    """Return the permit with one more clause, like another but for some fields."""
    clause = replace(clause_of(permit, clause_id), id=new_id, **changes)
    return replace(permit, clauses=(*permit.clauses, clause))


def test_the_least_over_all_clauses_is_what_is_left(facts, permit_a, pack):
    facts.haul("o/1")
    facts.add("o/1", 2, "pacific-staghorn-sculpin", Fate.RETAINED_ALIVE)
    facts.add("o/1", 7, "buffalo-sculpin", Fate.RETAINED_ALIVE)
    states = States(Take(facts.account(), (permit_a,), pack))
    staghorn = left_for(states, facts.row("o/1", 1, "pacific-staghorn-sculpin"), Basis.RETAINED, NOW)
    assert (staghorn.n, staghorn.by.clause.id) == (1, "A2"), (
        "10 - 9 sculpins, though 2 of 4 staghorns are left"
    )
    gunnel = left_for(states, facts.row("o/1", 1, "penpoint-gunnel"), Basis.RETAINED, NOW)
    assert (gunnel.n, gunnel.allowed) == (0, Meant.NOT)


def test_instead_of_takes_animals_out_of_the_other_clause(facts, look, permit_a):
    facts.haul("o/1")
    facts.add("o/1", 3, "pacific-staghorn-sculpin", Fate.RETAINED_ALIVE)
    facts.add("o/1", 2, "cottidae", Fate.RETAINED_ALIVE)
    lifted = tuple(replace(c, instead_of=("A2",)) if c.id == "A3" else c for c in permit_a.clauses)
    seen = look(facts.account(), replace(permit_a, clauses=lifted))
    assert (seen.of("A2").n, seen.of("A2").possible) == (0, 2), "the unnamed two may be either's"
    assert (seen.of("A3").n, seen.of("A3").possible) == (3, 2)


def test_a_permit_that_lets_it_charges_to_the_other(facts, look, permit_a, permit_b):
    facts.haul("o/1")
    facts.haul("p/1", "2025-02-01T09:00:00-08:00")
    facts.add("o/1", 3, "chinook-salmon", stage="young")
    facts.add("o/1", 1, "coho-salmon", stage="young")
    facts.add("p/1", 2, "chinook-salmon", stage="young")
    lets = replace(
        permit_a, charge_to=ChargeTo("B", Source("Animals under permit B are charged there. (invented)"))
    )
    seen = look(facts.account(), lets, permit_b)
    assert seen.of("A6b").n == 3, "the coho, which B does not speak of, and the two when B was over"
    assert seen.of("B1").n == 3
    assert look(facts.account(), lets).of("A6b").n == 6, "B is not relied on, so nothing goes there"


def test_a_limit_lowered_below_the_count_exceeds_nothing_but_allows_nothing(facts, look, permit_a, pack):
    lowered = replace(
        clause_of(permit_a, "A1"),
        version=2,
        limit=2,
        effective_from=datetime.fromisoformat("2024-08-01T00:00:00-07:00"),
        effective_to=None,
    )
    first = replace(clause_of(permit_a, "A1"), effective_to=lowered.effective_from)
    permit = replace(permit_a, clauses=(first, lowered))
    facts.haul("o/1")
    facts.add("o/1", 3, "bay-pipefish", Fate.RETAINED_ALIVE)
    seen = look(facts.account(), permit)
    assert (seen.of("A1").status, seen.of("A1").over) == (Status.OVER_SINCE_AMENDMENT, 0)
    kinds = [finding.kind for finding in for_report(seen.take, permit, YEAR, AFTER).findings]
    assert "limit-lowered" in kinds
    assert "exceeded" not in kinds
    facts.haul("p/1", "2024-08-04T09:00:00-07:00")
    now = datetime.fromisoformat("2024-08-04T09:10:00-07:00")
    left = left_for(
        States(Take(facts.account(), (permit,), pack)),
        facts.row("p/1", 1, "bay-pipefish"),
        Basis.RETAINED,
        now,
    )
    assert left.n == 0
    facts.add("p/1", 1, "bay-pipefish", Fate.RETAINED_ALIVE)
    seen = look(facts.account(), permit)
    assert (seen.of("A1").status, seen.of("A1").over) == (Status.EXCEEDED, 1), "only what came later"


def test_an_amendment_with_reset_counts_anew(facts, look, permit_a):
    clauses = tuple(
        replace(c, reset=True) if c.id == "A1" and c.version == 2 else c for c in permit_a.clauses
    )
    facts.haul("o/1")
    facts.haul("p/1", "2024-09-04T09:00:00-07:00")
    facts.add("o/1", 3, "bay-pipefish", Fate.RETAINED_ALIVE)
    facts.add("p/1", 2, "bay-pipefish", Fate.RETAINED_ALIVE)
    assert look(facts.account(), replace(permit_a, clauses=clauses)).of("A1").n == 2
    assert look(facts.account(), permit_a).of("A1").n == 5


def test_deaths_are_charged_to_the_event_where_the_clause_says_so(facts, look, permit_a):
    year_end = only(permit_a, "A6c", charge_by="event", period=Period.CALENDAR_YEAR)
    facts.haul("o/1", "2024-12-31T20:00:00-08:00")
    facts.add("o/1", 1, "chinook-salmon", Fate.RETAINED_ALIVE, later=[("died", "2025-01-01T06:00:00-08:00")])
    assert look(facts.account(), year_end).of("A6c").key.label == "2025"
    by_capture = only(permit_a, "A6c", period=Period.CALENDAR_YEAR)
    assert look(facts.account(), by_capture).of("A6c").key.label == "2024"


def test_lost_animals_count_as_died_in_the_worst_case_only(facts, look, permit_a):
    facts.haul("o/1")
    facts.add("o/1", 2, "shiner-perch", Fate.FATE_UNKNOWN, place="lost", cause="jumped out")
    facts.add("o/1", 48, "shiner-perch")
    a5 = look(facts.account(), permit_a).of("A5")
    assert (a5.n, a5.possible, a5.d, a5.d_worst, a5.status, a5.worst) == (
        0,
        2,
        50,
        50,
        Status.OPEN,
        Status.OPEN,
    )


def test_lethal_counts_each_dead_or_killed_animal_once(facts, look, permit_a):
    lethal = only(permit_a, "A6c", basis=Basis.LETHAL, limit=9)
    facts.haul("o/1")
    for fate in (Fate.DIED_RETAINED, Fate.RETAINED_DEAD, Fate.KILLED_NOT_KEPT, Fate.RELEASED_ALIVE):
        facts.add("o/1", 1, "chum-salmon", fate)
    facts.add("o/1", 1, "chum-salmon", Fate.RETAINED_ALIVE, later=[("killed", "2024-07-01T10:00:00-07:00")])
    facts.add("o/1", 1, "chum-salmon", Fate.RETAINED_ALIVE)
    assert look(facts.account(), lethal).of("A6c").n == 4
    assert look(facts.account(), only(lethal, "A6c", retained_is_lethal=True)).of("A6c").n == 5


def test_sampling_is_read_from_the_lengths_sheet_and_needs_an_allowance(facts, permit_a, pack):
    facts.haul("o/1")
    facts.add("o/1", 5, "shiner-perch")
    lengths = (Lengths("o/1", "shiner-perch", "FL", (51.0, 60.0), "l1", tissue=True),)
    account = facts.account(lengths=lengths)
    take = Take(account, (permit_a,), pack)
    filing = for_report(take, permit_a, YEAR, AFTER)
    assert "2 shiner-perch sampled; no clause in force allows that" in [f.message for f in filing.findings]
    assert sum(row["n_sampled"] or 0 for row in filing.rows) == 2
    allowing = added(permit_a, "A3", "S1", basis=Basis.SAMPLED, scope=Scope(taxa=("shiner-perch",)), limit=5)
    take = Take(account, (allowing,), pack)
    states = {state.clause.id: state for state in States(take).history(allowing, AFTER)}
    assert (states["S1"].n, states["S1"].remaining) == (2, 3)
    assert "not-allowed" not in [finding.kind for finding in for_report(take, allowing, YEAR, AFTER).findings]


def test_a_mark_of_an_earlier_period_counts_again(facts, look, permit_a):
    once = only(permit_a, "A4", recaptures="once")
    facts.haul("o/1", "2024-06-03T09:36:00-07:00")
    facts.haul("o/2", "2024-06-04T09:36:00-07:00")
    facts.add("o/1", 30, "shiner-perch", mark="new fin")
    facts.add("o/2", 6, "shiner-perch", mark="fin")
    facts.add("o/2", 2, "shiner-perch", mark="tag 12")
    assert look(facts.account(), once).of("A4").n == 8
    year = only(once, "A4", period=Period.PERMIT_YEAR)
    assert look(facts.account(), year).of("A4").n == 32, "the fin mark is this year's; nobody knows tag 12"


def test_a_share_of_the_captured_counts_each_capture_and_each_dead_once(facts, look, permit_a):
    facts.haul("o/1", "2024-06-04T09:36:00-07:00")
    facts.haul("o/2", "2024-06-04T10:36:00-07:00")
    facts.add("o/1", 50, "shiner-perch", mark="new fin")
    facts.add("o/2", 10, "shiner-perch", mark="fin")
    facts.add("o/2", 1, "shiner-perch", Fate.DIED_RELEASED)
    a5 = look(facts.account(), permit_a).of("A5")
    assert (a5.n, a5.d) == (1, 61)


def test_no_more_come_back_in_a_haul_than_were_marked(facts, look, permit_a):
    once = only(permit_a, "A4", recaptures="once")
    facts.haul("o/1", "2024-06-04T09:36:00-07:00")
    facts.haul("o/2", "2024-06-04T10:36:00-07:00")
    facts.add("o/1", 2, "shiner-perch", mark="new fin")
    facts.add("o/2", 5, "shiner-perch", mark="fin")
    assert look(facts.account(), once).of("A4").n == 5


@pytest.mark.parametrize(
    ("scope", "row", "expected"),
    [
        (Scope(taxa=("chinook-salmon",), life_stage=("young",)), {"stage": "young"}, Meant.CERTAINLY),
        (Scope(taxa=("chinook-salmon",), life_stage=("young",)), {"stage": "adult"}, Meant.NOT),
        (Scope(taxa=("chinook-salmon",), life_stage=("young",)), {}, Meant.POSSIBLY),
        (Scope(taxa=("chinook-salmon",), stage_words=("smolt",)), {"said": "2 smolts"}, Meant.CERTAINLY),
        (Scope(taxa=("chinook-salmon",), stage_words=("smolt",)), {"stage": "young"}, Meant.POSSIBLY),
        (Scope(taxa=("chinook-salmon",), origin=("wild",)), {"origin": "hatchery"}, Meant.NOT),
        (Scope(taxa=("chinook-salmon",), sex=("female",)), {}, Meant.POSSIBLY),
        (
            Scope(taxa=("chinook-salmon",), size=Sizes(Fraction(50), Fraction(60))),
            {"length_mm": 50.0},
            Meant.CERTAINLY,
        ),
        (
            Scope(taxa=("chinook-salmon",), size=Sizes(Fraction(50), Fraction(60))),
            {"length_mm": 60.0},
            Meant.NOT,
        ),
        (
            Scope(taxa=("chinook-salmon",), size=Sizes(Fraction(50), None, "FL")),
            {"length_mm": 70.0},
            Meant.POSSIBLY,
        ),
        (Scope(taxa=("chinook-salmon",), unit="egg_mass"), {}, Meant.NOT),
        (Scope(everything=True), {}, Meant.CERTAINLY),
        (Scope(everything=True, exclude=("salmonidae",)), {}, Meant.NOT),
        (Scope(taxa=("coho-salmon",)), {"doubt": "name"}, Meant.POSSIBLY),
        (Scope(taxa=("salmonidae",)), {"doubt": "name"}, Meant.CERTAINLY),
        (Scope(taxa=("chinook-salmon",), purpose="teaching"), {}, Meant.POSSIBLY),
    ],
)
def test_what_nobody_noted_makes_an_animal_possible(facts, pack, scope, row, expected):
    haul = facts.haul("o/1")
    assert Scoper(pack).meant(scope, facts.row("o/1", 1, "chinook-salmon", **row), haul) is expected


def test_an_open_name_is_possible_in_every_clause_of_its_unit(facts, look, permit_a):
    facts.haul("o/1")
    facts.add("o/1", 2, "?wee fish", Fate.RETAINED_ALIVE)
    seen = look(facts.account(), permit_a)
    assert {key: state.possible for key, state in seen.by.items() if state.possible} == dict.fromkeys(
        ("A1", "A1b", "A2", "A3", "A4", "A6a", "A6b"), 2
    )
    assert "A7" not in seen.by, "an egg mass is another unit"


def test_everything_includes_an_open_name(facts, look, permit_a):
    facts.haul("o/1")
    facts.add("o/1", 2, "?wee fish")
    assert look(facts.account(), only(permit_a, "A4", scope=Scope(everything=True))).of("A4").n == 2


def test_a_haul_that_was_assumed_is_possible_in_each_haul_of_the_outing(facts, look, permit_a):
    per_haul = only(permit_a, "A4", period=Period.HAUL, limit=5)
    facts.haul("o/1", "2024-06-04T09:36:00-07:00")
    facts.haul("o/2", "2024-06-04T10:36:00-07:00")
    facts.add("o/2", 3, "shiner-perch", haul_assumed=True)
    seen = look(facts.account(), per_haul)
    assert {(state.key.label, state.n, state.possible) for state in seen.all} == {
        ("o/1", 0, 3),
        ("o/2", 0, 3),
    }
    assert look(facts.account(), permit_a).of("A4").n == 3, "the day is sure"


def test_a_sheet_with_a_month_alone_is_sure_of_the_year_and_not_of_the_day(facts, look, permit_a):
    facts.haul("o/1", "2024-06")
    facts.add("o/1", 3, "chinook-salmon")
    seen = look(facts.account(), permit_a)
    assert (seen.of("A6b").n, seen.of("A6b").possible) == (3, 0)
    days = [state for state in seen.all if state.clause.id == "A4"]
    assert len(days) == 30
    assert {(state.n, state.possible) for state in days} == {(0, 3)}


def test_seen_without_a_number_adds_nothing_and_blocks_signing(facts, permit_a, pack):
    facts.haul("o/1")
    filing = for_report(
        Take(facts.account(present=(("o/1", "shiner-perch"),)), (permit_a,), pack), permit_a, YEAR, AFTER
    )
    assert [finding.clause for finding in filing.findings if finding.kind == "unquantified"] == ["A4"]
    assert filing.blockers == ("something was seen that nobody put a number to",)
    assert filing.captured == {}


def test_facts_are_never_refused_and_keeping_what_nothing_allows_is(facts, permit_a, pack):
    facts.haul("o/1")
    take = Take(facts.account(), (permit_a,), pack)
    caught = at_call(take, Step(facts.row("o/1", 700, "shiner-perch")), NOW)
    assert caught.level is Level.WARN
    assert "700 of 600 captured per day: exceeded" in caught.lines[0].message
    kept = at_call(take, Step(facts.row("o/1", 1, "shiner-perch", Fate.RETAINED_ALIVE)), NOW)
    assert (kept.level, kept.may) == (Level.BLOCK, 0)
    assert "no clause in force allows shiner-perch to be retained" in kept.lines[0].message
    unsure = at_call(take, Step(facts.row("o/1", 1, "syngnathidae", Fate.RETAINED_ALIVE, doubt="name")), NOW)
    assert unsure.level is Level.ASK


def test_not_listed_is_said_once_per_taxon_and_outing(facts, permit_a, pack):
    fishless = only(permit_a, "A1", "A3")
    facts.haul("o/1")
    crab = facts.row("o/1", 2, "dungeness-crab")
    said = at_call(Take(facts.account(), (fishless,), pack), Step(crab), NOW)
    assert [line.level for line in said.lines] == [Level.WARN]
    assert "not listed in the permit: release it, note it, ask the agency" in said.lines[0].message
    facts.animals.append(crab)
    again = at_call(
        Take(facts.account(), (fishless,), pack), Step(facts.row("o/1", 1, "dungeness-crab")), NOW
    )
    assert again.level is Level.OK


def test_certain_only_silences_the_warning_while_hauling(facts, permit_a, pack):
    quiet = tuple(replace(c, possible="certain_only") if c.id == "A3" else c for c in permit_a.clauses)
    facts.haul("o/1")
    facts.add("o/1", 4, "pacific-staghorn-sculpin", Fate.RETAINED_ALIVE)
    take = Take(facts.account(), (replace(permit_a, clauses=quiet),), pack)
    answer = at_call(take, Step(facts.row("o/1", 1, "cottidae", Fate.RETAINED_ALIVE)), NOW)
    assert {line.clause: line.level for line in answer.lines}["A3"] is Level.OK


def test_a_stop_of_the_permit_lasts_until_it_is_cleared(facts, permit_a, pack):
    stopping = tuple(
        replace(c, on_reach=Consequence(Stop.PERMIT)) if c.id == "A6c" else c for c in permit_a.clauses
    )
    permit = replace(permit_a, clauses=stopping)
    facts.haul("o/1")
    facts.add("o/1", 1, "chum-salmon", Fate.DIED_RELEASED)
    take = Take(facts.account(), (permit,), pack)
    later = datetime.fromisoformat("2024-07-04T10:00:00-07:00")
    (stop,) = held_stops(take, later, "p")
    assert "no outing under this permit until the agency has cleared it" in stop.words
    cleared = Paper("A", "cleared", When("2024-06-20T10:00:00-07:00"), "p1", "e")
    assert held_stops(take, later, "p", [cleared]) == []


def test_a_percentage_cleared_within_its_haul_stays_as_a_provisional_note(facts, look, permit_a):
    facts.haul("o/1")
    facts.add("o/1", 40, "shiner-perch", called=When("2024-06-04T09:40:00-07:00"))
    facts.add("o/1", 3, "shiner-perch", Fate.DIED_RELEASED, called=When("2024-06-04T09:41:00-07:00"))
    facts.add("o/1", 40, "shiner-perch", called=When("2024-06-04T09:42:00-07:00"))
    seen = look(facts.account(), permit_a)
    assert seen.of("A5").status is Status.OPEN
    found = [f for f in for_report(seen.take, permit_a, YEAR, AFTER).findings if f.clause == "A5"]
    assert [(f.kind, f.grade, f.provisional) for f in found] == [("exceeded", "note", True)]


def test_an_outing_below_the_least_number_is_not_judged(facts, permit_a, pack):
    facts.haul("o/1")
    facts.add("o/1", 11, "shiner-perch")
    facts.add("o/1", 1, "shiner-perch", Fate.DIED_RELEASED)
    filing = for_report(Take(facts.account(), (permit_a,), pack), permit_a, YEAR, AFTER)
    assert "clause A5: not judged, 1 of 12" in [finding.message for finding in filing.findings]


def test_released_after_captivity_is_a_finding_with_the_clause(facts, permit_a, pack):
    facts.haul("o/1")
    facts.add("o/1", 1, "bay-pipefish", Fate.RETAINED_ALIVE, later=[("back", "2024-06-20T10:00:00-07:00")])
    filing = for_report(Take(facts.account(), (permit_a,), pack), permit_a, YEAR, AFTER)
    (finding,) = [finding for finding in filing.findings if finding.kind == "released-after-captivity"]
    assert finding.clause == "A13"
    assert "No organism that has left the beach may be released" in str(finding)


def test_a_beach_decision_stands_when_the_name_changes_and_the_report_follows_the_new_name(
    facts, permit_a, pack
):
    facts.haul("o/1")
    step = Step(facts.row("o/1", 1, "bay-pipefish", Fate.RETAINED_ALIVE))
    assert at_call(Take(facts.account(), (permit_a,), pack), step, NOW).may == 1
    facts.add("o/1", 1, "tube-snout", Fate.RETAINED_ALIVE)
    filing = for_report(Take(facts.account(), (permit_a,), pack), permit_a, YEAR, AFTER)
    assert [row["flag"] for row in filing.rows] == ["unauthorised"]


def test_animals_beyond_a_limit_stand_on_a_row_of_their_own(facts, permit_a, pack):
    facts.haul("o/1")
    facts.add("o/1", 6, "bay-pipefish", Fate.RETAINED_ALIVE)
    filing = for_report(Take(facts.account(), (permit_a,), pack), permit_a, YEAR, AFTER)
    assert [(row["n_retained_alive"], row["flag"]) for row in filing.rows] == [
        (4, "normal"),
        (2, "unauthorised"),
    ]
    assert filing.rows[1]["remark"] == "unauthorised take: beyond clause A1b"
    (finding,) = [finding for finding in filing.findings if finding.kind == "exceeded"]
    assert finding.message == "clause A1b: 6 of 4 retained per outing (o): exceeded by 2"
    assert finding.as_json()["entries"] == ["e1"]


def test_animals_still_in_the_net_block_signing_and_lost_ones_are_printed(facts, permit_a, pack):
    facts.haul("o/1")
    facts.add("o/1", 2, "shiner-perch", Fate.UNACCOUNTED)
    facts.add("o/1", 1, "shiner-perch", Fate.FATE_UNKNOWN, cause="jumped out")
    filing = for_report(Take(facts.account(), (permit_a,), pack), permit_a, YEAR, AFTER)
    assert filing.blockers == ("2 animals have no fate yet",)
    assert "1 shiner-perch of haul o/1 lost: jumped out; died in the worst case" in [
        f.message for f in filing.findings
    ]
    assert filing.due == date(2025, 4, 30)


def test_headroom_writes_taxa_out_for_a_phone(facts, permit_a, pack):
    facts.haul("o/1")
    facts.add("o/1", 3, "pacific-staghorn-sculpin", Fate.RETAINED_ALIVE)
    rooms = {
        room.state.clause.id: room
        for room in headroom(Take(facts.account(), (permit_a,), pack), NOW, "o", "o/1")
    }
    assert (rooms["A3"].members, rooms["A3"].left) == (("pacific-staghorn-sculpin",), 1)
    assert "cottidae" in rooms["A3"].possible
    assert "chinook-salmon" in rooms["A6a"].members
    assert (rooms["A6a"].left, rooms["A8"].left, rooms["A5"].left) == (0, None, None)


def test_told_in_time_is_a_note_late_a_finding_and_open_a_question(facts, permit_a, pack):
    facts.haul("o/1", "2024-06-04T09:36:00-07:00")
    facts.add("o/1", 1, "coho-salmon")
    take = Take(facts.account(), (permit_a,), pack)

    def grade(*papers):
        filing = for_report(take, permit_a, YEAR, AFTER, papers=papers)
        return next(finding.grade for finding in filing.findings if finding.kind == "tell")

    assert grade() == "question"
    assert grade(Paper("A", "notice-sent", When("2024-06-05T09:36:00-07:00"), "p1", "e", "A6b")) == "note"
    assert grade(Paper("A", "notice-sent", When("2024-06-05T09:37:00-07:00"), "p1", "e", "A6b")) == "finding"
