"""The Kachemak Bay beach seines are read at all their stages, and agree with what was handed in.

kbnerr/nearshore-fish, MIT (copyright 2022 Chris Guo). Facts computed in R and checked with pandas, apart from this
project; the permit summary and raw table of 2023 are the files that went to the agency.
"""

from __future__ import annotations

import csv
from collections import Counter
from pathlib import Path

import pytest

from haulbook.exchange.answers import Answer
from haulbook.exchange.map_toml import read_sheet_map
from haulbook.exchange.reading import read_sheets
from haulbook.exchange.sheet_catch import State

MAPS = Path(__file__).parent / "maps"


@pytest.fixture(scope="module")
def folder(shared_data):
    return shared_data / "kachemak-beach-seine"


@pytest.fixture(scope="module")
def y2023(folder):
    files = [folder / "2023" / f"2023_kbnerr_{part}.csv" for part in ("site", "fish", "env")]
    return read_sheets(files, read_sheet_map(MAPS / "kachemak-2023.toml"))


def read_2018(folder, answers=()):
    files = [folder / "2018" / name for name in ("Site-Info.csv", "Fish-Combined.csv")]
    return read_sheets(files, read_sheet_map(MAPS / "kachemak-2018.toml"), answers)


@pytest.fixture(scope="module")
def y2018(folder):
    return read_2018(folder)


def workbook(folder, year):
    return read_sheets(
        [folder / year / f"submission_{year}.xlsx"], read_sheet_map(MAPS / "kachemak-workbook.toml")
    )


def test_2023_hauls_rows_animals_and_taxa(y2023):
    assert (len(y2023.hauls), y2023.rows, y2023.animals, len(y2023.by_taxon)) == (11, 848, 1987, 32)
    assert list(y2023.by_haul.values()) == [79, 230, 53, 11, 18, 929, 260, 33, 23, 48, 303]
    assert not [p for p in y2023.problems if p.kind in ("asked", "refused", "altered")]


def test_2023_agrees_with_the_filed_summary_taxon_by_taxon(y2023, folder):
    with (folder / "2023" / "2023_CF-23-073_Summary.csv").open(encoding="utf-8", newline="") as lines:
        filed = {row["Species"]: int(row["Number"]) for row in csv.DictReader(lines)}
    assert y2023.by_taxon == filed


def test_2023_numbers_agree_row_by_row_with_the_filed_detail(y2023, folder):
    with (folder / "2023" / "2023_CF-23-073_RawData.csv").open(encoding="utf-8", newline="") as lines:
        filed = [(row["Species"], int(row["Number"])) for row in csv.DictReader(lines)]
    (catch,) = y2023.catches
    assert [(catch.name[i], int(n)) for i, n in enumerate(catch.n)] == filed


def test_2023_lengths_stages_times_and_water(y2023):
    (catch,) = y2023.catches
    assert int((catch.length_mm == catch.length_mm).sum()) == 835
    assert Counter(catch.stage) == {"YOY": 299, "Juvenile": 68, "": 477, "Adult": 4}
    assert y2023.hauls[0].at == "2023-06-20T09:36:00-08:00"
    assert (len(y2023.readings), y2023.readings[0].values["oxygen_percent"]) == (11, 124.5)


def test_2018_animals_hauls_and_labels(y2018):
    assert (y2018.rows, y2018.animals, len(y2018.by_taxon)) == (5222, 35_583, 59)
    assert {name: y2018.by_taxon[name] for name in ("Pacific Herring", "Capelin")} == {
        "Pacific Herring": 19_190, "Capelin": 1_131,
    }  # fmt: skip
    listed = [haul for haul in y2018.hauls if haul.listed]
    assert len(listed) == 142
    assert len({haul.day for haul in listed}) == 47


def test_2018_the_misspelt_harbour_is_asked_not_joined_and_not_lost(y2018, folder):
    questions = [q for q in y2018.questions if q.about == "haul-key"]
    assert [q.key for q in questions] == [
        "Fish-Combined.csv|CMI/6/Seldovia Harvbor/1", "Fish-Combined.csv|CMI/6/Seldovia Harvbor/2",
    ]  # fmt: skip
    assert sum(len(q.rows) for q in questions) == 91
    assert all("the nearest without a partner is 'CMI/6/Seldovia Harbor/" in q.ask for q in questions)
    strange = {key: n for key, n in y2018.by_haul.items() if "Harvbor" in key}
    assert sum(strange.values()) == 204
    assert all(n == 0 for key, n in y2018.by_haul.items() if "6/Seldovia Harbor" in key)
    answers = [Answer(q.about, q.key, q.rows, f"CMI/6/Seldovia Harbor/{q.key[-1]}") for q in questions]
    settled = read_2018(folder, answers)
    assert (len(settled.hauls), settled.animals) == (142, 35_583)
    assert sum(n for key, n in settled.by_haul.items() if "6/Seldovia Harbor" in key) == 204


def test_2018_six_blank_counts_are_asked_and_are_neither_zero_nor_one(y2018):
    blanks = [q for q in y2018.questions if q.about == "blank-count"]
    assert sum(len(q.rows) for q in blanks) == 6
    assert {q.key.split("|")[2] for q in blanks} == {"Capelin"}
    (catch,) = y2018.catches
    assert int((catch.state == State.OPEN).sum()) == 6


def test_2018_fates_in_remarks_are_proposed_once_a_block(y2018):
    fates = [q for q in y2018.questions if q.about == "fate"]
    assert (len(fates), sum(len(q.rows) for q in fates)) == (61, 265)
    glacier = next(
        q for q in fates if q.key == "Fish-Combined.csv|CMI/6/Glacier Spit/2|Capelin|One capelin deceased."
    )
    assert glacier.rows[0] == 4109


def test_2018_initials_of_people_are_not_read(y2018):
    assert not any("Smpler" in heading for catch in y2018.catches for heading in catch.table.columns)


def test_2008_workbook_of_date_cells_and_unmeasured_animals(folder):
    reading = workbook(folder, "2008")
    assert (len(reading.hauls), reading.rows, reading.animals, len(reading.by_taxon)) == (14, 655, 955, 29)
    assert len({haul.day for haul in reading.hauls}) == 4
    assert reading.hauls[0].at == "2008-07-16"
    (catch,) = reading.catches
    assert int((catch.length_mm == catch.length_mm).sum()) == 644


def test_2018_workbook_with_empty_columns_and_comments(folder):
    reading = workbook(folder, "2018")
    assert (len(reading.hauls), reading.rows, reading.animals) == (142, 5222, 5098 + 31_687)
    assert reading.hauls[0].at == "2018-06-13T10:45:00-08:00"
