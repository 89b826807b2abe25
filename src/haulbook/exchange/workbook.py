"""Sheets of a workbook (XLSX, XLS, ODS) become rows of texts, date cells marked."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from fnmatch import fnmatchcase
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.etree.ElementTree import ParseError
from zipfile import BadZipFile

from haulbook.exchange.formulas import formulas_without_value
from haulbook.exchange.records import Records
from haulbook.problems import Problem, Refusal, unknown

if TYPE_CHECKING:
    from python_calamine import CalamineSheet


def workbook_records(path: Path, sheet: str | None = None) -> list[Records]:
    """Read the sheets whose name fits ``sheet`` (a name or glob; None is all that hold anything).

    Numbers are written without a trailing ``.0``, dates and times as ISO 8601. A merged cell stands in all
    the columns of its first row that it covers.

    Raises
    ------
    Refusal
        Where the file is no workbook, has no such sheet, or holds a formula whose value was never stored.
    """
    import python_calamine as calamine

    try:
        data = path.read_bytes()
        book = calamine.CalamineWorkbook.from_path(str(path))
        names = [name for name in book.sheet_names if sheet is None or fnmatchcase(name, sheet)]
        if not names:
            raise Refusal(Problem("refused", unknown("sheet", sheet or "", book.sheet_names), file=path.name))
        formulas = formulas_without_value(path)
        digest = hashlib.sha256(data).hexdigest()
        read = [
            _sheet_records(path.name, digest, book.get_sheet_by_name(n), formulas.get(n, {})) for n in names
        ]
    except (
        calamine.CalamineError,
        calamine.ZipError,
        calamine.XmlError,
        OSError,
        BadZipFile,
        ParseError,
    ) as error:
        message = (
            f"can't be read as a workbook ({_first_line(error)}); open it in a spreadsheet and save it again"
        )
        raise Refusal(Problem("refused", message, file=path.name)) from None
    full = [records for records in read if records.records]
    if not full:
        raise Refusal(Problem("refused", "holds nothing", file=path.name, sheet=sheet))
    return full


def _first_line(error: Exception) -> str:
    return (str(error) or type(error).__name__).splitlines()[0][:120]


def _sheet_records(
    file: str, digest: str, sheet: CalamineSheet, formulas: Mapping[tuple[int, int], str]
) -> Records:
    cells: list[list[Any]] = sheet.to_python(skip_empty_area=False)
    dates: set[str] = set()
    records = [[_text(cell, dates) for cell in row] for row in cells]
    problems = []
    for (row, column), formula in formulas.items():
        if row < len(records) and column < len(records[row]) and not records[row][column]:
            records[row][column] = formula
    for (top, left), (bottom, right) in sheet.merged_cell_ranges or ():
        text = records[top][left] if top < len(records) and left < len(records[top]) else ""
        if text and not isinstance(cells[top][left], (int, float)):
            records[top][left : right + 1] = [text] * (right + 1 - left)
        if text and bottom > top:
            message = (
                f"{text[:40]!r} is one cell merged down to row {bottom + 1}; it is read in row {top + 1} only: "
                "unmerge it and write it in every row that it is meant for"
            )
            problems.append(Problem("refused", message, file, sheet.name, top + 1))
    return Records(file, sheet.name, records, digest, True, frozenset(dates), problems=tuple(problems))


def _text(cell: Any, dates: set[str]) -> str:
    if isinstance(cell, str):
        return cell
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, (int, float)):
        return str(int(cell)) if float(cell).is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, datetime):
        text = cell.date().isoformat() if cell.time() == time() else cell.isoformat(" ", "seconds")
    elif isinstance(cell, (date, time)):
        text = cell.isoformat()
    elif isinstance(cell, timedelta):
        minutes, seconds = divmod(round(cell.total_seconds()), 60)
        text = f"{minutes // 60:02d}:{minutes % 60:02d}:{seconds:02d}"
    else:
        return str(cell)
    dates.add(text)
    return text
