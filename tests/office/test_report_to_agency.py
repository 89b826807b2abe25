"""Each permit's reports, one for each permit year with a haul in it (permits and catches invented)."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from haulbook.custody.facts import Account, Animals, Haul
from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.exchange.layouts import packaged_layouts
from haulbook.exchange.permit_toml import read_permit
from haulbook.exchange.station_toml import read_station
from haulbook.office.report_to_agency import grounds_of, report_to_agency
from haulbook.permit.grounds import Grounds
from haulbook.permit.take import Take
from haulbook.taxa import load_pack

PERMITS = Path(__file__).resolve().parents[1] / "cases" / "permits"
PACK = load_pack("nepacific")
AFTER = datetime(2026, 4, 10, tzinfo=UTC)


def haul(key, landed):
    return Haul(key, key.rpartition("/")[0], site="cove", landed=When(landed))


def some(of, taxon, n, fate=Fate.RELEASED_ALIVE, **more):
    return Animals(of.key, taxon, n, fate, "back", of.landed, entries=(f"{of.key} {taxon}",), **more)


@pytest.fixture
def permit():
    return read_permit(PERMITS / "a.toml", PACK)


def reports(permit, hauls, animals, *layouts):
    take = Take(Account(tuple(hauls), tuple(animals)), (permit,), PACK)
    return report_to_agency(take, layouts, AFTER, Grounds())


def test_there_is_a_report_for_each_permit_year_with_a_haul_even_an_empty_one(permit):
    """A nil return is signed and sent too (USFWS special-use form: "No activity", A1 of the permit notes)."""
    last, first = haul("o/1", "2025-03-31T23:50:00-07:00"), haul("p/1", "2025-04-01T00:10:00-07:00")
    longer = replace(permit, valid_to=datetime(2027, 4, 1, tzinfo=permit.tz), ends_on=date(2027, 3, 31))
    made = reports(longer, (first, last), [some(last, "shiner-perch", 3)])
    assert [(one.name, one.words, one.captured, one.filing.nil) for one in made] == [
        ("report-A-2024-04-01", "A, 2024-04-01 to 2025-03-31", 3, False),
        ("report-A-2025-04-01", "A, 2025-04-01 to 2026-03-31", 0, True),
    ]


def test_a_haul_that_may_belong_to_two_permit_years_is_in_both_and_one_without_a_date_in_none(permit):
    either = haul("o/1", "2025")
    longer = replace(permit, valid_to=datetime(2027, 4, 1, tzinfo=permit.tz), ends_on=date(2027, 3, 31))
    made = reports(longer, (either, Haul("p/1", "p")), [some(either, "shiner-perch", 3)])
    assert [one.filing.days.first for one in made] == [date(2024, 4, 1), date(2025, 4, 1)]


def test_file_names_hold_nothing_of_a_permit_number_that_a_disk_could_trip_over(permit):
    only = haul("o/1", "2024-06-04T09:36:00-07:00")
    names = [reports(replace(permit, no=no), [only], [])[0].name for no in ("../EX 27/014 ", "№")]
    assert names == ["report-EX-27-014-2024-04-01", "report-permit-2024-04-01"]


def test_the_parts_of_a_table_are_summed_without_its_subtotals_and_with_its_residual(permit):
    only = haul("o/1", "2024-06-04T09:36:00-07:00")
    animals = [
        some(only, "shiner-perch", 9),
        some(only, "shiner-perch", 2, Fate.DIED_RELEASED),
        some(only, "tube-snout", 1, Fate.FATE_UNKNOWN),
        some(only, "tube-snout", 5, Fate.SEEN_ESCAPED),
    ]
    plain = packaged_layouts()["kept-and-discarded"]
    summed = replace(plain, subtotals=("taxon_common",))
    ((one, two),) = [made.tables for made in reports(permit, [only], animals, plain, summed)]
    assert len(two.table.rows) == len(one.table.rows) + 2
    assert one.reported == two.reported == 12, "the five that got away were never captured"
    assert one.parts == two.parts
    assert one.parts[-1] == ("Lost or not dealt with", 1)
    without = replace(plain, parts=(*plain.parts, plain.residual), residual=None)
    ((other,),) = [made.tables for made in reports(permit, [only], animals, without)]
    assert other.parts == one.parts


def test_worksheets_carry_title_notes_certificate_and_what_is_missing(permit):
    only = replace(haul("o/1", "2024-06-04T09:36:00-07:00"), site=None)
    layouts = [packaged_layouts()[name] for name in ("kept-and-discarded", "animals-detail")]
    long_name = replace(layouts[1], name="n" * 40, certificate_text="")
    (made,) = reports(permit, [only], [some(only, "coho-salmon", 26)], layouts[0], long_name)
    kept, detail, findings = made.sheets()
    assert [sheet.name for sheet in made.sheets()] == ["kept-and-discarded", "n" * 31, "findings"]
    notes = dict(kept.notes)
    assert notes["Table"] == layouts[0].title
    assert "I certify" in notes["Certificate"]
    assert "Certificate" not in dict(detail.notes)
    assert ("Missing", "Location is required and empty: haul 1 of o") in detail.notes
    said = [dict(zip(findings.headers, row, strict=True)) for row in findings.rows]
    assert ("exceeded", "A6b", 26, 25) in [
        (row["Kind"], row["Clause"], row["Number"], row["Limit"]) for row in said
    ]


def test_a_report_takes_nets_and_positions_from_the_station_file(tmp_path):
    path = tmp_path / "station.toml"
    path.write_text(
        'station = "invented"\npack = "nwatlantic"\n'
        'net = [{key = "n1", length_m = 12.0, height_m = 1.5, mesh_mm = 6, mesh_as = "stretch"}]\n'
        '[[site]]\nkey = "cove"\nposition = [41.5, -70.25]\nzone = "America/New_York"\n',
        encoding="utf-8",
    )
    grounds = grounds_of(read_station(path))
    spot = grounds.sites["cove"]
    assert (spot.name, spot.lat, spot.lon, spot.position_from) == ("cove", 41.5, -70.25, "station file")
    assert grounds.nets["n1"].length_m == 12.0
    assert grounds_of(None) == Grounds()
