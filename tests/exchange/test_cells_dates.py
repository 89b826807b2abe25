"""Dates and times in the forms seen in real files of the trade."""

from __future__ import annotations

from datetime import date, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulbook.exchange.cells import CellTrouble, parse_date, parse_time
from haulbook.exchange.date_forms import (
    DATE_FORMS,
    EXAMPLES,
    TIME_FORMS,
    date_forms_of,
    date_text,
    day_of,
    order_is_ambiguous,
    time_forms_of,
)
from haulbook.problems import Refusal


@pytest.mark.parametrize(
    ("text", "form", "day"),
    [
        ("2016-05-13", "iso", date(2016, 5, 13)),  # Hakai shoot survey
        ("2008-07-16 00:00:00", "iso", date(2008, 7, 16)),  # a date cell, Kachemak 2008
        ("6/20/23", "m/d/yy", date(2023, 6, 20)),  # Kachemak 2023
        ("20/6/23", "d/m/yy", date(2023, 6, 20)),
        ("06/20/2023", "m/d/yyyy", date(2023, 6, 20)),
        ("20.06.2023", "d/m/yyyy", date(2023, 6, 20)),
        ("09JAN1998", "d mmm yyyy", date(1998, 1, 9)),  # Florida seine data
        ("9-Jan-98", "d mmm yy", date(1998, 1, 9)),
        ("Jan 9, 1998", "mmm d yyyy", date(1998, 1, 9)),
        ("20160513", "yyyymmdd", date(2016, 5, 13)),
        ("2016/5/13", "yyyy/m/d", date(2016, 5, 13)),
        ("2017-11-22 20:45", "stamp", date(2017, 11, 22)),  # Hakai shoot survey
    ],
)
def test_each_form_reads_its_dates(text, form, day):
    assert parse_date(text, form) == day


def test_two_digit_years_follow_posix():
    # IEEE Std 1003.1, strptime, %y: 69-99 are 1969-1999, 00-68 are 2000-2068.
    years = [parse_date(f"1/2/{yy:02d}", "m/d/yy").year for yy in (0, 68, 69, 99)]
    assert years == [2000, 2068, 1969, 1999]


def test_a_year_alone_stays_a_year():
    assert date_text("2014", "yyyy") == "2014"  # Ninigret: year only
    assert date_text("6/20/23", "m/d/yy") == "2023-06-20"


@pytest.mark.parametrize(
    ("text", "form", "says"),
    [
        ("20/6/23", "m/d/yy", "no day of the calendar: month 20, day 6"),
        ("2/30/23", "m/d/yy", "no day of the calendar"),
        ("6/20/23", "iso", "no date in the form iso (as 2016-05-13)"),
        ("6/20-23", "m/d/yy", "no date in the form"),
        ("2017-11-22 20:45", "iso", "no date in the form iso"),
        ("09FOO1998", "d mmm yyyy", "names no month"),
        ("43102", "m/d/yy", "no date in the form"),
    ],
)
def test_a_date_of_another_form_is_a_trouble(text, form, says):
    found = parse_date(text, form)
    assert isinstance(found, CellTrouble)
    assert says in found.message


@pytest.mark.parametrize(
    ("text", "form", "clock"),
    [
        ("9:36", "H:M", time(9, 36)),  # Kachemak 2023
        ("9:12:00", "H:M:S", time(9, 12)),
        ("600", "hhmm", time(6, 0)),  # Hakai 2014-2018
        ("2024", "hhmm", time(20, 24)),  # the latest set there
        ("445", "hhmm", time(4, 45)),  # the earliest
        ("5", "hhmm", time(0, 5)),
        ("0", "hhmm", time(0, 0)),
        ("9:36 AM", "h:M AM", time(9, 36)),
        ("12:05 am", "h:M AM", time(0, 5)),
        ("12:05pm", "h:M AM", time(12, 5)),
        ("1:00:30 p.m.", "h:M AM", time(13, 0, 30)),
        ("2017-11-22 20:45", "stamp", time(20, 45)),
    ],
)
def test_each_form_reads_its_times(text, form, clock):
    assert parse_time(text, form) == clock


@pytest.mark.parametrize(
    ("text", "form", "says"),
    [
        ("670", "hhmm", "hours go to 23, minutes to 59"),
        ("25:00", "H:M", "hours go to 23"),
        ("13:00 PM", "h:M AM", "no time of a 12-hour clock"),
        ("9:36", "hhmm", "no time in the form hhmm (as 600)"),
        ("9.36", "H:M", "no time in the form"),
    ],
)
def test_a_time_of_another_form_is_a_trouble(text, form, says):
    found = parse_time(text, form)
    assert isinstance(found, CellTrouble)
    assert says in found.message


def test_an_unknown_form_is_refused_and_names_the_nearest():
    with pytest.raises(Refusal, match=r"no date form 'm/d/y'; the nearest is 'm/d/yy"):
        parse_date("6/20/23", "m/d/y")
    with pytest.raises(Refusal, match=r"no time form 'HH:M'; the nearest is 'H:M"):
        parse_time("6:20", "HH:M")


def test_every_form_has_an_example_that_it_reads():
    for form in DATE_FORMS:
        assert isinstance(parse_date(EXAMPLES[form], form), date), form
    for form in TIME_FORMS:
        assert isinstance(parse_time(EXAMPLES[form], form), time), form


def test_day_and_month_are_told_apart_only_when_the_whole_column_tells():
    assert date_forms_of(["6/20/23", "7/1/23"]) == ("m/d/yy",)
    assert date_forms_of(["20/6/23", "7/1/23"]) == ("d/m/yy",)
    both = date_forms_of(["6/7/23", "7/1/23", ""])
    assert both == ("m/d/yy", "d/m/yy")
    assert order_is_ambiguous(both)
    assert not order_is_ambiguous(("m/d/yy",))
    assert date_forms_of(["6/20/23", "20/6/23"]) == ()
    assert date_forms_of([]) == ()


def test_times_of_a_column_are_recognised():
    assert time_forms_of(["600", "2024", "1310"]) == ("hhmm",)
    assert time_forms_of(["9:36", "10:25"]) == ("H:M",)
    assert time_forms_of(["9:36", "n/a"]) == ()


@given(st.dates(date(1969, 1, 1), date(2068, 12, 31)))
def test_a_date_written_in_any_day_form_is_read_back(day):
    written = {
        "iso": day.isoformat(),
        "m/d/yy": f"{day.month}/{day.day}/{day.year % 100:02d}",
        "d/m/yyyy": f"{day.day:02d}/{day.month:02d}/{day.year}",
        "d mmm yyyy": f"{day:%d}{'JanFebMarAprMayJunJulAugSepOctNovDec'[day.month * 3 - 3 : day.month * 3]}{day.year}",
    }
    for form, text in written.items():
        assert parse_date(text, form) == day
        assert form in date_forms_of([text])


def test_three_columns_make_a_day_or_say_why_not():
    assert day_of(2014, 6, 11) == date(2014, 6, 11)
    assert "month 13" in day_of(2014, 13, 1).message
