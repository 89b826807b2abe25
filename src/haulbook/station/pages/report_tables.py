"""Tables of a report on a page, a part at a time, and as files."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse

from haulbook.office.make_report import MadeReport, MadeTable
from haulbook.publish import Sheet
from haulbook.publish.sheet import csv_bytes, xlsx_bytes
from haulbook.station import clock
from haulbook.station.pages.permit_files import as_file

ROWS = 25
"""Rows of a table that stand on a page at once; ``whole`` asks for all, to print."""
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@dataclass(frozen=True, slots=True)
class Seen:
    """One table on the page: a part of its rows."""

    table: MadeTable
    sheet: Sheet
    rows: tuple[tuple[int, tuple[Any, ...]], ...]
    figures: frozenset[int]
    pages: int
    page: int


def seen_tables(request: HttpRequest, made: MadeReport) -> list[Seen]:
    """Return of each table the part that is asked for: ``t0=2`` is the second part of the first."""
    return [_seen(request, i, table, made.sheets[i]) for i, table in enumerate(made.tables)]


def sheet_file(request: HttpRequest, made: MadeReport, form: str, mark: str) -> HttpResponse:
    """Return a report's tables as a file."""
    stem = f"report-{made.permit}-{made.first}-{mark}"
    if form == "xlsx":
        at = clock.now().replace(hour=0, minute=0, second=0, microsecond=0)
        return as_file(xlsx_bytes(made.sheets, at), XLSX, f"{stem}.xlsx")
    asked = request.GET.get("table", "")
    sheet = next((one for one in made.sheets if one.name == asked), made.sheets[0])
    return as_file(csv_bytes(sheet), "text/csv; charset=utf-8", f"{stem}-{sheet.name}.csv")


def _seen(request: HttpRequest, place: int, table: MadeTable, sheet: Sheet) -> Seen:
    most = len(sheet.rows) if "whole" in request.GET else ROWS
    pages = max(1, -(-len(sheet.rows) // max(1, most)))
    asked = request.GET.get(f"t{place}", "1")
    page = min(max(int(asked), 1), pages) if asked.isdigit() and len(asked) < 6 else 1
    start = most * (page - 1)
    rows = tuple(enumerate(sheet.rows[start : start + most], start))
    width = range(len(sheet.headers))
    figures = frozenset(i for i in width if any(isinstance(row[i], (int, float)) for _n, row in rows))
    return Seen(table, sheet, rows, figures, pages, page)
