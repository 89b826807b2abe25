"""Tables as CSV and XLSX that a spreadsheet opens without running anything in them.

A text cell that starts with = + - @, a tab or a line end can be taken for a formula, so it gets an apostrophe
in front in both forms; a plain number keeps its sign and stays a number.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

import xlsxwriter

from haulbook.problems import Problem, Refusal

Cell = str | int | float | bool | date | datetime | None

_RISKY = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
_PLAIN_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?")
_LONGEST_CELL = 32_767
_MOST_ROWS = 1_048_576
_MOST_COLUMNS = 16_384
_EXACT_INTEGER = 2**53  # beyond it a spreadsheet rounds


@dataclass(frozen=True, slots=True)
class Sheet:
    r"""One table and what a reader has to know about it.

    Attributes
    ----------
    name : str
        Name of the worksheet: at most 31 characters, none of ``[]:*?/\``.
    headers : tuple of str
    rows : tuple of rows
        As many cells a row as headers.
    notes : tuple of (term, meaning)
        Printed on a second worksheet, "How to read this".
    """

    name: str
    headers: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    notes: tuple[tuple[str, str], ...] = ()

    def __post_init__(self) -> None:
        problems = [
            Problem("refused", f"row has {len(row)} cells, the heading {len(self.headers)}", row=i)
            for i, row in enumerate(self.rows, 2)
            if len(row) != len(self.headers)
        ]
        if not 1 <= len(self.name) <= 31 or re.search(r"[\[\]:*?/\\]|^'|'$", self.name):
            problems.append(
                Problem(
                    "refused", f"{self.name!r} cannot name a worksheet: 1 to 31 characters, none of []:*?/\\"
                )
            )
        problems += [
            Problem("refused", "the cell holds no number (infinite or undefined)", row=i, column=header)
            for i, row in enumerate(self.rows, 2)
            for header, cell in zip(self.headers, row, strict=False)
            if isinstance(cell, float) and not math.isfinite(cell)
        ]
        if problems:
            raise Refusal(problems)


def guarded(text: str) -> str:
    """Return ``text`` with an apostrophe in front where a spreadsheet could take it for a formula."""
    return f"'{text}" if text.startswith(_RISKY) and not _PLAIN_NUMBER.fullmatch(text) else text


def csv_bytes(sheet: Sheet) -> bytes:
    """Return the table as CSV after RFC 4180: commas, CRLF, quotes only where needed, UTF-8 without BOM.

    Dates are ISO 8601, missing cells empty, yes and no are ``true`` and ``false``.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([guarded(header) for header in sheet.headers])
    writer.writerows([_csv_cell(cell) for cell in row] for row in sheet.rows)
    return out.getvalue().encode("utf-8")


def _csv_cell(cell: Cell) -> str | int | float:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, date):  # a datetime is one too
        return cell.isoformat()
    return guarded(cell) if isinstance(cell, str) else cell


def xlsx_bytes(sheets: Sequence[Sheet], made_at: datetime) -> bytes:
    """Return the tables as one workbook: a worksheet each, headings frozen, columns as wide as their content.

    Text is written as text, never as formula or link. Dates without a clock are date cells; instants keep
    their offset as ISO text, because a spreadsheet has no zones. Same tables, same ``made_at``: same bytes.

    Raises
    ------
    Refusal
        No table, two of one name, or more rows, columns or text in a cell than a worksheet holds.
    """
    _check_fits(sheets)
    out = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    with xlsxwriter.Workbook(out, options) as book:
        book.set_properties({"created": made_at.replace(tzinfo=None)})
        heading = book.add_format({"bold": True, "text_wrap": True, "valign": "top", "bottom": 1})
        day = book.add_format({"num_format": "yyyy-mm-dd"})
        wrapped = book.add_format({"text_wrap": True, "valign": "top"})
        for sheet in sheets:
            _write_table(book.add_worksheet(sheet.name), sheet, heading, day)
        if notes := [note for sheet in sheets for note in sheet.notes]:
            _write_notes(book.add_worksheet("How to read this"), notes, heading, wrapped)
    return out.getvalue()


def _write_table(page: xlsxwriter.worksheet.Worksheet, sheet: Sheet, heading: object, day: object) -> None:
    for column, (header, width) in enumerate(zip(sheet.headers, _widths(sheet), strict=True)):
        page.write_string(0, column, guarded(header), heading)
        page.set_column(column, column, width)
    for i, row in enumerate(sheet.rows, 1):
        for column, cell in enumerate(row):
            _write(page, i, column, cell, day)
    page.freeze_panes(1, 0)
    page.repeat_rows(0)
    page.set_landscape()
    page.fit_to_pages(1, 0)


def _write(page: xlsxwriter.worksheet.Worksheet, row: int, column: int, cell: Cell, day: object) -> None:
    if cell is None or cell == "":
        return
    if isinstance(cell, bool):
        page.write_boolean(row, column, cell)
    elif isinstance(cell, datetime):
        page.write_string(row, column, cell.isoformat())
    elif isinstance(cell, date):
        page.write_datetime(row, column, cell, day)
    elif isinstance(cell, str):
        page.write_string(row, column, guarded(cell))
    elif isinstance(cell, int) and abs(cell) > _EXACT_INTEGER:
        page.write_string(row, column, str(cell))
    else:
        page.write_number(row, column, cell)


def _write_notes(
    page: xlsxwriter.worksheet.Worksheet, notes: Iterable[tuple[str, str]], heading: object, wrapped: object
) -> None:
    page.set_column(0, 0, 28)
    page.set_column(1, 1, 90)
    for i, (term, meaning) in enumerate(notes):
        page.write_string(i, 0, guarded(term), heading)
        page.write_string(i, 1, guarded(meaning), wrapped)


def _widths(sheet: Sheet) -> list[float]:
    """Return a width a column, in characters: its longest word line, between 6 and 48."""
    widths = []
    for column, header in enumerate(sheet.headers):
        longest = max(
            (len(str(row[column])) for row in sheet.rows[:2000] if row[column] is not None), default=0
        )
        widths.append(float(min(48, max(6, longest + 2, max(map(len, header.split() or [""])) + 2))))
    return widths


def _check_fits(sheets: Sequence[Sheet]) -> None:
    problems = []
    if not sheets:
        problems.append(Problem("refused", "no table was handed over, and a workbook needs one"))
    seen: set[str] = set()
    for sheet in sheets:
        name = sheet.name.casefold()
        if name in seen or name == "how to read this":
            problems.append(
                Problem("refused", "this name is taken; worksheets need different ones", sheet=sheet.name)
            )
        seen.add(name)
        if len(sheet.rows) >= _MOST_ROWS or len(sheet.headers) > _MOST_COLUMNS:
            problems.append(
                Problem("refused", "more rows or columns than a worksheet holds: write CSV", sheet=sheet.name)
            )
        problems += [
            Problem(
                "refused", f"a text of {len(cell)} characters does not fit a cell", sheet=sheet.name, row=i
            )
            for i, row in enumerate(sheet.rows, 2)
            for cell in row
            if isinstance(cell, str) and len(cell) >= _LONGEST_CELL
        ]
    if problems:
        raise Refusal(problems)
