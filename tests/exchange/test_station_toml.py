"""The example of the joints page reads; everything wrong with a file is said at once. All figures invented."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from haulbook.exchange.station_toml import Person, read_station
from haulbook.gear import Net
from haulbook.problems import Refusal

GOOD = """
station = "invented"
pack = "nwatlantic"
people = {p1 = {role = "lead"}, p3 = {role = "recorder"}}
net = [{key = "n1", length_m = 12.0, height_m = 1.5, mesh_mm = 6, mesh_as = "stretch", width_ratio = 0.7}]
instrument = [{key = "hyd1", kind = "hydrometer", calibration = "60/60F"}]
tank = [{key = "q1", litres = 200, quarantine = true}]
[[site]]
key = "cove"
position = [41.0, -70.0]
zone = "America/New_York"
tide = {station = "ID", minutes_high = 0, minutes_low = 0, ratio = 1.0, observed_by = "p1", observed = 2026-06-01}
bed_m = -0.3
depth_m = [0.3, 1.0]
slack_lag_min = 0
coarsen_km = 0
"""

HYDROMETER = 'kind = "hydrometer", calibration = "60/60F"'


@pytest.fixture
def station(tmp_path):
    def read(text):
        path = tmp_path / "S.toml"
        path.write_text(text, encoding="utf-8")
        return read_station(path)

    return read


def test_the_example_reads_as_written(station):
    read = station(GOOD)
    assert read.people["p3"] == Person("p3", "recorder")
    assert read.nets["n1"] == Net("n1", 12.0, 1.5, 6, "stretch", 0.7)
    assert read.instruments["hyd1"].calibration == "60/60F"
    assert read.tanks["q1"].quarantine
    cove = read.sites["cove"]
    assert (cove.position, cove.bed_m, cove.depth_m) == ((41.0, -70.0), -0.3, (0.3, 1.0))
    assert cove.tide.observed == date(2026, 6, 1)


def test_the_station_of_the_invented_season_reads():
    papers = Path(__file__).resolve().parents[2] / "src/haulbook/demo/papers/station.toml"
    read = read_station(papers)
    assert set(read.people) == {"p1", "p2", "p3", "p4"}
    assert read.sites["sallowhorn-cove"].zone == "America/New_York"


@pytest.mark.parametrize(
    ("written", "instead", "says"),
    [
        ('pack = "nwatlantic"', 'pack = "nwatlantik"', "pack: there is no word 'nwatlantik'; the nearest is"),
        ("bed_m", "bed_mm", "site.1.bed_mm: there is no key 'bed_mm'; the nearest is 'bed_m'"),
        ('role = "lead"', 'role = "leader"', "people.p1.role: there is no word 'leader'; the nearest is 'lead'"),
        ("America/New_York", "America/NewYork", "site.1.zone: there is no time zone 'America/NewYork'; the nearest is"),
        ("[41.0, -70.0]", "[-70.0, 241.0]", "longitude 241 is beyond the date line; west is negative"),
        ("[41.0, -70.0]", "[141.0, -70.0]", "latitude 141 is beyond the pole"),
        ("[41.0, -70.0]", '"41 N"', "site.1.position: write two numbers"),
        ("[0.3, 1.0]", "[1.0, 0.3]", "site.1.depth_m: is 1 to 0.3"),
        ("length_m = 12.0", "length_m = 0", "net.1.length_m"),
        ('mesh_as = "stretch", ', "", "net.1.mesh_as: is needed"),
        (', calibration = "60/60F"', "", "instrument.1.calibration: is needed for a hydrometer"),
        (HYDROMETER, 'kind = "pH meter"', "instrument.1.scale: is needed for a pH meter"),
        (HYDROMETER, 'kind = "oxygen meter"', "instrument.1.salinity_setting: is needed"),
        ("quarantine = true", 'quarantine = "yes"', "tank.1.quarantine: is 'yes'; write true or false"),
        ("litres = 200", "litres = true", "tank.1.litres: is True; write a number"),
        ('observed_by = "p1"', 'observed_by = "p9"', "site cove.tide.observed_by: there is no person 'p9'"),
        ("observed = 2026-06-01", 'observed = "2026-06-01"', "site.1.tide.observed: is '2026-06-01'; write a date"),
        ('station = "invented"', "", "column station: is needed"),
        ("coarsen_km = 0", "coarsen_km = -1", "site.1.coarsen_km: is -1; it lies between 0 and any"),
    ],
)  # fmt: skip
def test_each_slip_is_named_by_file_and_dotted_key(station, written, instead, says):
    assert written in GOOD
    with pytest.raises(Refusal) as refused:
        station(GOOD.replace(written, instead, 1))
    assert says in str(refused.value)
    assert "S.toml" in str(refused.value)


def test_all_slips_are_said_together(station):
    text = (
        GOOD.replace("America/New_York", "Eastern")
        .replace('"nwatlantic"', '"atlantic"')
        .replace("bed_m", "bed")
    )
    with pytest.raises(Refusal) as refused:
        station(text)
    assert len(refused.value.problems) == 3


def test_a_key_used_twice_is_refused(station):
    with pytest.raises(Refusal, match=r"tank\.2\.key: there already is a tank 'q1'"):
        station(GOOD.replace("quarantine = true}]", 'quarantine = true}, {key = "q1", litres = 3}]'))


def test_what_is_no_toml_is_refused_in_words(station, tmp_path):
    with pytest.raises(Refusal, match=r"S\.toml: is no TOML"):
        station("station = ")
    with pytest.raises(Refusal, match="there is no file"):
        read_station(tmp_path / "none.toml")
