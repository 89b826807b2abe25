"""Sheets of workbooks become tables; all are invented and written here with openpyxl, odfpy and xlsxwriter."""

from __future__ import annotations

import datetime as dt

import openpyxl
import pytest
import xlsxwriter
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table as OdfTable
from odf.table import TableCell, TableRow
from odf.text import P

from haulbook.exchange.table import read_tables
from haulbook.problems import Refusal


def workbook(path, **sheets):
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def test_numbers_dates_and_times_are_written_as_people_write_them(tmp_path):
    rows = [
        ["haul", "day", "time", "n", "temperature", "done"],
        ["H1", dt.date(2027, 5, 14), dt.time(6, 52), 12, 9.75, True],
        ["H2", dt.datetime(2027, 5, 14, 7, 5), dt.time(7, 5), 3, 10.0, False],  # noqa: DTZ001 (cells have no zone)
    ]
    (table,) = read_tables(workbook(tmp_path / "a.xlsx", Catch=rows))
    assert [column.values for column in table.columns.values()] == [
        ("H1", "H2"), ("2027-05-14", "2027-05-14 07:05:00"), ("06:52:00", "07:05:00"), ("12", "3"), ("9.75", "10"),
        ("TRUE", "FALSE"),
    ]  # fmt: skip
    assert table.columns["day"].dates == {"2027-05-14", "2027-05-14 07:05:00"}
    assert table.columns["n"].dates == frozenset()
    assert table.sheet == "Catch"


def test_empty_columns_kept_on_purpose_stay_and_rows_keep_their_numbers(tmp_path):
    rows = [["haul", "Location", "n"], ["H1", None, 1], [None, None, None], ["H2", None, 2]]
    (table,) = read_tables(workbook(tmp_path / "a.xlsx", Catch=rows))
    assert table.headings == ("haul", "Location", "n")
    assert table.columns["Location"].blank
    assert table.rows.tolist() == [2, 4]


def test_sheets_are_chosen_by_name_or_glob_and_empty_ones_passed_over(tmp_path):
    path = workbook(tmp_path / "a.xlsx", May=[["haul"], ["H1"]], June=[["haul"], ["H2"]], Empty=[])
    assert [table.sheet for table in read_tables(path)] == ["May", "June"]
    assert [table.sheet for table in read_tables(path, sheet="J*")] == ["June"]
    with pytest.raises(Refusal, match="there is no sheet 'Jun'; the nearest is 'June'"):
        read_tables(path, sheet="Jun")
    with pytest.raises(Refusal, match="holds nothing"):
        read_tables(path, sheet="Empty")


def test_merged_headings_stand_over_each_of_their_columns_and_merged_rows_are_refused(tmp_path):
    path = tmp_path / "a.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("Catch")
    sheet.merge_range("A1:A2", "haul")
    sheet.merge_range("B1:C1", "length")
    sheet.write_row("B2", ["first", "second"])
    sheet.write_row("A3", ["H1", 40, 50])
    sheet.merge_range("A4:A5", "H2")
    sheet.write_row("B4", [41, 51])
    sheet.write_row("B5", [42, 52])
    book.close()
    (table,) = read_tables(path, header=1)
    assert table.headings == ("haul", "length (column B)", "length (column C)")
    (problem,) = [p for p in table.problems if p.row == 4]
    assert "'H2' is one cell merged down to row 5" in problem.message


@pytest.mark.parametrize("kind", ["xlsx", "ods"])
def test_a_formula_without_stored_value_is_shown_and_not_taken_for_a_blank(tmp_path, kind):
    path = tmp_path / f"a.{kind}"
    if kind == "xlsx":
        workbook(path, Catch=[["haul", "n"], ["H1", 3], ["H2", "=RAND()*9"]])
    else:
        document = OpenDocumentSpreadsheet()
        sheet = OdfTable(name="Catch")
        for row in (["haul", "n"], ["H1", 3.0], ["H2", None]):
            line = TableRow()
            for cell in row:
                if cell is None:
                    line.addElement(TableCell(formula="of:=RAND()*9"))
                elif isinstance(cell, float):
                    line.addElement(TableCell(valuetype="float", value=str(cell)))
                else:
                    written = TableCell(valuetype="string")
                    written.addElement(P(text=cell))
                    line.addElement(written)
            sheet.addElement(line)
        document.spreadsheet.addElement(sheet)
        document.save(path)
    (table,) = read_tables(path)
    assert list(table.columns["n"]) == ["3", "=RAND()*9"]


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 broken", b"haul,n\nH1,3\n"])
@pytest.mark.parametrize("suffix", ["xlsx", "ods", "xls"])
def test_what_is_no_workbook_is_refused(put, content, suffix):
    with pytest.raises(Refusal, match="can't be read as a workbook"):
        read_tables(put(f"a.{suffix}", content))
