"""Values of a second, independent coding of the same tables (computed for 9418767; no agency listing)."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest

from haulbook.tide import extremes, water_at
from haulbook.tide.clock import instant_of, zone_of
from haulbook.tide.constituents import NAMES
from haulbook.tide.nodes import equilibrium

PACIFIC = zone_of("America/Los_Angeles")

# Node factors at mid-year; 2024, 2026 and 2030 agree with the yearly table in the open R library MarineTides
# to 0.0001, and with a second coding of Schureman's tables to 0.0002.
FACTORS = {
    "columns": "M2 K1 O1 K2 M1 L2 J1 OO1 MF MM",
    2024: "0.9639 1.1112 1.1801 1.3103 2.2830 0.5914 1.1630 1.7657 1.4443 0.8738",
    2025: "0.9636 1.1119 1.1813 1.3131 1.8465 1.0009 1.1640 1.7725 1.4478 0.8727",
    2026: "0.9674 1.1031 1.1668 1.2815 1.0994 1.3288 1.1522 1.6945 1.4069 0.8856",
    2027: "0.9748 1.0849 1.1370 1.2195 1.6268 1.0909 1.1276 1.5439 1.3256 0.9111",
    2028: "0.9852 1.0578 1.0930 1.1347 2.1025 0.6859 1.0904 1.3430 1.2122 0.9468",
    2029: "0.9973 1.0235 1.0374 1.0379 1.7336 0.9409 1.0420 1.1205 1.0788 0.9887",
    2030: "1.0098 0.9845 0.9745 0.9416 0.9912 1.2309 0.9854 0.9059 0.9401 1.0323",
}

# V0 + u for 2026; the yearly table agrees within 0.02 degrees, M1 within 0.1.
ARGUMENTS_2026 = {
    "M2": 66.36, "S2": 0.00, "N2": 59.68, "K1": 14.26, "O1": 50.66, "P1": 349.33, "K2": 208.93, "Q1": 43.97,
    "M1": 25.2, "L2": 250.96, "J1": 22.39, "OO1": 160.76, "SA": 280.67, "SSA": 201.33,
}  # fmt: skip

HOURLY = (
    "1.042 0.894 0.934 1.179 1.560 1.969 2.309 2.500 2.468 2.173 1.640 0.960 "
    "0.256 -0.331 -0.673 -0.700 -0.438 0.012 0.539 1.051 1.456 1.678 1.688 1.523"
)


@pytest.mark.parametrize("year", range(2024, 2031))
def test_node_factors_of_a_year_are_those_of_the_yearly_table(year):
    found = dict(zip(NAMES, equilibrium(year).factors, strict=True))
    for name, factor in zip(FACTORS["columns"].split(), FACTORS[year].split(), strict=True):
        assert found[name] == pytest.approx(float(factor), abs=0.0002), name


def test_arguments_of_2026_are_those_of_the_yearly_table():
    found = dict(zip(NAMES, equilibrium(2026).arguments, strict=True))
    for name, degrees in ARGUMENTS_2026.items():
        apart = (found[name] - degrees + 180) % 360 - 180
        assert abs(apart) <= (0.1 if name == "M1" else 0.02), name


def test_hourly_heights_of_a_spring_tide_agree_to_a_millimetre(humboldt):
    start = datetime(2026, 6, 16, tzinfo=UTC).timestamp()
    found = water_at(humboldt, {}).grid(start, 3600.0, 24)
    np.testing.assert_allclose(found, [float(word) for word in HOURLY.split()], atol=0.0006)


def test_a_year_has_its_counted_highs_and_lows(humboldt):
    year = datetime(2026, 1, 1, tzinfo=UTC), datetime(2027, 1, 1, tzinfo=UTC)
    found = extremes(water_at(humboldt, {}), *year)
    lows = [one for one in found if one.kind == "low"]
    assert (len(found), len(lows), sum(one.height_m <= 0 for one in lows)) == (1410, 705, 186)
    lowest, highest = min(found, key=lambda one: one.height_m), max(found, key=lambda one: one.height_m)
    assert lowest.height_m == pytest.approx(-0.728, abs=0.0006)
    assert highest.height_m == pytest.approx(2.684, abs=0.0006)
    for one, clock in ((lowest, "2026-06-16T07:34:41"), (highest, "2026-12-24T10:56:59")):
        assert abs((one.time - instant_of(clock, PACIFIC)).total_seconds()) <= 1


@pytest.mark.parametrize("number", ["8454000", "8447930", "8768094"])
def test_double_lows_and_highs_are_found_as_a_grid_of_minutes_shows_them(catalog, number):
    # Stations whose overtides make the tide turn twice within minutes.
    start, end = (datetime(year, 1, 1, tzinfo=UTC).timestamp() for year in (2027, 2028))
    water = water_at(catalog.find(number), {})
    turns = water.turns(start, end)
    assert np.diff(turns.times).min() < 3600
    heights = water.grid(start, 60.0, 365 * 1440 + 1)
    rises = np.diff(heights) > 0
    at = np.flatnonzero(rises[1:] != rises[:-1]) + 1
    missed = [i for i in at if np.abs(turns.times - (start + 60.0 * i)).min() > 120]
    assert len(missed) <= 8
    # What is missed is a pair of turns less than a millimetre apart.
    assert all(np.abs(heights[i] - heights[max(0, i - 15) : i + 15]).max() < 0.005 for i in missed)


@pytest.mark.parametrize(
    ("day", "hours", "turns"),
    [
        ("2026-03-08", 23, "03:14:35 2.054 10:01:32 0.254 16:21:03 1.478 21:24:57 0.855"),
        ("2026-11-01", 25, "05:30:59 1.662 10:19:30 1.101 16:09:09 1.956 23:18:36 -0.042"),
    ],
)
def test_days_on_which_the_clocks_change_are_whole(humboldt, day, hours, turns):
    start, end = instant_of(day, PACIFIC), instant_of(day, PACIFIC, end=True)
    assert (end - start).total_seconds() == hours * 3600
    found = extremes(water_at(humboldt, {}), start, end)
    words = turns.split()
    for one, clock, height in zip(found, words[::2], words[1::2], strict=True):
        local = one.time.astimezone(PACIFIC)
        assert abs((one.time - instant_of(f"{day}T{clock}", PACIFIC)).total_seconds()) <= 1, local
        assert one.height_m == pytest.approx(float(height), abs=0.0006)
