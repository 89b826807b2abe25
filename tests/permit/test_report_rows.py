"""Rows of the report model (A3): what each cell says and where it comes from (permits and catches invented)."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from haulbook.custody.facts import Lengths, Measure
from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.gear import Net
from haulbook.permit.grounds import Grounds, Span, Spot
from haulbook.permit.rows import report_rows
from haulbook.permit.take import Take

YEAR = Span(date(2024, 4, 1), date(2025, 3, 31))
AFTER = datetime(2025, 4, 10, tzinfo=UTC)
GROUNDS = Grounds(
    sites={"cove": Spot("Invented Cove", 48.1, -122.9, position_from="station file")},
    nets={"n1": Net("n1", 12.192, 1.5, 6.0, "stretch")},
    people_present={"o": 8},
)


@pytest.fixture
def rows(facts, permit_a, pack):
    def made(permit=permit_a, **more):
        return report_rows(Take(facts.account(**more), (permit,), pack), permit, YEAR, AFTER, GROUNDS)

    return made


def cells(row, *names):
    return tuple(row[name] for name in names)


def test_a_row_names_place_net_people_and_taxon_as_the_station_and_the_pack_do(facts, rows):
    facts.haul(
        "o/1",
        site="cove",
        net="n1",
        condition=1,
        set_type="straight",
        measures={"w": Measure(8.0, "measured"), "d": Measure(15.0, "measured")},
    )
    facts.add("o/1", 2, "bay-pipefish", Fate.RETAINED_ALIVE)
    (row,) = rows()
    assert cells(row, "site_name", "lat", "lon", "datum", "coord_source") == (
        "Invented Cove",
        48.1,
        -122.9,
        "EPSG:4326",
        "station file",
    )
    assert cells(row, "gear_code", "gear_length_m", "gear_height_m", "mesh_mm") == ("n1", 12.192, 1.5, 6.0)
    assert cells(row, "swept_area_m2", "people_present", "condition") == (120.0, 8, "good")
    assert cells(row, "taxon_sci", "taxon_common", "verbatim_name", "id_certainty") == (
        "Syngnathus leptorhynchus",
        "bay pipefish",
        None,
        "certain",
    )
    assert cells(row, "outing_date_local", "landed_at", "set_at") == (
        date(2024, 6, 4),
        datetime.fromisoformat("2024-06-04T09:36:00-07:00"),
        None,
    )


def test_a_place_that_the_station_does_not_know_keeps_its_key_and_a_haul_its_own_position(facts, rows):
    facts.haul("o/1", site="point")
    facts.haul("o/2", "2024-06-04T10:36:00-07:00", site="cove", lat=48.25, lon=-122.75)
    facts.haul("o/3", "2024-06-04T11:36:00-07:00")
    names = ("site_name", "lat", "lon", "datum", "coord_source")
    assert [cells(row, *names) for row in rows()] == [
        ("point", None, None, None, None),
        ("Invented Cove", 48.25, -122.75, "EPSG:4326", "haul"),
        ("", None, None, None, None),
    ]


def test_animals_of_a_haul_that_has_no_line_of_its_own_are_reported_on_the_day_they_were_called(facts, rows):
    facts.add("o/7", 3, "shiner-perch", called=When("2024-06-05"))
    facts.add("p/1", 9, "shiner-perch", called=When("2026-06-05"))
    (row,) = rows()
    assert cells(row, "outing_id", "haul_no", "n_captured", "outing_date_local", "landed_at", "flag") == (
        "o",
        "7",
        3,
        date(2024, 6, 5),
        None,
        "normal",
    )


def test_a_row_names_the_list_of_the_permit_only_for_what_surely_stands_on_it(facts, rows):
    facts.haul("o/1")
    for taxon in ("buffalo-sculpin", "bay-pipefish", "?small sculpin"):
        facts.add("o/1", 1, taxon)
    assert {row["taxon_common"]: row["taxon_list_name"] for row in rows()} == {
        "buffalo sculpin": "sculpins",
        "bay pipefish": None,
        "small sculpin": None,
    }


def test_what_was_killed_without_an_allowance_stands_on_a_row_of_its_own_and_names_it(facts, rows):
    facts.haul("o/1")
    facts.add("o/1", 2, "shiner-perch", Fate.KILLED_NOT_KEPT)
    facts.add("o/1", 3, "shiner-perch", Fate.DIED_RELEASED)
    assert [cells(row, "n_captured", "flag", "remark") for row in rows()] == [
        (2, "unauthorised", "unauthorised take: no clause allows it to be killed"),
        (3, "normal", None),
    ], "a death is a fact, no breach of its own (rule 8)"


def test_a_row_says_how_much_of_its_tightest_limit_was_used(facts, rows):
    facts.haul("o/1")
    facts.add("o/1", 3, "bay-pipefish", Fate.RETAINED_ALIVE)
    facts.add("o/1", 5, "eelgrass", Fate.RETAINED_ALIVE, unit="blade")
    assert [cells(row, "clause_ids", "authorised_n", "used_n", "remaining_n") for row in rows()] == [
        ("A1; A1b; A4", 4, 3, 1),
        ("A8", None, None, None),
    ]


def test_lengths_are_given_to_single_animals_only_where_it_is_sure_whose_they_are(facts, rows):
    facts.haul("o/1")
    facts.add("o/1", 3, "bay-pipefish")
    two = Lengths("o/1", "bay-pipefish", "TL", (120.0, 140.0), "l1")
    names = ("n_captured", "size_min_mm", "size_max_mm", "n_measured", "flag")
    assert [cells(row, *names) for row in rows(lengths=(two,))] == [
        (1, 120.0, 120.0, 1, "normal"),
        (1, 140.0, 140.0, 1, "normal"),
        (1, None, None, 0, "normal"),
    ]
    facts.animals.clear()
    facts.add("o/1", 6, "bay-pipefish", Fate.RETAINED_ALIVE)
    assert [cells(row, *names) for row in rows(lengths=(two,))] == [
        (4, 120.0, 140.0, 2, "normal"),
        (2, None, None, 0, "unauthorised"),
    ], "which of the six were measured nobody said"


def test_what_a_clause_protects_is_flagged_even_where_it_was_let_go(facts, rows, permit_a):
    facts.haul("o/1")
    facts.add("o/1", 1, "coho-salmon")
    facts.add("o/1", 1, "salmonidae")
    facts.add("o/1", 1, "shiner-perch")
    assert [row["flag"] for row in rows()] == ["protected", "protected", "normal"]
    later = datetime.fromisoformat("2024-08-01T00:00:00-07:00")
    clauses = tuple(
        replace(clause, effective_from=later) if clause.id == "A6a" else clause for clause in permit_a.clauses
    )
    assert [row["flag"] for row in rows(replace(permit_a, clauses=clauses))] == ["normal"] * 3
