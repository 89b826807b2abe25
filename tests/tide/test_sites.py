"""Tides that follow from others: subordinate stations, sites with an observed offset, series and cautions."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

import haulbook.tide
from haulbook.problems import Refusal
from haulbook.tide import SiteOffset, Terms, below, cautions, extremes, find_windows, water_at
from haulbook.tide.clock import zone_of
from haulbook.tide.series import series

EASTERN = zone_of("America/New_York")
START = datetime(2027, 5, 14, 4, tzinfo=UTC)
END = START + timedelta(days=3)


@pytest.fixture
def newport(catalog):
    return catalog.find("8452660")


@pytest.fixture
def castle_hill(catalog):
    return catalog.find("8453201")


def test_highs_and_lows_of_a_subordinate_are_moved_and_scaled(catalog, newport, castle_hill):
    by = castle_hill.differences
    there = extremes(water_at(newport, {}), START - timedelta(days=1), END)
    here = extremes(water_at(castle_hill, catalog.stations), START, END)
    expected = {
        one.time + timedelta(minutes=by.minutes_high if one.kind == "high" else by.minutes_low): one.height_m
        * (by.factor_high if one.kind == "high" else by.factor_low)
        for one in there
    }
    for one in here:
        time = min(expected, key=lambda at: abs(at - one.time))
        assert abs((time - one.time).total_seconds()) < 0.01
        assert one.height_m == pytest.approx(expected[time])


def test_fixed_differences_add_metres(catalog):
    # 1616696 on 1612340: +0.2 ft = 0.06 m at high, nothing at low, both 9 minutes earlier.
    here, there = catalog.find("1616696"), catalog.find("1612340")
    highs = [
        {
            one.time: one.height_m
            for one in extremes(water_at(place, catalog.stations), START, END)
            if one.kind == "high"
        }
        for place in (here, there)
    ]
    for (at, height), (before, base) in zip(highs[0].items(), highs[1].items(), strict=True):
        assert height == pytest.approx(base + 0.06)
        assert (before - at).total_seconds() == pytest.approx(9 * 60, abs=0.1)


def test_a_drawn_curve_goes_through_its_highs_and_lows_flat(catalog, castle_hill):
    water = water_at(castle_hill, catalog.stations)
    turns = water.turns(START.timestamp(), END.timestamp())
    np.testing.assert_allclose(water.heights(turns.times), turns.heights, atol=1e-9)
    np.testing.assert_allclose(water.rates(turns.times + 1e-3), 0.0, atol=1e-6)
    # Half a cosine: half-way in time is half-way in height.
    middle = (turns.times[:-1] + turns.times[1:]) / 2
    np.testing.assert_allclose(water.heights(middle), (turns.heights[:-1] + turns.heights[1:]) / 2, atol=1e-9)


def test_a_drawn_curve_is_flagged_and_rounded_to_5_minutes_and_a_centimetre(catalog, castle_hill):
    water = water_at(castle_hill, catalog.stations)
    assert water.interpolated
    values = series(water, START + timedelta(seconds=100), END, 30, EASTERN)
    assert all(at.second == 0 and at.minute % 5 == 0 for at, _ in values)
    assert values[0][0] == START + timedelta(minutes=5)
    assert all(height == round(height, 2) for _, height in values)
    with pytest.raises(Refusal, match="at whole 5 minutes: make the step a multiple of 5"):
        series(water, START, END, 6, EASTERN)


def test_windows_on_a_drawn_curve_are_rounded_inward(catalog, castle_hill, newport):
    terms = Terms(date(2027, 5, 3), date(2027, 5, 9), EASTERN, (41.5, -71.3))
    found = find_windows(water_at(castle_hill, catalog.stations), below(0.1), terms)
    assert found
    for window in found:
        assert window.interpolated
        assert window.start.timestamp() % 300 == 0
        assert window.end.timestamp() % 300 == 0
    assert not any(one.interpolated for one in find_windows(water_at(newport, {}), below(0.1), terms))


def test_a_site_that_is_late_and_higher_moves_the_whole_curve(newport):
    plain = water_at(newport, {})
    site = water_at(newport, {}, SiteOffset(20, 20, 1.1, 0.05, "p1", date(2026, 6, 1)))
    assert not site.interpolated
    times = START.timestamp() + 600.0 * np.arange(200)
    np.testing.assert_allclose(site.heights(times), 1.1 * plain.heights(times - 1200) + 0.05)
    np.testing.assert_allclose(site.grid(times[0], 600.0, 200), site.heights(times), atol=1e-9)
    np.testing.assert_allclose(site.rates(times), 1.1 * plain.rates(times - 1200))
    level = 0.3
    crossings = site.crossings(level, times[0], times[-1])
    assert len(crossings) > 2
    np.testing.assert_allclose(site.heights(crossings), level, atol=1e-5)


def test_a_site_that_is_late_at_low_only_is_drawn(newport):
    site = water_at(newport, {}, SiteOffset(0, 40, 1.0, 0.0, "p1"))
    assert site.interpolated
    plain = list(extremes(water_at(newport, {}), START, END))
    moved = list(extremes(site, START, END))
    for one, other in zip(plain, moved, strict=True):
        late = (other.time - one.time).total_seconds() / 60
        assert late == pytest.approx(40 if one.kind == "low" else 0, abs=0.01)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ((400, 0), "differs by at most 360 minutes from its station"),
        ((0, float("nan")), "differs by at most 360 minutes from its station"),
        ((0, 0, 0.0), "ratio of heights lies between 0.1 and 5, not at 0"),
        ((0, 0, 1.0, 9.0), "added height lies within 5 m, not at 9 m"),
        ((0, 0, 1.0, float("nan")), "added height lies within 5 m"),
        ((10, 10), "needs to say who observed it"),
    ],
)
def test_an_offset_nobody_could_have_seen_is_refused(values, words):
    with pytest.raises(Refusal, match=words):
        SiteOffset(*values)


@pytest.mark.parametrize(
    ("start", "end", "step", "words"),
    [
        (END, START, 1, "is not after"),
        (START, START, 1, "is not after"),
        (START, END, 0, "the step has to lie between 1 second and a year"),
        (START, END, -1, "the step has to lie between 1 second and a year"),
        (START, END, float("nan"), "the step has to lie between 1 second and a year"),
        (START, END, 1e12, "the step has to lie between 1 second and a year"),
        (START, START + timedelta(days=1000), 1, "1,440,001 heights"),
        (START.replace(year=1970), END, 60, "not to be trusted in 1970"),
    ],
)
def test_a_series_that_cannot_be_is_refused(newport, start, end, step, words):
    with pytest.raises(Refusal, match=words):
        series(water_at(newport, {}), start, end, step, EASTERN)


def test_a_series_has_both_ends_where_the_step_fits(newport):
    values = series(water_at(newport, {}), START, START + timedelta(hours=1), 30, EASTERN)
    assert [at for at, _ in values] == [START + timedelta(minutes=n) for n in (0, 30, 60)]


def test_every_prediction_is_said_to_be_one_with_its_vintage(catalog, newport):
    said = cautions(newport, catalog.stations)
    assert said[0].startswith("Predictions are not observations")
    assert said[-1] == (
        "Heights above mean lower low water. Constants of 8452660 Newport (41.5043 N, 71.3261 W): NOAA CO-OPS, as "
        "of 2026-09-24, epoch 1983-2001. Computed by haulbook, not official; not for navigation."
    )


def test_a_site_far_from_its_station_is_cautioned(catalog, newport):
    assert not any(
        "km from station" in one for one in cautions(newport, catalog.stations, site=(41.46, -71.31))
    )
    far = cautions(newport, catalog.stations, site=(42.0, -70.0))
    assert any(re.search(r"The site is 1\d\d km from station 8452660", one) for one in far)


def test_drawn_curves_subordinates_offsets_and_rates_are_cautioned(catalog, castle_hill):
    offset = SiteOffset(10, 20, 1.1, 0.1, "p1", date(2026, 6, 1))
    text = " ".join(cautions(castle_hill, catalog.stations, offset=offset, drawn=True, rates=True))
    assert "interpolated by haulbook" in text
    assert "Subordinate station" in text
    assert "Reference: 8452660 Newport" in text
    assert "high +10 min, low +20 min, height x 1.1 +0.10 m; observed by p1, 1 June 2026" in text
    assert "not how fast the water runs" in text


def test_constituents_that_are_left_out_are_owned_up_to(catalog):
    # Anchorage: the agency publishes 120 constituents.
    text = " ".join(cautions(catalog.find("9455920"), catalog.stations))
    assert "further constituents" in text
    assert "up to 2.09 m" in text


def test_the_room_never_calls_a_day_safe():
    sources = [
        *Path(haulbook.tide.__file__).parent.glob("*.py"),
        *(Path(haulbook.tide.__file__).parents[1] / "cli").glob("tide.py"),
        *(Path(haulbook.tide.__file__).parents[1] / "cli").glob("sun.py"),
    ]
    for path in sources:
        assert not re.search(r"\bsafe\b", path.read_text(encoding="utf-8"), re.IGNORECASE), path.name


def test_a_missing_datum_and_missing_constants_are_refused(newport):
    with pytest.raises(Refusal, match="no published constants"):
        water_at(replace(newport, constants=()), {})
    with pytest.raises(Refusal, match="no datum"):
        water_at(replace(newport, mean_level_m=None), {})
