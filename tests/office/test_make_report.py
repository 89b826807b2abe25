"""A report that keeps: the same text whenever it says the same, nil returns, versions, deltas (all invented)."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from haulbook.custody.facts import Account, Animals, Haul, Later, Paper
from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.exchange.layouts import packaged_layouts
from haulbook.exchange.permit_toml import read_permit
from haulbook.office.make_report import MadeReport, make_report
from haulbook.office.report_versions import Cover, clause_of, cover_of, delta, of_days, versions_of
from haulbook.permit.fields import CAPTURED_PARTS
from haulbook.permit.grounds import Span
from haulbook.permit.take import Take
from haulbook.problems import Refusal
from haulbook.taxa import load_pack

PERMITS = Path(__file__).resolve().parents[1] / "cases" / "permits"
PACK = load_pack("nepacific")
AFTER = datetime(2026, 4, 10, tzinfo=UTC)
YEAR = Span(date(2024, 4, 1), date(2025, 3, 31))
HAUL = Haul("o/1", "o", site="cove", landed=When("2024-06-04T09:36:00-07:00"))
LAYOUTS = (packaged_layouts()["kept-and-discarded"],)


@pytest.fixture
def permit():
    return read_permit(PERMITS / "a.toml", PACK)


def some(taxon, n, fate=Fate.RELEASED_ALIVE, **more):
    return Animals(HAUL.key, taxon, n, fate, "back", HAUL.landed, entries=(f"{taxon} {n}",), **more)


def made(permit, hauls=(HAUL,), animals=(), days=YEAR, layouts=LAYOUTS):
    take = Take(Account(tuple(hauls), tuple(animals)), (permit,), PACK)
    return make_report(take, permit, days, layouts, AFTER)


def test_a_report_reads_back_as_it_was_and_its_digest_is_that_of_its_text(permit):
    one = made(permit, animals=[some("shiner-perch", 9), some("tube-snout", 1, Fate.RETAINED_ALIVE)])
    assert MadeReport.of_text(one.text()) == one
    assert MadeReport.of_text(one.text()).digest == one.digest
    assert (one.captured, one.hauls, one.nil) == (10, 1, False)


def test_parts_of_the_table_and_columns_of_the_rows_are_what_was_captured(permit):
    one = made(
        permit,
        animals=[
            some("shiner-perch", 9),
            some("shiner-perch", 2, Fate.DIED_RELEASED),
            some("tube-snout", 1, Fate.FATE_UNKNOWN),
        ],
    )
    assert one.tables[0].reported == one.captured == 12
    assert sum(row[name] for row in one.rows for name in CAPTURED_PARTS) == 12


def test_days_without_a_haul_make_a_nil_return_that_says_so(permit):
    """A nil return is signed and sent too (USFWS special-use form: "No activity", A1 of the permit notes)."""
    one = made(permit, hauls=(), days=Span(date(2024, 11, 1), date(2024, 11, 30)))
    assert (one.nil, one.hauls, one.captured, one.blockers) == (True, 0, 0, ())
    assert one.sheets[0].rows[0][0] == LAYOUTS[0].nil_text


def test_animals_without_a_fate_are_in_the_way_of_signing(permit):
    one = made(permit, animals=[some("shiner-perch", 3, Fate.UNACCOUNTED)])
    assert "3 animals have no fate yet" in one.blockers
    with pytest.raises(Refusal, match="Not to be signed yet: 3 animals have no fate yet"):
        cover_of(one, (), "2026-04-10T09:00:00-07:00", "p1")


def test_an_empty_cell_that_the_agency_requires_is_in_the_way(permit):
    bare = Haul("o/1", "o", landed=HAUL.landed)
    layouts = [packaged_layouts()["animals-detail"]]
    one = made(permit, hauls=(bare,), animals=[some("shiner-perch", 3)], layouts=layouts)
    assert any("required cells are empty, the first:" in words for words in one.blockers)


def paper(cover, act, entry, **more):
    return Paper(
        cover.permit, act, When("2026-04-10T09:00:00-07:00"), "p1", entry, digest=cover.digest, **more
    )


def test_a_later_death_makes_an_amended_report_with_its_delta(permit):
    kept = some("shiner-perch", 4, Fate.RETAINED_ALIVE)
    death = Later("died", When("2026-02-01T08:00:00-08:00"), "e9")
    first = made(permit, animals=[kept])
    now = made(permit, animals=[replace(kept, n=3), replace(kept, n=1, later=(death,))])
    cover = cover_of(first, (), "2026-04-10T09:00:00-07:00", "p1")
    assert (cover.number, cover.amendment, cover.amends) == (1, 0, None)
    known = {cover.digest: cover}
    signed = versions_of([paper(cover, "report-signed", "e1")], known)
    assert [one.state for one in signed] == ["signed"]
    sent = versions_of([paper(cover, "report-signed", "e1"), paper(cover, "report-sent", "e2")], known)
    assert [one.state for one in sent] == ["sent"]
    amended = cover_of(now, sent, "2026-04-11T09:00:00-07:00", "p1")
    assert (amended.number, amended.amendment, amended.amends) == (2, 1, cover.digest)
    (line,) = delta(first, now)
    assert (line.outing, line.haul) == ("o", "1")
    assert ("n_died_later", 0, 1) in line.changes


def test_what_was_signed_is_not_signed_again_as_it_is(permit):
    one = made(permit, animals=[some("shiner-perch", 4)])
    cover = cover_of(one, (), "2026-04-10T09:00:00-07:00", "p1")
    signed = versions_of([paper(cover, "report-signed", "e1")], {cover.digest: cover})
    with pytest.raises(Refusal, match="Version 1 says exactly this; it is signed already"):
        cover_of(one, signed, "2026-04-11T09:00:00-07:00", "p1")


def test_a_cover_reads_back_and_another_text_is_refused(permit):
    cover = cover_of(made(permit), (), "2026-04-10T09:00:00-07:00", "p1")
    assert Cover.of_text(cover.text()) == cover
    assert Cover.of_text(cover.text()).digest == cover.digest
    with pytest.raises(Refusal, match="no cover of a report"):
        Cover.of_text('{"a":1}')


def test_versions_are_told_apart_by_permit_and_days_and_a_signature_without_cover_is_none(permit):
    cover = cover_of(made(permit), (), "2026-04-10T09:00:00-07:00", "p1")
    lone = replace(cover, number=9)
    papers = [paper(cover, "report-signed", "e1"), paper(lone, "report-signed", "e2")]
    found = versions_of(papers, {cover.digest: cover})
    assert len(found) == 1
    assert of_days(found, permit.no, YEAR.first, YEAR.last) == found
    assert of_days(found, permit.no, YEAR.first, date(2024, 12, 31)) == ()


def test_papers_of_a_report_never_pass_for_the_receipt_of_a_notice(permit):
    """A paper without a clause belongs to every clause of its permit: those of reports name one."""
    without = replace(permit, clauses=tuple(one for one in permit.clauses if one.kind != "report"))
    assert clause_of(without) == "report"
