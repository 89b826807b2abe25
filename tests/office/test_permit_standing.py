"""Where a permit stands in its year. Hauls and animals are invented; the permit is A of the worked cases.

What each clause counts is checked in tests/permit; here, that it is gathered, kept and told as it is counted there.
"""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from haulbook.custody.facts import Account, Animals, Haul
from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.office.permit_standing import HaulShare, PermitStanding, permit_standings
from haulbook.permit.filing import for_report
from haulbook.permit.grounds import Span
from haulbook.permit.headroom import headroom
from haulbook.permit.take import Take
from haulbook.taxa import load_pack

PACK = load_pack("nepacific")
FIRST, LAST = date(2024, 4, 1), date(2025, 3, 31)


def at(text):
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


class Season:
    """Hauls and animals of one season."""

    def __init__(self):
        self.hauls, self.animals = [], []

    def haul(self, key, landed):
        self.hauls.append(Haul(key, key.rpartition("/")[0], landed=When(landed)))
        return key

    def add(self, haul, n, taxon, fate=Fate.RETAINED_ALIVE, **more):
        landed = next(one.landed for one in self.hauls if one.key == haul)
        entries = (f"e{len(self.animals)}",)
        self.animals.append(Animals(haul, taxon, n, fate, "bucket 1", landed, entries=entries, **more))

    @property
    def account(self):
        return Account(tuple(self.hauls), tuple(self.animals))


@pytest.fixture
def season():
    made = Season()
    one = made.haul("2024-06-04-a/1", "2024-06-04T09:36:00-07:00")
    two = made.haul("2024-06-04-a/2", "2024-06-04T10:40:00-07:00")
    three = made.haul("2024-07-01-a/1", "2024-07-01T08:00:00-07:00")
    made.add(one, 3, "bay-pipefish")
    made.add(two, 1, "bay-pipefish")
    made.add(three, 2, "bay-pipefish")
    made.add(three, 1, "?needle fish")
    return made


def standing(season, permit, as_of="2024-08-01", **more):
    (found,) = permit_standings(season.account, [permit], PACK, at(as_of), **more)
    return found


def clause(found, name):
    return next(one for one in found.clauses if one.clause == name)


def test_a_year_clause_says_what_counts_what_may_and_what_is_left_in_both_cases(season, permit):
    found = clause(standing(season, permit), "A1")
    assert (found.version, found.basis, found.limit, found.unit) == (1, "retained", 12, "individual")
    assert found.text.startswith("No more than 12 bay pipefish")
    assert found.quote.endswith("(page 2)")
    now = found.now
    assert (now.n, now.possible, now.left, now.left_at_worst, now.over) == (6, 1, 6, 5, 0)
    assert (now.status, now.worst) == ("open", "open")
    assert (now.first, now.last) == (FIRST, LAST)
    assert now.words == "permit year, 1 April 2024 to 31 March 2025"
    assert now.hauls == (
        HaulShare("2024-06-04-a/1", 3, 0),
        HaulShare("2024-06-04-a/2", 1, 0),
        HaulShare("2024-07-01-a/1", 2, 1),
    )
    assert now.hangs_on == ("e3",)
    assert found.periods == (now,)


def test_a_clause_of_an_outing_keeps_each_outing_and_shows_the_last(season, permit):
    found = clause(standing(season, permit), "A1b")
    assert [(one.words, one.n, one.left, one.status) for one in found.periods] == [
        ("outing 2024-06-04-a", 4, 0, "reached"),
        ("outing 2024-07-01-a", 2, 2, "open"),
    ]
    assert found.now == found.periods[-1]
    assert (found.now.first, found.now.last) == (date(2024, 7, 1),) * 2


def test_before_the_first_haul_everything_is_left(permit):
    found = standing(Season(), permit)
    now = clause(found, "A1b").now
    assert (now.label, now.words, now.n, now.left, now.hauls) == ("", "no outing yet", 0, 4, ())
    assert clause(found, "A4").now.words == "31 July 2024"  # local to the permit, when it is 1 August in UTC
    assert clause(found, "A1").now.left == 12
    assert (found.in_force, found.blockers, found.due) == (True, (), date(2025, 4, 30))


def test_what_is_landed_later_is_left_out_and_an_amendment_rules_from_its_day(season, permit):
    early = clause(standing(season, permit, "2024-06-10"), "A1")
    late = clause(standing(season, permit, "2024-09-01"), "A1")
    assert (early.version, early.limit, early.now.n) == (1, 12, 4)
    assert (late.version, late.limit, late.now.n, late.now.left) == (2, 20, 6, 14)


def test_outside_its_days_a_permit_stands_in_its_first_or_last_year(season, permit):
    before, after = standing(season, permit, "2023-01-01"), standing(season, permit, "2026-01-01")
    assert (before.in_force, before.first, before.last) == (False, FIRST, LAST)
    assert (after.in_force, after.first, after.last) == (False, FIRST, LAST)
    assert clause(before, "A1").now.n == 0
    assert clause(after, "A1").now.n == 6


def test_a_percentage_says_of_how_many(season, permit):
    season.add("2024-06-04-a/1", 45, "bay-pipefish", Fate.RELEASED_ALIVE)
    season.add("2024-06-04-a/1", 3, "bay-pipefish", Fate.DIED_RELEASED)
    found = clause(standing(season, permit), "A5")
    first = found.periods[0]
    assert (found.percent, found.of, found.limit) == ("5", "captured", None)
    assert (first.n, first.d, first.status) == (3, 52, "exceeded")
    assert first.left_at_worst == 0


def test_findings_blockers_and_counts_are_those_of_the_report_and_the_headroom(season, permit):
    season.add("2024-07-01-a/1", 5, "bay-pipefish")
    season.add("2024-07-01-a/1", 2, "grunt-sculpin", Fate.UNACCOUNTED)
    found = standing(season, permit)
    take = Take(season.account, [permit], PACK)
    filing = for_report(take, permit, Span(FIRST, LAST), at("2024-08-01"))
    assert found.findings == filing.findings
    assert "exceeded" in {finding.kind for finding in found.findings}
    assert found.blockers == filing.blockers == ("2 animals have no fate yet",)
    for row in headroom(take, at("2024-08-01"), "2024-07-01-a"):
        now = clause(found, row.state.clause.id).now
        assert (now.n, now.possible, now.left) == (row.state.n, row.state.possible, row.left)


def test_permits_stand_side_by_side(season, permit):
    other = replace(permit, no="B2")
    assert [
        one.permit for one in permit_standings(season.account, [permit, other], PACK, at("2024-08-01"))
    ] == [
        "A",
        "B2",
    ]


def test_a_standing_is_kept_as_json_and_read_back_as_it_was(season, permit):
    season.add("2024-07-01-a/1", 5, "bay-pipefish")
    season.haul("2024-07-02-a/1", "2024-07-02")
    season.add("2024-07-02-a/1", 1, "salmonidae", Fate.DIED_RELEASED)
    found = standing(season, permit)
    assert any(finding.by for finding in found.findings)
    assert PermitStanding.from_json(json.loads(json.dumps(found.as_json()))) == found
    assert found.as_json()["findings"] == [finding.as_json() for finding in found.findings]
