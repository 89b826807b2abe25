"""Go, go with limits, no-go: each reason of a plan (A4.4; permits and plans invented)."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest

from haulbook.custody.facts import Paper
from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.gear import Net
from haulbook.permit.conditions import OneSet, check_set
from haulbook.permit.detail import (
    AreaRule,
    BiosecurityRule,
    CarryRule,
    ClockTime,
    GearRule,
    Ground,
    HoldingRule,
    HoursRule,
    PeopleRule,
    StopRule,
)
from haulbook.permit.filing import for_report
from haulbook.permit.going import before_going
from haulbook.permit.grounds import Grounds, Span
from haulbook.permit.measure import metres
from haulbook.permit.plan import Going, PlannedHaul
from haulbook.permit.take import Take
from haulbook.problems import Refusal

ZONE = ZoneInfo("America/Los_Angeles")
NOW = datetime(2024, 6, 3, 12, tzinfo=ZONE)
SENT = Paper("A", "notice-sent", When("2024-06-02T10:00:00-07:00"), "p1", "e1")


def local(text, zone=ZONE):
    return datetime.fromisoformat(text).replace(tzinfo=zone)


def hauls(*starts, minutes=10):
    return tuple(
        PlannedHaul(i, local(start), local(start) + timedelta(minutes=minutes))
        for i, start in enumerate(starts, 1)
    )


NET = Net("n1", 12.192, 1.5, 6.0, "stretch")
PLAN = Going(
    outing="2024-06-04-a",
    site="cove",
    hauls=hauls("2024-06-04T09:10", "2024-06-04T10:10"),
    permits=("A",),
    crew=("p1", "p7"),
    nets=(NET,),
    papers=(SENT,),
    holding_room=40,
    carried=frozenset({"permit"}),
)


def with_clause(permit, kind, detail, like="A13"):
    clause = next(clause for clause in permit.clauses if clause.id == like)
    return replace(permit, clauses=(*permit.clauses, replace(clause, id="X", kind=kind, detail=detail)))


@pytest.fixture
def judge(facts, pack, permit_a):
    def judging(permit=None, plan=PLAN, now=NOW, sun=None):
        return before_going(Take(facts.account(), (permit or permit_a,), pack), plan, now, sun)

    return judging


def reasons(answer, weight, clause="X"):
    return [
        reason.message for reason in answer.reasons if reason.weight == weight and reason.clause == clause
    ]


def test_a_plan_that_meets_every_clause_is_go(judge):
    answer = judge()
    assert (answer.word, answer.hauls) == ("GO", {1: "GO", 2: "GO"})
    assert {room.state.clause.id: room.left for room in answer.headroom}["A1"] == 12
    assert all(reason.weight == "ok" for reason in answer.reasons)


def test_the_plan_names_what_it_relies_on_and_what_that_needs_beside_it(judge, permit_a):
    assert judge(plan=replace(PLAN, permits=())).word == "NO-GO"
    assert "there is no file of it" in judge(plan=replace(PLAN, permits=("Z",))).reasons[0].message
    needing = replace(permit_a, needs_also=("B",))
    assert "holds only together with B" in judge(needing).reasons[0].message


def test_nobody_named_in_the_permit_is_no_go_and_no_names_are_a_thing_to_check(judge, permit_a):
    assert judge(plan=replace(PLAN, crew=("p7",))).word == "NO-GO"
    assert judge(replace(permit_a, people=())).word == "GO WITH LIMITS"


def test_a_clause_that_fewer_than_two_people_compared_is_a_thing_to_check(judge, permit_a):
    alone = replace(permit_a, clauses=tuple(replace(c, confirmed_by=("p1",)) for c in permit_a.clauses))
    answer = judge(alone)
    assert answer.word == "GO WITH LIMITS"
    assert "1 of 2 people have compared version 1 with the paper" in reasons(answer, "check", "A4")[0]


def test_a_net_of_forty_feet_is_longer_than_twelve_metres(judge, permit_a):
    answer = judge(with_clause(permit_a, "gear", GearRule(length_max_m=Fraction(12))))
    assert answer.word == "NO-GO"
    assert "net length 12.192 m, permitted at most 12 m" in reasons(answer, "no-go")[0]
    assert judge(with_clause(permit_a, "gear", GearRule(length_max_m=metres("40 ft")))).word == "GO"
    with pytest.raises(Refusal, match="40 ft"):
        metres("forty feet")


@pytest.mark.parametrize(
    ("rule", "verdicts"),
    [
        (GearRule(mesh_min_mm=Fraction(6), mesh_as="stretch"), ["kept"]),
        (GearRule(mesh_max_mm=Fraction(3), mesh_as="bar"), ["kept"]),
        (GearRule(mesh_max_mm=Fraction(2), mesh_as="bar"), ["broken"]),
        (GearRule(mesh_max_mm=Fraction(6)), ["kept", "unknown"]),
        (GearRule(types=("seine",)), ["unknown"]),
        (GearRule(height_max_m=Fraction(1)), ["broken"]),
    ],
)
def test_gear_is_judged_where_it_is_known(permit_a, rule, verdicts):
    clause = with_clause(permit_a, "gear", rule).clauses[-1]
    one = OneSet("haul 1", None, None, net=NET)
    assert [check.verdict for check in check_set(permit_a, clause, one)] == verdicts


@pytest.mark.parametrize(("net_type", "verdict"), [("seine", "kept"), ("gill net", "broken")])
def test_only_the_net_types_that_the_permit_names_are_permitted(permit_a, net_type, verdict):
    clause = with_clause(permit_a, "gear", GearRule(types=("seine", "dip net"))).clauses[-1]
    (check,) = check_set(permit_a, clause, OneSet("haul 1", None, None, net=NET, net_type=net_type))
    assert (check.verdict, check.message) == (
        verdict,
        f"net type {net_type}; permitted are seine, dip net",
    )


def test_sets_already_made_count_against_the_most_hauls_failed_ones_too(judge, permit_a, facts):
    facts.haul(
        "2024-06-04-a/1", "2024-06-04T08:30:00-07:00", started="2024-06-04T08:20:00-07:00", condition=4
    )
    permit = with_clause(permit_a, "gear", GearRule(hauls_max=2))
    answer = judge(permit)
    assert (answer.hauls, answer.word) == ({1: "GO", 2: "NO-GO"}, "GO WITH LIMITS")
    assert "haul 2: set 3 of at most 2 per outing" in reasons(answer, "no-go")[0]
    assert judge(permit, replace(PLAN, outing="another")).word == "GO"
    assert (
        judge(
            with_clause(permit_a, "gear", GearRule(hauls_max=2, per="day")), replace(PLAN, outing="b")
        ).hauls[2]
        == "NO-GO"
    )


def sun(day, position):
    return local(f"{day}T05:50"), local(f"{day}T20:30")


@pytest.mark.parametrize(
    ("rule", "start", "verdict"),
    [
        (
            HoursRule(
                ClockTime(local("2024-06-04T09:10").time()), ClockTime(local("2024-06-04T09:20").time())
            ),
            "09:10",
            "GO",
        ),
        (
            HoursRule(
                ClockTime(local("2024-06-04T09:11").time()), ClockTime(local("2024-06-04T20:00").time())
            ),
            "09:10",
            "NO-GO",
        ),
        (HoursRule(ClockTime(sun="sunrise"), ClockTime(sun="sunset")), "20:20", "GO"),
        (
            HoursRule(ClockTime(sun="sunrise"), ClockTime(sun="sunset", offset=timedelta(minutes=-30))),
            "20:20",
            "NO-GO",
        ),
        (
            HoursRule(
                ClockTime(local("2024-06-04T22:00").time()), ClockTime(local("2024-06-04T04:00").time())
            ),
            "23:55",
            "GO",
        ),
    ],
)
def test_the_whole_haul_lies_within_the_hours_ends_included(judge, permit_a, rule, start, verdict):
    plan = replace(PLAN, hauls=hauls(f"2024-06-04T{start}"))
    assert judge(with_clause(permit_a, "hours", rule), plan, sun=sun).word == verdict


def test_hours_that_hang_on_the_sun_are_for_a_person_without_a_sun(judge, permit_a):
    rule = HoursRule(ClockTime(sun="sunrise"), ClockTime(sun="sunset"))
    answer = judge(with_clause(permit_a, "hours", rule))
    assert answer.word == "GO WITH LIMITS"
    assert "sunrise and sunset are not known" in reasons(answer, "check")[0]


@pytest.mark.parametrize(
    ("rule", "position", "word"),
    [
        (AreaRule(inside=Ground(sites=("cove",))), None, "GO"),
        (AreaRule(inside=Ground(sites=("bay",))), None, "NO-GO"),
        (AreaRule(outside=Ground(sites=("cove",))), None, "NO-GO"),
        (
            AreaRule(inside=Ground(corners=((48.0, -123.0), (48.2, -123.0), (48.1, -122.8)))),
            (48.1, -122.95),
            "GO",
        ),
        (
            AreaRule(inside=Ground(corners=((48.0, -123.0), (48.2, -123.0), (48.1, -122.8)))),
            (48.1, -122.7),
            "NO-GO",
        ),
        (
            AreaRule(inside=Ground(corners=((48.0, -123.0), (48.2, -123.0), (48.1, -122.8)))),
            None,
            "GO WITH LIMITS",
        ),
    ],
)
def test_the_place_of_the_set(judge, permit_a, rule, position, word):
    assert judge(with_clause(permit_a, "area", rule), replace(PLAN, position=position)).word == word


def test_people_papers_words_and_holding(judge, permit_a):
    few = judge(with_clause(permit_a, "people", PeopleRule(any_of=("p3",), min_present=3)))
    assert reasons(few, "no-go") == [
        "clause X: one of p3 has to be there",
        "clause X: 2 people of at least 3",
    ]
    carry = with_clause(permit_a, "carry", CarryRule(("permit", "photo_id")))
    assert reasons(judge(carry), "no-go") == ["clause X: take along: photo id: it is not with the outing"]
    assert reasons(judge(carry, replace(PLAN, carried=None)), "check") == [
        "clause X: take along: permit",
        "clause X: take along: photo id",
    ]
    assert reasons(judge(with_clause(permit_a, "stop", StopRule("a whale is near"))), "check") == [
        "clause X: stop when a whale is near"
    ]
    assert judge(plan=replace(PLAN, holding_room=None)).word == "GO WITH LIMITS"
    ending = with_clause(permit_a, "holding", HoldingRule(until=local("2024-06-20T00:00").date()))
    assert "the right to hold ends in 16 days, 20 June 2024" in reasons(judge(ending), "limit")[0]


def test_a_receipt_that_is_asked_has_to_be_attached(judge, permit_a):
    asked = tuple(
        replace(c, detail=replace(c.detail, receipt=True)) if c.id == "A9" else c for c in permit_a.clauses
    )
    permit = replace(permit_a, clauses=asked)
    assert reasons(judge(permit), "no-go", "A9") == ["clause A9: the receipt of the notice is not attached"]
    receipt = Paper("A", "receipt", When("2024-06-02"), "p1", "e2")
    assert judge(permit, replace(PLAN, papers=(SENT, receipt))).word == "GO"
    nothing = judge(plan=replace(PLAN, papers=()))
    assert "it has to go by 3 June 2024 09:10" in reasons(nothing, "no-go", "A9")[0]


def test_lead_time_is_elapsed_time_over_a_clock_change(judge, permit_a):
    winter = Paper("A", "notice-sent", When("2024-11-02T09:30:00-07:00"), "p1", "e1")
    plan = replace(PLAN, hauls=hauls("2024-11-03T09:00"), papers=(winter,))
    answer = judge(plan=plan, now=local("2024-11-02T12:00"))
    assert reasons(answer, "no-go", "A9") == [], (
        "clocks went back: 23 h 30 min by the wall, 24 h 30 min elapsed"
    )
    assert "24 h 30 min before the first set" in reasons(answer, "ok", "A9")[0]


def test_gear_wet_elsewhere_has_to_dry(judge, permit_a, facts):
    facts.haul("old/1", "2024-06-03T20:00:00-07:00", site="bay")
    permit = with_clause(permit_a, "biosecurity", BiosecurityRule("clean and dry", "site", Fraction(48)))
    answer = judge(permit)
    (reason,) = [reason for reason in answer.reasons if reason.weight == "no-go"]
    assert "13 h 10 min since gear was wet at another site, 48 h dry asked" in reason.message
    assert reason.until == datetime.fromisoformat("2024-06-05T20:00:00-07:00")


def test_gear_is_wet_until_the_haul_has_ended_and_dries_between_two_days_at_one_site(judge, permit_a, facts):
    permit = with_clause(permit_a, "biosecurity", BiosecurityRule("clean and dry", "site", Fraction(12)))
    facts.haul("old/1", "2024-06-03T20:00:00-07:00", site="bay", ended=When("2024-06-03T21:30:00-07:00"))
    assert (
        "11 h 40 min since gear was wet at another site, 12 h dry asked" in reasons(judge(permit), "no-go")[0]
    )
    facts.hauls.clear()
    facts.haul("old/1", "2024-06-03T22:00:00-07:00", site="cove")
    assert reasons(judge(permit), "no-go") == []
    facts.hauls.clear()
    facts.haul("old/1", "2024-06-03T22:00:00-07:00")
    assert len(reasons(judge(permit), "no-go")) == 1, "nobody said where: it may have been elsewhere"


def test_what_is_left_shapes_the_plan(judge, permit_a, facts):
    facts.haul("old/1", "2024-05-03T10:00:00-07:00", site="cove")
    facts.add("old/1", 10, "bay-pipefish", Fate.RETAINED_ALIVE)
    facts.add("old/1", 25, "coho-salmon")
    answer = judge(plan=replace(PLAN, looked_for=("salmonidae",)))
    assert answer.word == "GO WITH LIMITS"
    assert "10 of 12 retained per permit year: near" in reasons(answer, "limit", "A1")[0]
    said = reasons(answer, "limit", "A6b")
    assert "25 of 25 captured per permit year: reached, no set where it is expected" in said[0]
    assert "keep none, release at once" in said[1]


def test_an_overdue_report_is_said(judge, permit_a, facts):
    facts.haul("old/1", "2024-05-03T10:00:00-07:00", site="cove")
    late = local("2025-05-10T09:00")
    answer = judge(plan=replace(PLAN, permits=("A",)), now=late)
    assert "was due 30 April 2025 and is not sent" in reasons(answer, "limit", "A12")[0]
    sent = Paper("A", "report-sent", When("2025-04-10"), "p1", "e")
    assert reasons(judge(plan=replace(PLAN, papers=(SENT, sent)), now=late), "limit", "A12") == []


def test_the_report_judges_what_was_done_as_the_plan_was_judged(facts, permit_a, pack):
    permit = with_clause(permit_a, "gear", GearRule(length_max_m=Fraction(12), hauls_max=1))
    hours = HoursRule(
        ClockTime(local("2024-06-04T09:00").time()), ClockTime(local("2024-06-04T10:00").time())
    )
    permit = replace(
        permit, clauses=(*permit.clauses, replace(permit.clauses[-1], id="H", kind="hours", detail=hours))
    )
    facts.haul("o/1", "2024-06-04T09:36:00-07:00", started="2024-06-04T09:26:00-07:00", net="n1")
    facts.haul("o/2", "2024-06-04T10:36:00-07:00", net="n1")
    facts.haul("o/3", "2024-06-04T09:50:00-07:00")
    filing = for_report(
        Take(facts.account(), (permit,), pack),
        permit,
        Span(local("2024-04-01T00:00").date(), local("2025-03-31T00:00").date()),
        datetime(2025, 4, 10, tzinfo=UTC),
        grounds=Grounds(nets={"n1": NET}),
    )
    said = [finding.message for finding in filing.findings if finding.kind == "condition"]
    assert said == [
        "clause X: haul o/1: net length 12.192 m, permitted at most 12 m",
        "clause X: haul o/2: net length 12.192 m, permitted at most 12 m",
        "clause H: haul o/2: 10:36; permitted from 09:00 to 10:00",
        "clause X: haul o/3: set 2 of at most 1 per outing",
        "clause X: haul o/2: set 3 of at most 1 per outing",
    ]
    checks = [finding.message for finding in filing.findings if finding.kind == "to-check"]
    assert any(
        "net length: nobody said which net; for a person to check in 1 haul" in message for message in checks
    )
    assert any("set or landing has no clock time" in message for message in checks)
    assert filing.nil
