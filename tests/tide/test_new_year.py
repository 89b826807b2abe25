"""At each New Year (UTC) the agency's held node factors make a small step; nothing is lost or counted twice."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from haulbook.tide import extremes, water_at

NEW_YEAR = datetime(2027, 1, 1, tzinfo=UTC)
HOUR = 3600.0


def around(water, year, offset):
    at = datetime(year, 1, 1, tzinfo=UTC).timestamp()
    return float(water.heights(np.array([at - 1e-3]))[0]), float(water.heights(np.array([at + offset]))[0])


@pytest.mark.parametrize(("number", "step_m"), [("9418767", -0.004), ("9447130", -0.078)])
def test_the_step_of_2027_is_as_large_as_computed_elsewhere(catalog, number, step_m):
    # Steps computed by a second coding from the packaged constants.
    before, after = around(water_at(catalog.find(number), {}), 2027, 0.0)
    assert after - before == pytest.approx(step_m, abs=0.0006)


@pytest.mark.parametrize("number", ["9447130", "9443090", "9418767", "8452660"])
@pytest.mark.parametrize("year", range(2024, 2036))
def test_a_level_inside_the_step_is_crossed_once(catalog, number, year):
    water = water_at(catalog.find(number), {})
    before, after = around(water, year, 0.0)
    at = datetime(year, 1, 1, tzinfo=UTC).timestamp()
    level = (before + after) / 2
    left, right = water.heights(np.array([at - HOUR, at + HOUR])) - level
    found = water.crossings(level, at - HOUR, at + HOUR)
    # Once where the tide is on its way through; where it turns at midnight, once on each side or not at all.
    assert len(found) % 2 == (left * right < 0)
    assert len(found) <= 2
    if left * right < 0:
        assert len(found) == 1


def test_a_grid_runs_over_new_year_as_single_heights_do(catalog):
    water = water_at(catalog.find("9447130"), {})
    first = (NEW_YEAR - timedelta(hours=5)).timestamp()
    instants = first + 420.0 * np.arange(100)
    np.testing.assert_allclose(water.grid(first, 420.0, 100), water.heights(instants), atol=1e-9)


def test_midnight_itself_belongs_to_the_new_year(catalog):
    station = catalog.find("9447130")
    water = water_at(station, {})
    _, after = around(water, 2027, 0.0)
    assert water.grid(NEW_YEAR.timestamp(), 60.0, 1)[0] == pytest.approx(after)


@pytest.mark.parametrize("year", range(2020, 2040))
def test_highs_and_lows_take_turns_over_every_new_year(catalog, year):
    start = datetime(year, 12, 30, tzinfo=UTC)
    for number in ("9447130", "9443090", "8725110", "8768094", "1612340"):
        found = extremes(water_at(catalog.find(number), {}), start, start + timedelta(days=5))
        kinds = [one.kind for one in found]
        assert all(a != b for a, b in itertools.pairwise(kinds)), (number, year)
        gaps = [(b.time - a.time).total_seconds() for a, b in itertools.pairwise(found)]
        assert min(gaps) > 60, (number, year)
