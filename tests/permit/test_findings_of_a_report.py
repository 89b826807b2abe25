"""What a report finds beside its numbers, and what it advises (A4.3; permits and catches invented)."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from haulbook.custody.facts import Haul, Paper
from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.permit.detail import GearRule, HoldingRule
from haulbook.permit.filing import for_report
from haulbook.permit.grounds import Span
from haulbook.permit.take import Take

YEAR = Span(date(2024, 4, 1), date(2025, 3, 31))
AFTER = datetime(2025, 4, 10, tzinfo=UTC)
HOLD = "Tell the agency, hold the animals and wait for its instruction."


def changed(permit, clause_id, **changes):
    clauses = tuple(replace(c, **changes) if c.id == clause_id else c for c in permit.clauses)
    return replace(permit, clauses=clauses)


@pytest.fixture
def findings(facts, pack, permit_a):
    def made(kind, permit=permit_a, **more):
        filing = for_report(Take(facts.account(), (permit,), pack), permit, YEAR, AFTER, **more)
        return [finding for finding in filing.findings if finding.kind == kind]

    return made


def test_a_limit_that_is_reached_is_a_note_with_what_stops_and_one_below_it_is_none(facts, findings):
    facts.haul("o/1")
    facts.add("o/1", 4, "bay-pipefish", Fate.RETAINED_ALIVE)
    facts.add("o/1", 25, "coho-salmon")
    found = {finding.clause: finding for finding in findings("reached")}
    assert set(found) == {"A1b", "A6b"}
    assert found["A1b"].message == "clause A1b: 4 of 4 retained per outing (o): reached"
    assert (found["A1b"].grade, found["A1b"].advice) == ("note", None)
    assert found["A6b"].advice == (
        "Keep none, release at once and unhandled where possible, no set where it is expected."
    )


def test_a_percentage_that_is_just_reached_is_a_note(facts, findings):
    facts.haul("o/1")
    facts.add("o/1", 57, "shiner-perch")
    facts.add("o/1", 3, "shiner-perch", Fate.DIED_RELEASED)
    assert [(f.grade, f.message) for f in findings("reached")] == [
        ("note", "clause A5: 3 died of 60 captured: reached")
    ], "worked case 10: 300 = 300"
    assert findings("exceeded") == []


def test_a_worst_case_above_the_limit_is_a_question_only_where_the_clause_asks_for_it(
    facts, findings, permit_a
):
    """In the report certain counts alone, unless ``possible: worst_case`` (A4.2)."""
    facts.haul("o/1")
    facts.add("o/1", 3, "pacific-staghorn-sculpin", Fate.RETAINED_ALIVE)
    facts.add("o/1", 2, "cottidae", Fate.RETAINED_ALIVE)

    def a3(possible):
        found = findings("possible", changed(permit_a, "A3", possible=possible))
        return [(finding.grade, finding.message, finding.n) for finding in found if finding.clause == "A3"]

    said = "clause A3: 3 certain and 2 possible: exceeded in the worst case"
    assert a3(None) == [("note", said, 5)]
    assert a3("certain_only") == [("note", said, 5)]
    assert a3("worst_case") == [("question", said, 5)]
    facts.animals[-1] = replace(facts.animals[-1], n=1)
    said = "clause A3: 3 certain and 1 possible: reached in the worst case"
    assert a3("worst_case") == [("note", said, 4)]


def test_animals_kept_beyond_a_limit_are_held_where_even_one_of_them_still_lives(facts, findings):
    facts.haul("o/1")
    died = [("died", "2024-06-20T10:00:00-07:00")]
    facts.add("o/1", 4, "bay-pipefish", Fate.RETAINED_ALIVE)
    facts.add("o/1", 1, "bay-pipefish", Fate.RETAINED_ALIVE, later=died)
    (finding,) = findings("exceeded")
    assert finding.advice is None, "the one too many is dead: nothing is left to hold"
    facts.add("o/1", 1, "bay-pipefish", Fate.RETAINED_ALIVE)
    (finding,) = findings("exceeded")
    assert finding.advice.startswith(f"{HOLD} Do not put them back and do not record them as released.")


def test_what_nothing_allows_to_be_kept_is_held_where_even_one_of_it_lives(facts, findings):
    facts.haul("o/1")
    facts.add("o/1", 1, "tube-snout", Fate.DIED_RETAINED)
    (finding,) = findings("not-allowed")
    assert (finding.n, finding.advice) == (1, None)
    facts.add("o/1", 2, "tube-snout", Fate.RETAINED_ALIVE)
    (finding,) = findings("not-allowed")
    assert finding.message == "3 tube-snout retained; no clause in force allows that"
    assert finding.advice.startswith(HOLD)


def test_a_permit_that_lets_animals_go_again_finds_nothing_in_a_release(facts, findings, permit_a):
    facts.haul("o/1")
    facts.add("o/1", 1, "bay-pipefish", Fate.RETAINED_ALIVE, later=[("back", "2024-06-20T10:00:00-07:00")])
    assert (
        findings("released-after-captivity", changed(permit_a, "A13", detail=HoldingRule(release=True))) == []
    )
    silent = replace(permit_a, clauses=tuple(c for c in permit_a.clauses if c.id != "A13"))
    (finding,) = findings("released-after-captivity", silent)
    assert (finding.clause, finding.message) == (
        None,
        "1 bay-pipefish of haul o/1 released after captivity; the permit does not say that this may be done",
    )


def test_only_a_notice_about_the_clause_sent_after_the_landing_says_that_somebody_was_told(facts, findings):
    facts.haul("o/1", "2024-06-04T09:36:00-07:00")
    facts.add("o/1", 1, "coho-salmon")

    def grade(act="notice-sent", at="2024-06-04T12:00:00-07:00", clause="A6b", no="A"):
        return findings("tell", papers=[Paper(no, act, When(at), "p1", "e", clause)])[0].grade

    assert grade() == "note"
    assert grade(act="receipt") == "question"
    assert grade(clause="A6c") == "question"
    assert grade(clause=None) == "question", "a notice of the outing is none of this catch"
    assert grade(no="B") == "question"
    assert grade(at="2024-06-03T12:00:00-07:00") == "question"


def test_an_open_name_is_asked_once_with_all_its_animals(facts, findings):
    facts.haul("o/1")
    for n in (2, 3):
        facts.add("o/1", n, "?wee fish")
    assert [(f.grade, f.n, f.message) for f in findings("open-name")] == [
        ("question", 5, "5 under the open name 'wee fish': possible under every clause of their unit")
    ]


def test_a_haul_without_a_permit_says_from_when_on_there_was_none(facts, permit_a, pack):
    facts.haul("o/1", "2025-03-31T23:50:00-07:00", started="2025-03-31T23:40:00-07:00")
    facts.haul("o/2", "2025-04-01T00:20:00-07:00", started="2025-04-01T00:05:00-07:00")
    facts.haul("o/3", "2025-04-01T01:20:00-07:00")
    take = Take(facts.account(), (permit_a,), pack)
    filing = for_report(take, permit_a, Span(date(2024, 4, 1), date(2025, 4, 30)), AFTER)
    assert [(f.message, f.advice) for f in filing.findings if f.kind == "no-permit"] == [
        (
            f"haul {key}: no permit in force from {began}:00-07:00 on to the landing",
            "Report its animals as take without a permit, on rows of their own.",
        )
        for key, began in (("o/2", "2025-04-01T00:05"), ("o/3", "2025-04-01T01:20"))
    ]


def test_sets_are_counted_in_the_order_in_which_they_were_made(facts, findings, permit_a):
    """Each counts from the moment the net is in the water (rule 18)."""
    permit = changed(permit_a, "A13", kind="gear", detail=GearRule(hauls_max=2))
    facts.hauls.append(Haul("o/4", "o", started=When("2024-06-04T08:00:00-07:00")))
    facts.haul("o/1", "2024-06-04T10:50:00-07:00", started="2024-06-04T10:40:00-07:00")
    facts.haul("o/2", "2024-06-04T11:30:00-07:00", started="2024-06-04T10:20:00-07:00")
    assert [finding.message for finding in findings("condition", permit)] == [
        "clause A13: haul o/1: set 3 of at most 2 per outing"
    ]
