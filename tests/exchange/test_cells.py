"""Cells as seen in real files of the trade: the sets named beside each value lie in the open data folder."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulbook.exchange.cells import (
    CellTrouble,
    holds_ranges,
    looks_like_range_turned_date,
    parse_count,
    parse_counts,
    parse_number,
)

MISSING = ("", "n/a", "na", "-", ".", "--")


@pytest.mark.parametrize(("text", "n"), [("12", 12), (" 7 ", 7), ("0", 0), ("12.0", 12), ("031", 31)])
def test_whole_numbers_and_a_spreadsheets_twelve_point_nought_are_counts(text, n):
    assert parse_count(text, MISSING) == n


@pytest.mark.parametrize("text", ["", "  ", "n/a", "N/A", "NA", "-", ".", "--"])
def test_missing_words_in_any_case_are_no_value(text):
    assert parse_count(text, MISSING) is None
    assert parse_number(text, MISSING) is None


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("10-30", "is a range, not a count"),  # Hakai 2014-2018, hdo 2018-07-11
        ("< 5", "is a range"),  # Hakai habitat survey
        ("~500", "is an estimate; write the bare number"),  # Kachemak 2018, "est. ~500"
        ("est. 500", "is an estimate"),
        ("lots", "record the taxon as present"),
        ("Lots of them (dense)", "record the taxon as present"),  # Kachemak 2018
        ("Present", "neither 0 nor 1"),  # Kachemak 2018
        ("1,234", "write 1234 if that is what was meant"),
        ("1 234", "write 1234"),
        ("58+", "at least that many"),  # Kachemak 2018, "Counted 58"
        ("12.5", "is no whole number; animals are counted whole"),
        ("-3", "below zero"),
        ("10-May", "probably turned the range 5-10 into it"),  # Hakai habitat survey
        ("=RAND()", "formula without a stored value"),  # an invented workbook of a data guide
        ("40 (12)", "more than one number"),  # report tables: total with the number measured
        ("1e3", "is no whole number"),
        ("٣", "is no whole number"),
        ("9999999999", "more animals than one cell can mean"),
    ],
)
def test_what_is_no_count_is_a_trouble_that_says_what_to_do(text, says):
    found = parse_count(text, MISSING)
    assert isinstance(found, CellTrouble)
    assert says in found.message
    assert text in found.message


@given(st.text(max_size=12))
def test_no_text_makes_a_count_parser_fall_over_or_invent_an_animal(text):
    found = parse_count(text, MISSING)
    assert found is None or isinstance(found, CellTrouble) or (found >= 0 and str(found) in text)


@given(st.integers(0, 999_999_999))
def test_a_count_survives_being_written(n):
    assert parse_count(str(n)) == n == parse_count(f"{n}.0")


@pytest.mark.parametrize(
    ("text", "range_"),
    [
        ("10-May", "5-10"), ("15-Oct", "10-15"), ("02-Jan", "1-2"), ("03-Feb", "2-3"), ("04-Mar", "3-4"),
        ("05-Apr", "4-5"), ("2018-05-20", "5-20"), ("2018-05-20 00:00:00", "5-20"), ("May-10", "5-10"),
    ],
)  # fmt: skip
def test_ranges_that_a_spreadsheet_turned_into_dates_are_recognised(text, range_):
    # Hakai Institute, seagrass habitat survey: columns transect_dist and patchiness (see the folder's README).
    assert looks_like_range_turned_date(text) == range_


@pytest.mark.parametrize(
    ("text", "range_"),
    [("43102", "1-2"), ("43134", "2-3"), ("43163", "3-4"), ("43195", "4-5"), ("43240", "5-20")],
)
def test_day_numbers_are_ranges_only_where_the_column_holds_ranges(text, range_):
    # The same survey: 43102 stands for 1 - 2, 43240 (20 May 2018) for 5 - 20.
    assert looks_like_range_turned_date(text) is None
    assert looks_like_range_turned_date(text, among_ranges=True) == range_


@pytest.mark.parametrize("text", ["12", "Ulva", "10-Fog", "2018-05-20 14:30", "", "5 - 10"])
def test_other_cells_are_not_taken_for_damaged_ranges(text):
    assert looks_like_range_turned_date(text, among_ranges=True) is None


def test_a_day_number_is_never_a_count_where_other_cells_are_ranges():
    damaged = parse_counts(("12", "43240", "5 - 20", "02-Jan"))
    assert damaged[0] == 12
    assert all(isinstance(found, CellTrouble) for found in damaged[1:])
    assert "5-20" in damaged[1].message
    assert parse_counts(("12", "43240")) == (12, 43240)


def test_a_column_of_the_habitat_survey_is_seen_to_hold_ranges():
    assert holds_ranges(["NA", "< 5", "43240"])
    assert holds_ranges(["0 - 5", "10-May"])
    assert not holds_ranges(["12", "43240", "NA", "-"])


@pytest.mark.parametrize(
    ("text", "value"),
    [("7.556", 7.556), ("12,5", 12.5), ("0,234", 0.234), ("-151.41605", -151.41605), ("59,48787", 59.48787),
     ("1e-3", 0.001), (".5", 0.5), ("30", 30.0), ("+4", 4.0)],
)  # fmt: skip
def test_measures_are_read_with_decimal_point_or_decimal_comma(text, value):
    assert parse_number(text, MISSING) == value


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1,234", "can be 1.234 or 1234"),
        ("Max", "is no number"),  # Kachemak 2018, NetDepth_m
        ("whoops", "is no number"),  # Hakai 2014-2018, secchi
        ("10m rope", "has words beside the number"),  # Kachemak 2018, Reach
        ("N59 25.024'", "write decimal degrees"),  # Kachemak 2018, a note
        ("<0.5", "is a bound"),
        ("nan", "is no number"),
        ("inf", "is no number"),
        ("3 - 5", "is a range or a date"),
        ("=A1/2", "formula without a stored value"),
    ],
)
def test_what_is_no_measure_is_a_trouble(text, says):
    found = parse_number(text, MISSING)
    assert isinstance(found, CellTrouble)
    assert says in found.message
