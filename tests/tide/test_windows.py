"""Windows of working depth: where they lie, which leg, how long, and what weather does to them."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest

from haulbook.problems import Refusal
from haulbook.tide import Band, Terms, Work, below, find_windows, over_bed, water_at
from haulbook.tide.clock import instant_of, zone_of

PACIFIC = zone_of("America/Los_Angeles")

# Humboldt Bay North Spit 9418767, at or below 0.00 m, June 2026, local clock: begin, low, height, end. Computed by
# a second coding of the same tables; seconds are cut there, not rounded.
BELOW_ZERO = """
2026-06-12 02:54:31 04:16:01 -0.226 05:42:47 0.0
2026-06-13 03:16:12 05:06:43 -0.461 07:06:53 81.7
2026-06-14 03:51:55 05:56:27 -0.630 08:13:13 148.0
2026-06-15 04:35:17 06:45:44 -0.719 09:09:34 204.4
2026-06-16 05:23:56 07:34:40 -0.728 09:58:37 253.4
2026-06-17 06:17:03 08:23:11 -0.660 10:40:58 263.9
2026-06-18 07:15:10 09:11:09 -0.526 11:15:47 240.6
""".strip()


@pytest.fixture
def water(humboldt):
    return water_at(humboldt, {})


@pytest.fixture
def week(humboldt):
    return Terms(
        date(2026, 6, 12), date(2026, 6, 18), PACIFIC, light_at=(humboldt.latitude, humboldt.longitude)
    )


def seconds(at, text):
    return abs((at - instant_of(text, PACIFIC)).total_seconds())


def local(window):
    return tuple(at.astimezone(PACIFIC).strftime("%m-%d %H:%M:%S") for at in (window.start, window.end))


@pytest.mark.parametrize("row", range(7))
def test_a_week_at_or_below_zero_is_as_computed_elsewhere(water, week, row):
    day, start, low, height, end, lit = BELOW_ZERO.split("\n")[row].split()
    found = find_windows(water, below(0.0), week)
    assert len(found) == 7
    window = found[row]
    assert seconds(window.start, f"{day}T{start}") <= 1.5
    assert seconds(window.end, f"{day}T{end}") <= 1.5
    assert seconds(window.low.time, f"{day}T{low}") <= 1.5
    assert window.low.height_m == pytest.approx(float(height), abs=0.0006)
    assert window.leg == "both"
    # The other coding took sunrise where refraction is weaker than the Naval Observatory's 50': 0.3 minutes later.
    assert window.daylight_minutes == pytest.approx(float(lit), abs=0.5)


def test_water_in_the_dark_is_no_window_in_daylight(water, week):
    # The trap of 12 June: 168 minutes below zero, none of them in daylight.
    found = find_windows(water, below(0.0), replace(week, in_daylight=True))
    assert [window.low.time.astimezone(PACIFIC).day for window in found] == [13, 14, 15, 16, 17, 18]
    assert found[0].leg == "flood"
    assert all(window.minutes == pytest.approx(window.daylight_minutes) for window in found)


def test_civil_twilight_counts_when_asked(water, week):
    found = find_windows(water, below(0.0), replace(week, in_daylight=True, light="civil"))
    assert len(found) == 7


def test_ebb_and_flood_are_apart_when_the_low_drains_the_bed(water, week):
    # The same source: band 0.00 to 0.70 m on 16 June: ebb 04:21:46-05:23:56, flood 09:58:37-11:18:11.
    day = replace(week, first=date(2026, 6, 16), last=date(2026, 6, 16))
    ebb, flood = find_windows(water, Band(0.0, 0.7), day)
    assert (ebb.leg, flood.leg) == ("ebb", "flood")
    assert local(ebb) == ("06-16 04:21:46", "06-16 05:23:56")
    assert local(flood) == ("06-16 09:58:37", "06-16 11:18:11")
    assert ebb.low == flood.low
    assert (round(ebb.minutes), round(flood.minutes)) == (62, 80)
    (lit,) = find_windows(water, Band(0.0, 0.7), replace(day, in_daylight=True))
    assert lit == flood


def test_water_that_stays_in_the_band_over_a_high_makes_one_window_per_low(water, week):
    found = find_windows(water, below(5.0), week)
    lows = [window.low.time for window in found]
    assert len(lows) == len(set(lows))
    assert all(a.end == b.start for a, b in itertools.pairwise(found))
    assert all(window.leg == "both" and window.start < window.low.time < window.end for window in found)


def test_hours_of_the_permit_cut_a_window(water, week):
    found = find_windows(water, below(0.0), replace(week, hours=(time(8), time(16))))
    assert all(window.start.astimezone(PACIFIC).time() >= time(8) for window in found)
    assert [local(window)[0] for window in found][:1] == ["06-14 08:00:00"]
    assert [window.leg for window in found] == ["flood", "flood", "flood", "both", "both"]


def test_seasons_and_closed_days_leave_only_what_both_allow(water, week):
    season = ((date(2026, 6, 14), date(2026, 6, 30)),)
    closed = ((date(2026, 6, 16), date(2026, 6, 17)),)
    found = find_windows(water, below(0.0), replace(week, seasons=season, closed=closed))
    assert [window.low.time.astimezone(PACIFIC).day for window in found] == [14, 15, 18]


def test_short_windows_are_dropped(water, week):
    kept = find_windows(water, below(0.0), replace(week, least_minutes=240))
    assert [window.low.time.astimezone(PACIFIC).day for window in kept] == [14, 15, 16, 17, 18]


def test_an_hour_that_happens_twice_is_counted_the_shorter_way(humboldt, water):
    # 1 November 2026: 01:00 to 02:00 happens twice; 01:30 opens at the second and closes at the first.
    day = Terms(date(2026, 11, 1), date(2026, 11, 1), PACIFIC, (40.8, -124.2), hours=(time(1, 30), time(12)))
    spans = [span for span in day.allowed([]) if span[0] > instant_of("2026-11-01", PACIFIC).timestamp()]
    assert spans[0][0] == datetime(2026, 11, 1, 9, 30, tzinfo=UTC).timestamp()
    day = replace(day, hours=(time(0), time(1, 30)))
    ends = [span[1] for span in day.allowed([])]
    assert datetime(2026, 11, 1, 8, 30, tzinfo=UTC).timestamp() in ends


def test_an_hour_that_does_not_exist_is_counted_the_shorter_way():
    # 8 March 2026: the clocks go from 02:00 PST to 03:00 PDT. From 02:30 opens at 03:30 PDT, not at 01:30 PST;
    # until 02:30 closes at 01:30 PST.
    day = Terms(date(2026, 3, 8), date(2026, 3, 8), PACIFIC, (40.8, -124.2), hours=(time(2, 30), time(12)))
    starts = [span[0] for span in day.allowed([])]
    assert datetime(2026, 3, 8, 10, 30, tzinfo=UTC).timestamp() in starts
    day = replace(day, hours=(time(0), time(2, 30)))
    ends = [span[1] for span in day.allowed([])]
    assert datetime(2026, 3, 8, 9, 30, tzinfo=UTC).timestamp() in ends


def test_a_window_counts_to_the_local_day_of_its_low(water, week):
    for window in find_windows(water, below(0.3), replace(week, last=date(2026, 6, 12))):
        assert window.low.time.astimezone(PACIFIC).date() == date(2026, 6, 12)


def test_hauls_that_fit_come_from_set_up_haul_and_pack_out():
    work = Work(setup_min=30, haul_min=30, packout_min=20, hauls=3)
    assert [work.fit(minutes) for minutes in (0, 79, 80, 109, 110, 140, 300)] == [0, 0, 1, 1, 2, 3, 8]
    assert [work.spare(minutes) for minutes in (79, 80, 109, 300)] == [29, 0, 29, 160]


def test_a_band_over_a_bed_is_bed_plus_depths():
    assert over_bed(-0.3, 0.3, 1.0) == Band(0.0, 0.7)
    assert over_bed(-0.3) == Band(0.0, 0.7)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (
            lambda: over_bed(-0.3, 1.0, 0.3),
            "the band is upside down: the least depth 1 m is not below the greatest 0.3 m",
        ),
        (lambda: over_bed(-0.3, 0.5, 0.5), "upside down"),
        (lambda: over_bed(-0.3, -0.1, 0.5), "a depth over the bed is not negative, as -0.1 m is"),
        (
            lambda: Band(0.7, 0.0),
            "the band is upside down: its lower edge 0.70 m is not below its upper edge 0.00 m",
        ),
        (lambda: Band(0.0, math.inf), "are numbers of metres"),
        (lambda: Band(math.nan, 1.0), "are numbers of metres"),
        (lambda: Work(haul_min=0), "a haul more than 0"),
    ],
)
def test_a_band_or_work_that_cannot_be_is_refused(make, words):
    with pytest.raises(Refusal, match=words):
        make()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"last": date(2026, 6, 1)}, "1 June 2026 is before 12 June 2026; swap the two days"),
        ({"closed": ((date(2026, 7, 2), date(2026, 7, 1)),)}, "1 July 2026 is before 2 July 2026"),
        ({"hours": (time(16), time(8))}, "the hours end at 08:00, not after they begin at 16:00"),
        ({"rule": ("hauls", "spare")}, "the rule of rank names each of hauls, falling, spare, hour once"),
        ({"least_minutes": math.nan}, "least length of a window is 0 minutes or more"),
        ({"slack_lag_min": 500.0}, "slack current comes within 360 minutes of low water"),
        ({"light_at": (95.0, 0.0)}, "is no position"),
        ({"first": date(1950, 1, 1)}, "tides are predicted for 1983 to 2040; .* not to be trusted in 1950"),
        ({"last": date(2041, 1, 1)}, "not to be trusted in 2041"),
    ],
)
def test_terms_that_cannot_be_are_refused(week, change, words):
    with pytest.raises(Refusal, match=words):
        replace(week, **change)


def test_weather_shortens_a_window_and_says_by_how_much(water, week):
    # Water 0.15 m higher: the window is the one of a limit 0.15 m lower.
    for plain, rough in zip(
        find_windows(water, below(0.0), week), find_windows(water, below(-0.15), week), strict=True
    ):
        assert plain.rough_minutes == pytest.approx(rough.minutes)
        assert plain.rough_minutes < plain.minutes


def test_weather_that_covers_a_drained_low_does_not_lengthen_a_leg(water, week):
    # Where the low lies less than 0.15 m below the band, higher water joins ebb and flood: each leg is still
    # measured by itself, from the low on.
    year = replace(week, first=date(2026, 5, 1), last=date(2026, 8, 31))
    near = [one for one in find_windows(water, Band(0.0, 0.7), year) if -0.15 < one.low.height_m < 0]
    legs = {leg: [one for one in near if one.leg == leg] for leg in ("ebb", "flood")}
    assert min(len(found) for found in legs.values()) > 5
    higher = find_windows(water, Band(-0.15, 0.55), year)
    lower = find_windows(water, Band(0.15, 0.85), year)
    for leg, found in legs.items():
        for one in found:
            (joined,) = [other for other in higher if other.low == one.low]
            (same,) = [other for other in lower if other.low == one.low and other.leg == leg]
            own = joined.end - one.low.time if leg == "flood" else one.low.time - joined.start
            shortest = min(one.minutes, same.minutes, own.total_seconds() / 60)
            assert one.rough_minutes == pytest.approx(shortest)
            earliest = one.low.time if leg == "flood" else joined.start
            moves = [abs((start - one.start).total_seconds()) / 60 for start in (earliest, same.start)]
            assert one.rough_shift_minutes == pytest.approx(max(moves))


def test_the_days_looked_at_reach_one_day_further_on_both_sides(week):
    assert week.days[0] == date(2026, 6, 11)
    assert week.days[-1] == date(2026, 6, 19)
    lit = replace(week, in_daylight=True).daylight()
    assert len(lit) == 9
    assert datetime.fromtimestamp(lit[0][0], PACIFIC).date() == date(2026, 6, 11)


def test_weather_can_take_a_whole_window(water, week):
    day = replace(week, first=date(2026, 6, 12), last=date(2026, 6, 12))
    (window,) = find_windows(water, below(-0.2), day)
    assert window.rough_minutes == 0


def test_the_slack_lag_is_shown_and_counted_as_slack(water, week):
    day = replace(week, first=date(2026, 6, 16), last=date(2026, 6, 16))
    (plain,) = find_windows(water, below(0.0), day)
    (lagged,) = find_windows(water, below(0.0), replace(day, slack_lag_min=30))
    assert plain.slack is None
    assert lagged.slack == lagged.low.time + timedelta(minutes=30)
    assert (lagged.falling_share - plain.falling_share) * plain.minutes == pytest.approx(30)


def test_the_fastest_change_is_that_of_the_curve(water, week):
    # Fastest of the year at this station: 0.73 m/h (second coding); no window goes beyond.
    year = replace(week, first=date(2026, 1, 1), last=date(2026, 12, 31))
    fastest = max(window.fastest_m_per_h for window in find_windows(water, below(1.5), year))
    assert fastest == pytest.approx(0.73, abs=0.01)


# Days a month with 90 daylight minutes or more at or below 0.00 m, 2026, sunrise to sunset (second coding).
DAYS_OF_2026 = [6, 6, 9, 7, 15, 15, 13, 3, 0, 0, 2, 2]


def test_the_season_of_daylight_lows_is_as_computed_elsewhere(water, week):
    year = replace(week, first=date(2026, 1, 1), last=date(2026, 12, 31), in_daylight=True)
    by_day = {}
    for window in find_windows(water, below(0.0), year):
        day = window.low.time.astimezone(PACIFIC).date()
        by_day[day] = by_day.get(day, 0) + window.minutes
    months = [
        sum(day.month == month and total >= 90 for day, total in by_day.items()) for month in range(1, 13)
    ]
    assert months == DAYS_OF_2026


def test_a_day_on_which_nothing_fits_gives_no_window(water, week):
    assert find_windows(water, below(-3.0), week) == ()
