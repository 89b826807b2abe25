"""What is said of a whole book: its difference, and whether a person has to settle something (invented)."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from haulbook.office.account_book import account_book
from haulbook.problems import Refusal
from haulbook.taxa import load_pack

AS_OF = datetime(2025, 4, 10, tzinfo=UTC)
OUTING = "2024-06-04-a"
LATER = "2024-06-04T10:00:00-07:00"


@pytest.fixture
def accounted(desk):
    def made(*permits):
        return account_book(desk.book, load_pack("nepacific"), permits=permits, as_of=AS_OF)

    return made


def test_what_has_no_fate_is_the_difference_and_has_to_be_settled(desk, accounted):
    key = desk.haul(f"{OUTING}/1")
    desk.move(key, 9, "shiner-perch")
    desk.move(key, 2, "shiner-perch", "escaped")
    assert not accounted().to_settle
    desk.move(key, 3, "shiner-perch", "net")
    desk.move(key, 7, "eelgrass", unit="blade")
    done = accounted()
    assert (done.out_of_sea, done.captured, done.unaccounted, done.difference) == (14, 12, 3, 3)
    assert done.other_units == {"blade": 7}
    assert done.to_settle


def test_kept_animals_in_a_cooler_are_owed_a_tank_and_no_decision(desk, accounted):
    key = desk.haul(f"{OUTING}/1")
    desk.move(key, 3, "bay-pipefish", "cooler 1")
    done = accounted()
    assert [thing.kind for thing in done.open] == ["animals"]
    assert (done.difference, done.to_settle) == (0, False)


def test_a_lost_animal_waits_for_the_lead_and_a_name_that_is_open_for_nobody(desk, accounted):
    key = desk.haul(f"{OUTING}/1")
    desk.move(key, 1, "?wee fish")
    assert [(thing.key.split(":")[0], thing.blocks) for thing in accounted().open] == [("name-open", False)]
    assert not accounted().to_settle
    desk.move(key, 1, "shiner-perch", "lost", cause="jumped out")
    assert accounted().to_settle


def test_what_blocks_the_closing_of_an_outing_has_to_be_settled(desk, accounted):
    key = desk.haul(f"{OUTING}/1")
    desk.move(key, 6, "bay-pipefish", "cooler 1")
    desk.write(OUTING, LATER, "counted-again", {"place": "cooler 1", "taxon": "bay-pipefish", "n": 5})
    done = accounted()
    assert [(thing.key.split(":")[0], thing.blocks) for thing in done.open] == [
        ("animals", True),
        ("count-differs", True),
    ]
    assert done.to_settle


def test_a_note_is_for_the_file_and_a_finding_or_a_question_for_a_person(desk, accounted, permit):
    key = desk.haul(f"{OUTING}/1")
    desk.move(key, 4, "bay-pipefish", "cooler 1")
    done = accounted(permit)
    assert {finding.grade for finding in done.findings} == {"note"}, "reached: nothing more may be added"
    assert not done.to_settle
    desk.move(key, 1, "bay-pipefish", "cooler 1")
    done = accounted(permit)
    assert "finding" in {finding.grade for finding in done.findings}
    assert done.to_settle


def test_rows_that_a_correction_made_are_flagged_in_the_report(desk, accounted, permit):
    key = desk.haul(f"{OUTING}/1")
    slip = desk.move(key, 15, "shiner-perch")
    desk.move(key, 2, "bay-pipefish")
    right = desk.move(key, 5, "shiner-perch")
    desk.write(OUTING, LATER, "strike", {"entries": [slip], "reason": "slip", "instead": [right]})
    (report,) = accounted(permit).reports
    assert {row["taxon_common"]: (row["n_captured"], row["flag"]) for row in report.filing.rows} == {
        "bay pipefish": (2, "normal"),
        "shiner perch": (5, "corrected"),
    }


def test_a_book_of_another_pack_is_refused_with_what_is_strange_in_it(desk, accounted):
    key = desk.haul(f"{OUTING}/1")
    desk.move(key, 1, "?wee fish")
    for taxon in ("cunner", "tautog"):
        desk.move(key, 1, taxon)
    with pytest.raises(
        Refusal, match=r"the pack nepacific lacks 2 taxa of the book, as 'cunner', 'tautog'; is"
    ):
        accounted()
    for taxon in ("grubby", "scup", "sea-raven", "rock-gunnel"):
        desk.move(key, 1, taxon)
    with pytest.raises(Refusal, match=r"lacks \d taxa of the book, as .* \.\.\.; is it the book's pack\?"):
        accounted()
