"""Local clocks: hours that happen twice or not at all, days of 23 and 25 hours.

Change days of 2026 in the US: 8 March 02:00 to 03:00, 1 November 02:00 to 01:00 (US Naval Observatory).
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time

import pytest

from haulbook.problems import Refusal
from haulbook.tide import clock

EASTERN = clock.zone_of("America/New_York")


def test_a_time_without_zone_is_the_stations_local_time():
    assert clock.instant_of("2027-05-14T06:30", EASTERN) == datetime(2027, 5, 14, 10, 30, tzinfo=UTC)
    assert clock.instant_of("2027-01-14 06:30", EASTERN) == datetime(2027, 1, 14, 11, 30, tzinfo=UTC)


def test_a_time_with_offset_or_z_is_taken_as_written():
    for text in ("2027-05-14T06:30-04:00", "2027-05-14T10:30Z", "2027-05-14T12:30+02:00"):
        assert clock.instant_of(text, EASTERN) == datetime(2027, 5, 14, 10, 30, tzinfo=UTC)


def test_a_date_is_the_start_or_the_end_of_its_local_day():
    assert clock.instant_of("2027-05-14", EASTERN) == datetime(2027, 5, 14, 4, tzinfo=UTC)
    assert clock.instant_of("2027-05-14", EASTERN, end=True) == datetime(2027, 5, 15, 4, tzinfo=UTC)


def test_an_hour_that_happens_twice_is_refused_with_both_ways_to_write_it():
    with pytest.raises(Refusal) as refused:
        clock.instant_of("2026-11-01T01:30", EASTERN)
    assert str(refused.value) == (
        "01:30 on 1 November 2026 happens twice in America/New_York: the clocks are put back over it; write "
        "2026-11-01T01:30-04:00 (EDT) or 2026-11-01T01:30-05:00 (EST)"
    )
    assert clock.instant_of("2026-11-01T01:30-05:00", EASTERN) == datetime(2026, 11, 1, 6, 30, tzinfo=UTC)


def test_an_hour_that_does_not_happen_is_refused():
    with pytest.raises(Refusal) as refused:
        clock.instant_of("2026-03-08T02:30", EASTERN)
    assert str(refused.value) == (
        "02:30 on 8 March 2026 does not exist in America/New_York: the clocks are put forward over it; write "
        "2026-03-08T01:30-05:00 or 2026-03-08T03:30-04:00"
    )


@pytest.mark.parametrize("text", ["01:00", "2026-11-01T02:00", "2026-03-08T03:00", "2026-03-08T01:59"])
def test_the_edges_of_a_change_are_taken(text):
    if "T" in text:
        clock.instant_of(text, EASTERN)
    else:
        with pytest.raises(Refusal, match="is no time; write 2027-05-14T06:30"):
            clock.instant_of(text, EASTERN)


@pytest.mark.parametrize(
    "text", ["soon", "", "2027-02-30", "2027-13-01T00:00", "14/05/2027", "0001-01-01T00:00+14:00"]
)
def test_what_is_no_time_is_refused(text):
    with pytest.raises(Refusal, match=r"is no (time|date); write"):
        clock.instant_of(text, EASTERN)


def test_the_end_of_time_is_refused_in_words():
    with pytest.raises(Refusal, match="'9999-12-31' is no time"):
        clock.instant_of("9999-12-31", EASTERN, end=True)


def test_a_day_begins_at_its_first_instant_where_midnight_does_not_exist():
    # Havana puts its clocks forward at midnight: 8 March 2026 begins at 01:00 (tz database).
    havana = clock.zone_of("America/Havana")
    start = clock.day_start(date(2026, 3, 8), havana)
    assert start.astimezone(havana).strftime("%d %H:%M") == "08 01:00"


def test_words_for_days_and_hours():
    at = datetime(2027, 5, 14, 9, 42, 31, tzinfo=UTC)
    assert clock.say_day(date(2027, 5, 14)) == "14 May 2027"
    assert clock.say_clock(at, EASTERN) == "05:43 EDT"
    assert clock.utc_text(at) == "2027-05-14T09:42:31Z"
    assert clock.to_minute(datetime(2027, 5, 15, 3, 59, 40, tzinfo=UTC), EASTERN).day == 15


def test_hours_and_ranges_are_read():
    assert clock.hours_of("07:00-16:30") == (time(7), time(16, 30))
    assert clock.hours_of("07:00-24:00") == (time(7), time(0))
    assert clock.dates_of("2027-05-14") == (date(2027, 5, 14), date(2027, 5, 14))
    assert clock.dates_of("2027-05-14:2027-05-20") == (date(2027, 5, 14), date(2027, 5, 20))
    with pytest.raises(Refusal, match=r"'7 to 9' are no hours; write them as 07:00-16:00"):
        clock.hours_of("7 to 9")


@pytest.mark.parametrize("text", ["", "41.46", "41.46;-71.31", "91,0", "0,181", "nan,0", "a,b"])
def test_what_is_no_position_is_refused(text):
    with pytest.raises(Refusal, match="is no position; write latitude,longitude in degrees"):
        clock.position_of(text)
