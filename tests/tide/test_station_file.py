"""The packaged stations: one source, its licence and date, and nothing of any other source."""

from __future__ import annotations

import gzip
import importlib.util
import json
import re
from datetime import date
from importlib.resources import files
from pathlib import Path

import pytest

from haulbook.tide.constituents import NAMES

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def packed():
    return files("haulbook.tide").joinpath("data/stations.json.gz").read_bytes()


@pytest.fixture(scope="module")
def contents(packed):
    return json.loads(gzip.decompress(packed))


@pytest.fixture(scope="module")
def tool():
    spec = importlib.util.spec_from_file_location("tool", ROOT / "tools/make_tide_stations.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_header_names_source_version_licence_and_date(contents):
    header = contents["header"]
    assert "NOAA Center for Operational Oceanographic Products and Services" in header["source"]
    assert header["licence"].startswith("public domain")
    assert header["version"].endswith(header["published"].replace("-", ""))
    assert date.fromisoformat(header["extracted"]) >= date.fromisoformat(header["published"])
    assert "not for navigation" in header["note"]


def test_all_stations_of_the_agency_are_there_and_no_other_source_is(contents):
    stations = contents["stations"]
    assert len(stations) == 3501
    assert sum("reference" in one for one in stations) == 2244
    assert len({one["id"] for one in stations}) == 3501
    # The agency's numbers: seven digits, or three letters and four digits for Pacific and Caribbean tables.
    assert all(re.fullmatch(r"\d{7}|(TEC|TPT|TWC)\d{4}", one["id"]) for one in stations)
    allowed = {
        "id", "name", "at", "zone", "reference", "minutes", "ratio", "fixed",
        "epoch", "mean", "lowest", "highest", "mm", "tenths", "unused",
    }  # fmt: skip
    assert {key for one in stations for key in one} <= allowed
    text = json.dumps(contents["stations"]).casefold()
    assert not any(other in text for other in ("ticon", "kartverket", "hydrographic", "creative", "cc by"))


def test_every_subordinate_station_has_its_reference(contents):
    ids = {one["id"] for one in contents["stations"] if "mm" in one}
    assert all(one["reference"] in ids for one in contents["stations"] if "reference" in one)


def test_most_reference_stations_have_all_37_constituents(contents):
    assert tuple(contents["constituents"]) == NAMES
    assert all(len(one["mm"]) == len(one["tenths"]) == 37 for one in contents["stations"] if "mm" in one)


def test_one_station_is_known_by_number_and_position_only(catalog):
    station = catalog.find("9444090")
    assert station.name == ""
    assert station.title == "9444090 (48.1250 N, 123.4400 W)"
    assert [one.id for one in catalog.stations.values() if not one.name] == ["9444090"]


def test_the_file_is_small_enough_to_carry(packed):
    assert len(packed) < 300_000


def record(**other):
    plain = {
        "id": "noaa/1234567", "kind": "tide", "type": "subordinate", "name": "Invented Cove",
        "latitude": 41.0, "longitude": -70.0, "zone": "America/New_York",
        "source": {"id": "1234567", "name": "US National Oceanic and Atmospheric Administration"},
        "license": {"type": "public domain"},
        "offsets": {
            "reference": "noaa/8452660", "time": {"high": 5, "low": -3},
            "height": {"type": "ratio", "high": 1.0099999904632568, "low": 1.06},
        },
    }  # fmt: skip
    return {**plain, **other}


@pytest.mark.parametrize(
    "other",
    [
        {"id": "ticon/cove"},
        {"kind": "current"},
        {"source": {"id": "1", "name": "TICON-4"}},
        {"license": {"type": "cc-by-nc-4.0"}},
    ],
)
def test_the_maker_lets_no_other_source_or_licence_pass(tool, other):
    assert tool.is_agency_tide(record())
    assert not tool.is_agency_tide(record(**other))


def test_the_maker_leaves_out_a_name_wherever_it_repeats(tool):
    found = tool.without_names(
        [
            record(id="noaa/9444090", name="Invented Point"),
            record(id="noaa/1", name="Breakwater, INVENTED POINT"),
            record(id="noaa/2", name="Point Invented"),
        ]
    )
    assert [one["name"] for one in found] == ["", "", "Point Invented"]


def test_the_maker_rounds_to_what_the_agency_publishes(tool):
    assert tool.packed(record()) == {
        "id": "1234567", "name": "Invented Cove", "at": [41.0, -70.0], "zone": "America/New_York",
        "reference": "8452660", "minutes": [5, -3], "ratio": [1.01, 1.06],
    }  # fmt: skip


def test_the_maker_refuses_another_number_of_stations(tool):
    with pytest.raises(SystemExit, match="1 stations passed where 3501 were expected"):
        tool.station_file([record(id="noaa/9444090")], date(2026, 11, 25))
