"""Tables read back with openpyxl and csv.

Form after RFC 4180; the list of risky first characters after the OWASP page on CSV injection (from memory).
"""

from __future__ import annotations

import csv
import io
import math
from datetime import UTC, date, datetime, timedelta, timezone

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulbook.problems import Refusal
from haulbook.publish import Sheet, csv_bytes, estimates_sheet, xlsx_bytes
from haulbook.publish.sheet import guarded

MADE = datetime(2027, 9, 3, 14, 5, tzinfo=UTC)
RISKY = ["=1+1", "+cmd", "-x", "@SUM(A1)", "\t=1", "\r=1", "＝1"]


def sheet(*rows, headers=("taxon", "n"), name="detail", notes=()):
    return Sheet(name, headers, tuple(rows), notes)


def read_xlsx(data: bytes, name="detail"):
    return openpyxl.load_workbook(io.BytesIO(data))[name]


def read_csv(data: bytes):
    return list(csv.reader(io.StringIO(data.decode("utf-8"), newline="")))


@pytest.mark.parametrize("text", RISKY)
def test_text_that_could_run_is_guarded_in_both_forms(text):
    table = sheet((text, 1))
    assert read_csv(csv_bytes(table))[1][0] == "'" + text
    cell = read_xlsx(xlsx_bytes([table], MADE))["A2"]
    assert cell.data_type == "s"
    assert cell.value.startswith("'")


def test_headings_are_guarded_too():
    table = sheet((1, 2), headers=("=A1", "n"))
    assert read_csv(csv_bytes(table))[0] == ["'=A1", "n"]
    assert read_xlsx(xlsx_bytes([table], MADE))["A1"].value == "'=A1"


@pytest.mark.parametrize("number", [-3, -0.5, -122.6, 0, 42])
def test_negative_numbers_stay_numbers(number):
    table = sheet(("n", number))
    assert float(read_csv(csv_bytes(table))[1][1]) == number
    cell = read_xlsx(xlsx_bytes([table], MADE))["B2"]
    assert cell.data_type == "n"
    assert cell.value == number


def test_numbers_written_as_text_keep_their_sign():
    assert guarded("-122.6") == "-122.6"
    assert guarded("+5") == "+5"
    assert guarded("-1+2") == "'-1+2"


def test_csv_has_crlf_quotes_only_where_needed_and_no_byte_order_mark():
    table = sheet(('a "b", c', 1), ("line\nbreak", None), ("plain", True))
    assert csv_bytes(table) == b'taxon,n\r\n"a ""b"", c",1\r\n"line\nbreak",\r\nplain,true\r\n'


@given(
    rows=st.lists(
        st.tuples(
            st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=30),
            st.integers(-(10**9), 10**9),
        ),
        max_size=8,
    )
)
@settings(max_examples=40)
def test_what_was_written_is_read_back(rows):
    table = sheet(*rows)
    expected = [(guarded(text), n) for text, n in rows]
    assert [(text, int(n)) for text, n in read_csv(csv_bytes(table))[1:]] == expected
    page = read_xlsx(xlsx_bytes([table], MADE))
    found = [(row[0].value or "", row[1].value) for row in page.iter_rows(min_row=2)]
    assert found == expected


def test_workbook_freezes_headings_sizes_columns_and_explains_itself():
    table = sheet(("Atlantic silverside, young of the year", 1), notes=(("n", "animals, each in one row"),))
    data = xlsx_bytes([table], MADE)
    page = read_xlsx(data)
    assert page.freeze_panes == "A2"
    assert page.print_title_rows == "$1:$1", "headings stand on every printed page"
    assert page.sheet_properties.pageSetUpPr.fitToPage
    setup = page.page_setup
    assert (setup.orientation, setup.fitToWidth in (None, 1), setup.fitToHeight) == ("landscape", True, 0), (
        "as wide as a sheet of paper (1 is what a file means that says nothing), as long as it needs"
    )
    assert page["A1"].font.b
    assert not page["A2"].font.b
    assert page.column_dimensions["A"].width > 35
    assert [c.value for c in read_xlsx(data, "How to read this")[1]] == ["n", "animals, each in one row"]
    assert xlsx_bytes([table], MADE) == data


def test_a_name_may_have_one_letter_or_31_and_a_heading_none():
    for name in ("n", "x" * 31):
        assert (
            read_xlsx(xlsx_bytes([sheet(("a", 1), name=name, headers=("", "n"))], MADE), name)["A2"].value
            == "a"
        )


def test_days_are_dates_and_instants_keep_their_offset():
    landed = datetime(2027, 5, 14, 6, 52, tzinfo=timezone(timedelta(hours=-4)))
    table = sheet((date(2027, 5, 14), landed))
    assert read_csv(csv_bytes(table))[1] == ["2027-05-14", "2027-05-14T06:52:00-04:00"]
    page = read_xlsx(xlsx_bytes([table], MADE))
    assert page["A2"].value == datetime(2027, 5, 14)  # noqa: DTZ001 (a spreadsheet has no zones)
    assert page["A2"].is_date
    assert page["B2"].value == "2027-05-14T06:52:00-04:00"


def test_whole_numbers_a_spreadsheet_would_round_are_text():
    assert read_xlsx(xlsx_bytes([sheet(("id", 2**63))], MADE))["B2"].value == str(2**63)


def test_limits_that_no_page_prints_are_kept_in_the_table(invented_page):
    table = estimates_sheet(invented_page.estimates)
    rows = [dict(zip(table.headers, row, strict=True)) for row in table.rows]
    silverside = next(r for r in rows if (r["taxon"], r["period"]) == ("Atlantic silverside", "2027"))
    assert silverside["limits_printed"] == "no"
    assert silverside["high"] > 100 * silverside["low"] > 0
    assert silverside["left_out"] == "2027/3: no area, no density"
    assert len(read_csv(csv_bytes(table))) == len(invented_page.estimates) + 1


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: sheet(("a",)), "row 2: row has 1 cells, the heading 2"),
        (lambda: sheet(("a", math.nan)), "row 2, column n: the cell holds no number"),
        (lambda: sheet(name="a/b"), "'a/b' cannot name a worksheet"),
        (lambda: xlsx_bytes([], MADE), "a workbook needs one"),
        (lambda: xlsx_bytes([sheet(), sheet(name="DETAIL")], MADE), "sheet DETAIL: this name is taken"),
        (lambda: xlsx_bytes([sheet(("x" * 40_000, 1))], MADE), "a text of 40000 characters does not fit"),
        (
            lambda: xlsx_bytes([sheet(headers=("n",) * 16_385)], MADE),
            "more rows or columns than a worksheet holds",
        ),
        (lambda: sheet(name=""), "'' cannot name a worksheet"),
        (lambda: sheet(name="x" * 32), "cannot name a worksheet: 1 to 31 characters"),
    ],
)
def test_tables_that_no_spreadsheet_holds_are_refused(make, says):
    with pytest.raises(Refusal) as caught:
        make()
    assert says in str(caught.value)
