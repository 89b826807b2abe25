"""Sun and moon against the US Naval Observatory's tables, and days without sunrise or sunset."""

from __future__ import annotations

import itertools
from datetime import UTC, date, datetime, timedelta

import pytest

from haulbook.problems import Refusal
from haulbook.tide import daylight
from haulbook.tide.clock import instant_of, zone_of

PACIFIC = zone_of("America/Los_Angeles")
PST = zone_of("Etc/GMT+8")

# San Diego 32.7157 N 117.1611 W, 2026: begin civil, rise, set, end civil, local clock. US Naval Observatory API,
# quoted in the fixtures of a public test suite.
SAN_DIEGO = [
    ("2026-03-08", "06:43 07:08 18:51 19:16"),
    ("2026-03-20", "06:28 06:52 19:00 19:25"),
    ("2026-06-20", "05:12 05:41 20:00 20:28"),
    ("2026-11-01", "05:41 06:06 16:58 17:23"),
    ("2026-12-21", "06:20 06:47 16:47 17:14"),
]

# 37 24 N 121 55 W, 2008, rise and set, Pacific standard time all year: a saved US Naval Observatory year table.
YEAR_TABLE = [
    ("2008-01-01", "07:22 17:00"),
    ("2008-02-01", "07:11 17:32"),
    ("2008-03-01", "06:38 18:02"),
    ("2008-05-01", "05:12 18:58"),
    ("2008-07-01", "04:51 19:32"),
    ("2008-10-01", "06:04 17:50"),
    ("2008-12-01", "07:04 16:50"),
]


def apart(found, day, clock, zone):
    return abs((found - instant_of(f"{day}T{clock}", zone)).total_seconds()) / 60


@pytest.mark.parametrize(("day", "clocks"), SAN_DIEGO)
def test_twilight_and_sun_are_within_a_minute_of_the_naval_observatory(day, clocks):
    light = daylight(32.7157, -117.1611, date.fromisoformat(day), PACIFIC)
    for found, clock in zip(
        (light.dawn, light.sunrise, light.sunset, light.dusk), clocks.split(), strict=True
    ):
        assert apart(found, day, clock, PACIFIC) <= 0.6


@pytest.mark.parametrize(("day", "clocks"), YEAR_TABLE)
def test_a_year_table_is_met_within_a_minute(day, clocks):
    light = daylight(37.4, -(121 + 55 / 60), date.fromisoformat(day), PST)
    for found, clock in zip((light.sunrise, light.sunset), clocks.split(), strict=True):
        assert apart(found, day, clock, PST) <= 0.6


def test_one_sunset_more():
    # San Francisco 37.7749 N 122.4194 W, 28 September 2026: 18:57 (US Naval Observatory).
    light = daylight(37.7749, -122.4194, date(2026, 9, 28), PACIFIC)
    assert apart(light.sunset, "2026-09-28", "18:57", PACIFIC) <= 0.6


# Utqiagvik 71.29 N 156.79 W: the sun stays up from about 11 May to about 1 August and down from about 18 November
# to about 23 January; civil twilight on 21 December lasts about three hours (US Naval Observatory; from memory).
@pytest.mark.parametrize(
    ("day", "words"),
    [
        (date(2026, 6, 21), "the sun does not set on this day"),
        (date(2026, 12, 21), "the sun does not rise on this day"),
        (date(2026, 3, 20), None),
    ],
)
def test_polar_day_and_polar_night_are_said(day, words):
    zone = zone_of("America/Anchorage")
    light = daylight(71.29, -156.79, day, zone)
    assert light.words == words
    assert (light.sunrise is None, light.sunset is None) == (words is not None, words is not None)


def test_the_first_sunrise_after_a_polar_night_is_short_and_not_a_polar_day():
    # The sun's centre stands 0.75 degrees below the horizon at noon, above the 50' at which its edge shows.
    light = daylight(-76.25, 0.0, date(2020, 8, 13), zone_of("UTC"))
    assert light.words is None
    assert timedelta(minutes=5) < light.sunset - light.sunrise < timedelta(hours=3)
    assert light.sunrise < light.noon < light.sunset


def test_daylight_of_a_polar_day_is_the_whole_day_and_of_a_polar_night_none():
    zone = zone_of("America/Anchorage")
    start, end = daylight(71.29, -156.79, date(2026, 6, 21), zone).span()
    assert end - start == timedelta(hours=24)
    assert daylight(71.29, -156.79, date(2026, 12, 21), zone).span() is None
    dawn, dusk = daylight(71.29, -156.79, date(2026, 12, 21), zone).span("civil")
    assert timedelta(hours=2.5) < dusk - dawn < timedelta(hours=3.5)


def test_days_of_a_polar_summer_leave_no_gap():
    zone = zone_of("America/Anchorage")
    spans = [daylight(71.29, -156.79, date(2026, 6, 1) + timedelta(days=n), zone).span() for n in range(20)]
    gaps = [abs((b[0] - a[1]).total_seconds()) for a, b in itertools.pairwise(spans)]
    assert max(gaps) <= 60


def test_a_sunset_after_midnight_belongs_to_the_day_of_its_noon():
    # Nome, midsummer: the sun sets about 01:47 by the clock, which runs three hours ahead of the sun.
    zone = zone_of("America/Nome")
    light = daylight(64.5, -165.43, date(2026, 6, 21), zone)
    assert light.sunset.astimezone(zone).strftime("%d %H:%M") == "22 01:47"
    assert light.dusk is None


@pytest.mark.parametrize(
    ("latitude", "longitude", "key"),
    [
        (1.87, -157.4, "Pacific/Kiritimati"),
        (-16.5, 179.9, "Pacific/Fiji"),
        (-16.5, -179.9, "Pacific/Fiji"),
        (-14.3, -170.7, "Pacific/Pago_Pago"),
    ],
)
def test_events_follow_one_another_on_the_local_day_beside_the_date_line(latitude, longitude, key):
    zone = zone_of(key)
    for month in range(1, 13):
        day = date(2027, month, 15)
        light = daylight(latitude, longitude, day, zone)
        events = [light.dawn, light.sunrise, light.noon, light.sunset, light.dusk]
        assert events == sorted(events)
        assert {at.astimezone(zone).date() for at in events} == {day}


# Almanac dates (UTC), from memory: new moon 8 April 2024 (solar eclipse), full 19 August 2024, new 2 October 2024
# (solar eclipse).
@pytest.mark.parametrize(
    ("day", "phase"),
    [
        (date(2024, 4, 8), "new moon"),
        (date(2024, 8, 19), "full moon"),
        (date(2024, 10, 2), "new moon"),
        (date(2024, 4, 12), "waxing crescent"),
        (date(2024, 8, 23), "waning gibbous"),
    ],
)
def test_the_moon_is_named(day, phase):
    assert daylight(41.5, -71.3, day, zone_of("UTC")).moon_phase == phase


def test_a_month_of_moons_goes_through_all_eight_names_in_order():
    names = [
        daylight(41.5, -71.3, date(2027, 5, 1) + timedelta(days=n), zone_of("UTC")).moon_phase
        for n in range(31)
    ]
    order = [a for a, b in zip(names, [None, *names], strict=False) if a != b]
    assert len(set(order)) == 8
    assert len(order) in (8, 9)


def test_a_position_off_the_globe_is_refused():
    with pytest.raises(Refusal, match="is no position"):
        daylight(95.0, 0.0, date(2027, 5, 14), zone_of("UTC"))


@pytest.mark.parametrize("year", [1, 1900, 2100, 9999])
def test_a_year_outside_the_series_is_refused(year):
    with pytest.raises(Refusal, match=f"computed for 1901 to 2099, not for {year}"):
        daylight(41.5, -71.3, date(year, 1, 1), zone_of("UTC"))


def test_noon_is_the_highest():
    light = daylight(41.46, -71.31, date(2027, 5, 14), zone_of("America/New_York"))
    middle = light.sunrise + (light.sunset - light.sunrise) / 2
    assert abs((light.noon - middle).total_seconds()) < 90
    assert light.noon.tzinfo is UTC
    assert light.noon > datetime(2027, 5, 14, tzinfo=UTC)
