"""What holds for every tide, band, place and day."""

from __future__ import annotations

import itertools
from datetime import UTC, date, datetime, time, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulbook.problems import Refusal
from haulbook.tide import Band, SiteOffset, Terms, find_windows, load_catalog, rank, water_at
from haulbook.tide.clock import day_start, instant_of, zone_of
from haulbook.tide.daylight import daylight
from haulbook.tide.spans import both, tidy, without

CATALOG = load_catalog()
# Semi-diurnal, mixed, diurnal, tiny and huge ranges; subordinate with ratios, fixed amounts and odd minutes.
STATIONS = ("8452660", "9447130", "8729840", "8768094", "9455920", "8453201", "1616696", "TEC4769", "8726243")
EPOCH = datetime(2024, 1, 1, tzinfo=UTC).timestamp()

stations = st.sampled_from(STATIONS)
instants = st.floats(EPOCH, EPOCH + 10 * 365 * 86400.0)
offsets = st.sampled_from(
    [SiteOffset(), SiteOffset(25, 25, 1.1, 0.1, "p1"), SiteOffset(10, 45, 0.9, 0.0, "p1")]
)
moderately = settings(max_examples=25, deadline=None)


def tide(number, offset):
    return water_at(CATALOG.find(number), CATALOG.stations, offset)


@moderately
@given(stations, offsets, instants)
def test_between_two_turns_the_height_goes_one_way(number, offset, start):
    water = tide(number, offset)
    turns = water.turns(start, start + 3 * 86400)
    for first, last, rises in zip(
        turns.times, turns.times[1:], turns.heights[1:] > turns.heights[:-1], strict=False
    ):
        heights = water.heights(np.linspace(first, last, 25))
        steps = np.diff(heights) * (1 if rises else -1)
        # Two turns inside one search step may be missed: less than 1 mm.
        assert steps.min() > -1e-3


@moderately
@given(stations, offsets, instants, st.floats(-0.2, 1.2))
def test_a_crossing_is_at_its_level_and_none_is_missed(number, offset, start, share):
    water, end = tide(number, offset), start + 2 * 86400
    heights = water.grid(start, 60.0, 2881)
    level = float(heights.min() + share * (heights.max() - heights.min()))
    found = water.crossings(level, start, end)
    step = datetime(datetime.fromtimestamp(end, UTC).year, 1, 1, tzinfo=UTC).timestamp()
    off = found[np.abs(found - step) > 2 * 3600]
    np.testing.assert_allclose(water.heights(off), level, atol=1e-4)
    if not start <= step <= end:
        above = heights >= level
        assert len(found) >= np.count_nonzero(above[:-1] != above[1:])


@moderately
@given(stations, offsets, instants, st.floats(1.0, 5000.0), st.integers(1, 400))
def test_a_grid_is_what_single_heights_are(number, offset, start, step, count):
    water = tide(number, offset)
    single = water.heights(start + step * np.arange(count))
    np.testing.assert_allclose(water.grid(start, step, count), single, atol=1e-7)


@moderately
@given(
    stations,
    offsets,
    st.dates(date(2024, 1, 1), date(2034, 12, 1)),
    st.integers(0, 10),
    st.floats(-1.0, 1.5),
    st.floats(0.05, 2.0),
    st.booleans(),
    st.booleans(),
)
def test_windows_lie_in_the_band_the_light_and_the_hours_and_apart(
    number, offset, first, days, least, width, light, shop_hours
):
    station = CATALOG.find(number)
    zone, water = zone_of(station.zone), tide(number, offset)
    terms = Terms(
        first,
        first + timedelta(days=days),
        zone,
        light_at=(station.latitude, station.longitude),
        in_daylight=light,
        hours=(time(7), time(17)) if shop_hours else None,
    )
    band = Band(least, least + width)
    found = find_windows(water, band, terms)
    assert all(a.end <= b.start for a, b in itertools.pairwise(found))
    for window in found:
        times = np.linspace(window.start.timestamp(), window.end.timestamp(), 9)[1:-1]
        heights = water.heights(times)
        # A step at New Year is at most some centimetres.
        new_year = datetime(window.end.year, 1, 1, tzinfo=UTC).timestamp()
        slack = 0.15 if np.abs(times - new_year).min() < 4 * 3600 else 1e-3
        assert heights.min() > band.least_m - slack
        assert heights.max() < band.most_m + slack
        assert terms.first <= window.low.time.astimezone(zone).date() <= terms.last
        if window.leg != "both" and not water.interpolated:
            falling = water.rates(times[3:4])[0] < 0.01
            assert falling == (window.leg == "ebb") or slack > 0.1 or abs(water.rates(times[3:4])[0]) < 0.01
        assert 0 <= window.rough_minutes <= window.minutes + 1e-6
        assert 0 <= window.daylight_minutes <= window.minutes + 1e-6
        if light:
            assert window.daylight_minutes >= window.minutes - 1e-6
        if shop_hours:
            opens, closes = window.start.astimezone(zone), window.end.astimezone(zone)
            assert time(6, 59, 59) < opens.time()
            assert closes.time() <= time(17)
    assert sorted(one.rank for one in rank(found, terms)) == list(range(1, len(found) + 1))


@moderately
@given(st.floats(-89, 89), st.floats(-180, 180), st.dates(date(2020, 1, 1), date(2035, 12, 31)))
def test_the_sun_keeps_its_order_everywhere_on_every_day(latitude, longitude, day):
    zone = zone_of("UTC")
    light = daylight(latitude, longitude, day, zone)
    events = [at for at in (light.dawn, light.sunrise, light.noon, light.sunset, light.dusk) if at]
    assert events == sorted(events)
    assert abs((light.noon - datetime.combine(day, time(12), UTC)).total_seconds()) <= 12.3 * 3600
    span, civil = light.span(), light.span("civil")
    if span and civil:
        assert civil[0] <= span[0]
        assert span[1] <= civil[1]


@moderately
@given(
    st.datetimes(datetime(2024, 1, 1), datetime(2035, 12, 31)),  # noqa: DTZ001
    st.sampled_from(["America/New_York", "America/Los_Angeles", "America/Havana", "Pacific/Honolulu"]),
)
def test_a_local_time_comes_back_or_is_refused(written, key):
    zone = zone_of(key)
    written = written.replace(microsecond=0, fold=0)
    twice = written.replace(tzinfo=zone).utcoffset() != written.replace(tzinfo=zone, fold=1).utcoffset()
    if twice:
        with pytest.raises(Refusal, match=r"happens twice|does not exist"):
            instant_of(written.isoformat(), zone)
    else:
        at = instant_of(written.isoformat(), zone)
        assert at.astimezone(zone).replace(tzinfo=None) == written
    assert day_start(written.date(), zone) <= written.replace(tzinfo=zone).astimezone(UTC) + timedelta(
        hours=1
    )


numbers = st.integers(0, 40)
some_spans = st.lists(st.tuples(numbers, numbers), max_size=8)


def minutes_in(spans):
    return {n + 0.5 for start, end in spans for n in range(int(max(start, -1)), int(min(end, 41)))}


@given(some_spans, some_spans)
def test_spans_are_sets(left, right):
    one, other = tidy(left), tidy(right)
    assert minutes_in(one) == minutes_in(left)
    assert minutes_in(both(one, other)) == minutes_in(one) & minutes_in(other)
    assert minutes_in(without(one, other)) == minutes_in(one) - minutes_in(other)
    for spans in (one, both(one, other), without(one, other)):
        assert all(start < end for start, end in spans)
        assert all(a[1] <= b[0] for a, b in itertools.pairwise(spans))
