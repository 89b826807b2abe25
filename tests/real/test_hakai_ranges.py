"""Ranges that a spreadsheet turned into dates and day numbers are asked cell by cell.

Hakai Institute, seagrass habitat survey (ioos/bio_data_guide), CC BY 4.0. Numbers of damaged cells counted in the
file apart from this project.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from haulbook.exchange.map_toml import read_sheet_map
from haulbook.exchange.reading import read_sheets

MAPS = Path(__file__).parent / "maps"


def test_every_damaged_cell_is_asked_with_the_range_it_may_have_been(shared_data):
    file = shared_data / "hakai-seagrass-shoots" / "seagrass_habitat_survey.csv"
    reading = read_sheets([file], read_sheet_map(MAPS / "hakai-habitat.toml"))
    asked = [p for p in reading.problems if p.kind == "asked"]
    found = Counter((p.column, p.message.split("'")[1]) for p in asked)
    assert found == {
        ("transect_dist", "10-May"): 335, ("transect_dist", "15-Oct"): 335,
        ("patchiness", "02-Jan"): 226, ("patchiness", "43102"): 75,
        ("patchiness", "03-Feb"): 96, ("patchiness", "43134"): 21,
        ("patchiness", "04-Mar"): 26, ("patchiness", "43163"): 12,
        ("patchiness", "05-Apr"): 54, ("patchiness", "43195"): 26,
        ("density_range", "43240"): 90,
    }  # fmt: skip
    assert all("turned the range 5-20" in p.message for p in asked if p.column == "density_range")
    assert [p.row for p in asked if p.column == "transect_dist"][:2] == [3, 4]
