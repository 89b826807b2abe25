"""Writes the invented seasons as a crew would have typed them: two years of CSV, then a workbook."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from datetime import date

import xlsxwriter

from haulbook.demo.draw import Catch, DrawnHaul, DrawnOuting

Cell = str | int | float | date
HAUL_HEADINGS = (
    "Haul", "Date", "Out", "Landed", "Site", "Net", "Set", "Width m", "Distance m", "Condition",
    "What happened", "Water C", "Salinity",
)  # fmt: skip
CATCH_HEADINGS = ("Haul", "Animal", "Stage", "Count", "Of these by scoops", "Went", "Remark")
LENGTH_HEADINGS = ("Haul", "Animal", "Length mm")
STAGE_WORDS = {"young": "juv"}


def label(haul: DrawnHaul) -> str:
    """Return the key that the crew writes on the sheet: ``24-0509-1``."""
    return f"{haul.started:%y-%m%d}-{haul.number}"


def _haul_row(haul: DrawnHaul, day: Cell) -> tuple[Cell, ...]:
    return (
        label(haul), day, f"{haul.started:%H:%M}", f"{haul.landed:%H:%M}", "sallowhorn-cove", "n1",
        "straight", haul.width_m, haul.distance_m, haul.condition, haul.why or "", haul.temperature_c,
        haul.salinity,
    )  # fmt: skip


def _catch_rows(haul: DrawnHaul, catch: Catch) -> Iterator[tuple[Cell, ...]]:
    stage = STAGE_WORDS.get(catch.kind.stage or "", "")
    parts = (("back", catch.back), ("exhibit", catch.kept), ("dead", catch.dead), ("got away", catch.escaped))
    for went, n in parts:
        if n:
            scooped: Cell = n if went == "back" and catch.scoops else ""
            remark = "called cunner, corrected from the tank" if went == "exhibit" and catch.kept_as else ""
            yield label(haul), _as_typed(catch.kind.name, haul, n), stage, n, scooped, went, remark


def _as_typed(name: str, haul: DrawnHaul, n: int) -> str:
    """Return the name as a tired crew types it: sometimes capital or plural, always the same animal."""
    if haul.number == 2:
        name = name[0].upper() + name[1:]
    plural = n > 1 and haul.number == 3 and name.split()[-1] in ("silverside", "mummichog", "crab")
    return f"{name}s" if plural else name


def _csv(headings: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out).writerows([headings, *rows])
    return out.getvalue().encode()


def _workbook(hauls: Sequence[DrawnHaul]) -> bytes:
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True}) as book:
        book.set_properties({"created": hauls[-1].ended.replace(tzinfo=None)})
        day = book.add_format({"num_format": "d mmm yyyy"})
        for name, headings, rows in (
            ("Hauls", HAUL_HEADINGS, [_haul_row(haul, haul.started.date()) for haul in hauls]),
            (
                "Catch",
                CATCH_HEADINGS,
                [row for haul in hauls for catch in haul.catch for row in _catch_rows(haul, catch)],
            ),
            ("Lengths", LENGTH_HEADINGS, list(_length_rows(hauls))),
        ):
            page = book.add_worksheet(name)
            page.write_row(0, 0, headings)
            for r, row in enumerate(rows, 1):
                for c, cell in enumerate(row):
                    if isinstance(cell, date):
                        page.write_datetime(r, c, cell, day)
                    elif cell != "":
                        page.write(r, c, cell)
    return out.getvalue()


def _length_rows(hauls: Sequence[DrawnHaul]) -> Iterator[tuple[Cell, ...]]:
    for haul in hauls:
        for catch in haul.catch:
            name = _as_typed(catch.kind.name, haul, catch.back or catch.kept)
            for mm in catch.lengths_mm:
                yield label(haul), name, mm


def sheets_of(outings: Sequence[DrawnOuting]) -> dict[str, bytes]:
    """Return the crew's files by name, as they would lie in a folder."""
    years = sorted({haul.started.year for outing in outings for haul in outing.hauls})
    files: dict[str, bytes] = {}
    for year in years:
        hauls = [haul for outing in outings for haul in outing.hauls if haul.started.year == year]
        if year == years[-1]:
            files[f"{year}.xlsx"] = _workbook(hauls)
            continue
        files[f"{year}-hauls.csv"] = _csv(
            HAUL_HEADINGS,
            [_haul_row(haul, f"{haul.started.month}/{haul.started.day}/{haul.started:%y}") for haul in hauls],
        )
        files[f"{year}-catch.csv"] = _csv(
            CATCH_HEADINGS,
            [row for haul in hauls for catch in haul.catch for row in _catch_rows(haul, catch)],
        )
        files[f"{year}-lengths.csv"] = _csv(LENGTH_HEADINGS, list(_length_rows(hauls)))
    return files
