"""A real permit report made anew from its own field sheet, through the packaged layouts.

Source: beach seines of an estuarine research reserve in Kachemak Bay, Alaska, 2023: field sheets, and the
raw table and summary that the agency got (public GitHub repository kbnerr/nearshore-fish at 2d17139, MIT,
copyright 2022 Chris Guo). 11 hauls, 848 rows, 1987 animals, 32 taxa. The permit in this test is invented.
"""

from __future__ import annotations

import csv
from collections import Counter
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from haulbook.custody.facts import Account, Animals, Haul
from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.exchange.layouts import packaged_layouts
from haulbook.exchange.permit_toml import read_permit
from haulbook.permit.filing import for_report
from haulbook.permit.grounds import Grounds, Span
from haulbook.permit.layout import lay_out
from haulbook.permit.take import Take
from haulbook.taxa import load_pack

STAGES = {"YOY": "young", "Juvenile": "young", "Adult": "adult", "": None}
AS_OF = datetime(2024, 1, 10, tzinfo=UTC)
YEAR = Span(date(2023, 1, 1), date(2023, 12, 31))


def table(path):
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def folder(shared_data):
    return shared_data / "kachemak-beach-seine" / "2023"


@pytest.fixture(scope="module")
def account(folder):
    hauls, animals = {}, []
    for row in table(folder / "2023_kbnerr_site.csv"):
        landed = datetime.strptime(f"{row['Date']} {row['Time']} -0800", "%m/%d/%y %H:%M %z")
        key = f"{landed:%Y-%m-%d}-a/{row['Replicate']}"
        hauls[row["SeineID"]] = Haul(
            key,
            key[:12],
            row["SeineID"],
            row["Site"],
            landed=When(landed.isoformat()),
            lat=float(row["Latitude"]),
            lon=float(row["Longitude"]),
        )
    for i, row in enumerate(table(folder / "2023_kbnerr_fish.csv")):
        haul = hauls[row["SeineID"]]
        animals.append(
            Animals(
                haul.key,
                f"?{row['Common']}",
                int(row["Count"]),
                Fate.RELEASED_ALIVE,
                "back",
                haul.landed,
                stage=STAGES[row["LifeStage"]],
                length_mm=float(row["Length_mm"]) if row["Length_mm"] else None,
                said=row["Common"],
                entries=(f"row {i}",),
            )
        )
    return Account(tuple(hauls.values()), tuple(animals))


@pytest.fixture(scope="module")
def filing(account, pack_2023):
    permit = read_permit(
        Path(__file__).resolve().parents[1] / "cases" / "permits" / "collecting-2023.toml", pack_2023
    )
    return for_report(Take(account, (permit,), pack_2023), permit, YEAR, AS_OF, grounds=Grounds())


@pytest.fixture(scope="module")
def pack_2023():
    return load_pack("nepacific")


def test_the_summary_equals_the_one_that_was_filed(filing, folder):
    filed = {row["Species"]: int(row["Number"]) for row in table(folder / "2023_CF-23-073_Summary.csv")}
    made = lay_out(packaged_layouts()["species-summary"], filing.rows)
    assert made.headers == ("Species", "Number")
    assert dict(made.rows) == filed
    assert (len(filed), sum(filed.values())) == (32, 1987)


def test_the_detail_equals_the_filed_one_row_by_row(filing, folder):
    filed = table(folder / "2023_CF-23-073_RawData.csv")
    made = lay_out(packaged_layouts()["animals-detail"], filing.rows)
    assert made.headers == tuple(filed[0])
    assert made.missing == ()
    mine = [dict(zip(made.headers, row, strict=True)) for row in made.rows]
    assert [row["Number"] for row in mine] == [int(row["Number"]) for row in filed]
    assert len(mine) == 848
    for name in ("Date", "Location", "Collection Method", "Species", "Life Stage", "Disposition"):
        assert [row[name] for row in mine] == [row[name] for row in filed], name
    for name in ("Latitude", "Longitude"):
        assert [row[name] for row in mine] == [float(row[name]) for row in filed], name
    assert [row["Size_mm"] for row in mine] == [
        float(row["Size_mm"]) if row["Size_mm"] else None for row in filed
    ]


def test_per_haul_totals_and_reconciliation_hold(filing):
    per_haul = Counter()
    for line in filing.identity:
        per_haul[line.haul] += line.captured
    assert list(per_haul.values()) == [79, 230, 53, 11, 18, 929, 260, 33, 23, 48, 303]
    assert filing.captured == {"individual": 1987}
    assert filing.blockers == ()
