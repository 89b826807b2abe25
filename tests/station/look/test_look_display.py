"""Dates, clocks, numbers and units as a station shows them."""

from __future__ import annotations

from datetime import UTC, date, datetime, time

import pytest
from django.utils import translation
from hypothesis import given
from hypothesis import strategies as st

from haulbook.station.web import display
from haulbook.station.web.display import Display

PLAIN = Display(zone="America/New_York")
FEET = Display(zone="America/New_York", feet=True, fahrenheit=True)
LANDED = datetime(2027, 5, 14, 9, 42, 31, tzinfo=UTC)


def test_days_and_clocks_are_written_as_the_look_wants_them_in_the_zone_of_the_page():
    assert display.day(date(2027, 5, 14), PLAIN) == "14 May 2027"
    assert display.day(datetime(2027, 5, 15, 3, tzinfo=UTC), PLAIN) == "14 May 2027"
    assert display.weekday(date(2027, 5, 14), PLAIN) == "Fri 14 May"
    assert display.clock(LANDED, PLAIN) == "05:42"
    assert display.clock(time(5, 42), PLAIN) == "05:42"
    assert display.moment(LANDED, PLAIN) == "14 May, 05:42"


def test_what_entries_write_is_read_as_well():
    assert display.clock("2027-05-14T05:42:31-04:00", PLAIN) == "05:42"
    assert display.day("2027-05-14", PLAIN) == "14 May 2027"
    assert display.moment("2027-05-14T05:42:31-04:00", Display(zone="UTC")) == "14 May, 09:42"


@pytest.mark.parametrize(
    "name", ["day", "weekday", "clock", "moment", "number", "metres", "celsius", "litres"]
)
def test_nothing_stays_blank(name):
    assert display.FILTERS[name](None, PLAIN) == ""


def test_a_language_of_its_own_is_followed_and_left_behind():
    assert display.day(date(2027, 5, 14), Display(language="de")) == "14. Mai 2027"
    assert display.number(1234.5, Display(language="de"), 1) == "1234,5"
    assert translation.get_language() == "en"


@pytest.mark.parametrize(
    ("value", "places", "shown"),
    [
        (0, None, "0"),
        (9_999, None, "9999"),
        (10_000, None, "10\u202f000"),
        (1_234_567.25, 1, "1\u202f234\u202f567.3"),
        (-0.04, 1, "0.0"),
        (-12, None, "−12"),
        (2.5, 0, "3"),
        (0.1 + 0.2, 2, "0.30"),
    ],
)
def test_numbers_have_true_minus_thin_groups_and_no_minus_zero(value, places, shown):
    assert display.number(value, PLAIN, places) == shown


@given(st.integers(-(10**12), 10**12))
def test_a_whole_number_can_be_read_back(n):
    assert int(display.number(n, PLAIN).replace("\u202f", "").replace("−", "-")) == n


def test_feet_and_fahrenheit_are_for_display_only_and_exact():
    # The international foot is 0.3048 m and the inch 25.4 mm, exactly (NIST Special Publication 811, 2008, app. B).
    assert display.metres(0.3048, FEET) == "1.0\u00a0ft"
    assert display.metres(-0.2, FEET, signed=True) == "−0.7\u00a0ft"
    assert display.square_metres(0.09290304, FEET, 2) == "1.00\u00a0ft²"
    # Freezing and boiling water: 0 °C = 32 °F, 100 °C = 212 °F.
    assert display.celsius(0, FEET) == "32.0\u00a0°F"
    assert display.celsius(100, FEET) == "212.0\u00a0°F"
    assert display.celsius(2, FEET, difference=True) == "3.6\u00a0°F"
    assert display.litres(18, FEET) == "18\u00a0L"
    assert display.millimetres(74.4, FEET) == "74\u00a0mm"


def test_headings_name_the_unit_that_their_figures_are_in():
    assert [display.unit(name, FEET) for name in ("m", "m²", "°C", "min")] == ["ft", "ft²", "°F", "min"]
    assert [display.unit(name, PLAIN) for name in ("m", "m²", "°C")] == ["m", "m²", "°C"]
    assert display.metres(1.25, FEET, bare=True) == "4.1"


def test_one_and_several():
    assert display.several(1, PLAIN, "haul", "hauls") == "1\u00a0haul"
    assert display.several(0, PLAIN, "haul", "hauls") == "0\u00a0hauls"
