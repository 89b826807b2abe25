"""Times: as exact as the source, never without an offset."""

from __future__ import annotations

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from haulbook.custody.when import When
from haulbook.problems import Refusal


def test_an_instant_keeps_its_offset():
    when = When("2027-05-14T06:52:10-04:00")
    assert when.sort_key() == datetime(2027, 5, 14, 10, 52, 10, tzinfo=UTC)
    assert when.first_day == when.last_day == date(2027, 5, 14)


def test_an_instant_near_midnight_falls_in_the_local_day_of_the_zone():
    # 2025-01-01T04:40Z is still 31 December on the US Pacific coast (offset -08:00).
    assert When("2025-01-01T07:40:00Z").days_in(ZoneInfo("America/Los_Angeles")) == (date(2024, 12, 31),) * 2


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2027-05-14", date(2027, 5, 14), date(2027, 5, 14)),
        ("2024-02", date(2024, 2, 1), date(2024, 2, 29)),
        ("2027", date(2027, 1, 1), date(2027, 12, 31)),
    ],
)
def test_a_date_month_or_year_says_no_more_than_it_knows(text, first, last):
    when = When(text)
    assert (when.first_day, when.last_day, when.instant) == (first, last, None)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "14 May 2027",
        "2027-13",
        "2027-02-30",
        "2027-05-14T25:00:00Z",
        "2027-05-14 06:52:10-04:00",
        "20270514T065210Z",
        "2027-W20-5",
        "0001-01-01T00:00+14:00",
    ],
)
def test_what_is_no_time_is_refused_with_the_forms_that_are(text):
    with pytest.raises(
        Refusal, match="is no time; write 2027-05-14T06:52:10-04:00, or 2027-05-14, 2027-05 or 2027"
    ):
        When(text)


def test_an_instant_without_offset_is_refused_because_nobody_can_tell_which_clock_was_meant():
    with pytest.raises(Refusal, match="has no offset from UTC"):
        When("2027-05-14T06:52:10")
