"""One table out of a CSV file or a workbook sheet, every distinct cell text of a column held once.

A column is a list of distinct texts and one small whole number a row that says which of them stands there.
What has to be read out of a text is then done once a text, not once a row, and sums are taken over the
numbers. See ``docs/decisions/0005-columns-are-coded-once.md``.
"""

from __future__ import annotations

import gc
from collections.abc import Collection
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from haulbook.exchange.coding import Coded
from haulbook.exchange.records import Records
from haulbook.problems import Kind, Problem, Refusal

NAMELESS = "column "
"""How the heading of a column without one begins: ``column A``."""

_CHUNK = 1000  # short chunks of rows die young: larger ones set off full garbage collections
_WORKBOOKS = (".xlsx", ".xlsm", ".xls", ".ods")


@dataclass(frozen=True, slots=True, eq=False)
class Column(Coded):
    """One column: its distinct texts exactly as written, and which of them stands in each data row.

    Attributes
    ----------
    heading : str
        As written, without outer blanks. A column without one is called ``column A`` by its letter; of two
        that share one, each has its letter added: ``Count (column F)``.
    dates : frozenset of str
        Those of ``values`` that are real date or time cells of a workbook, written as ISO 8601.
    """

    heading: str = ""
    dates: frozenset[str] = frozenset()

    @property
    def blank(self) -> bool:
        """Whether nothing stands in any row."""
        return not any(text.strip() for text in self.values)


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """One sheet of one file.

    Attributes
    ----------
    file : str
        Name of the file without folder.
    sheet : str or None
        None for a text file.
    columns : mapping of heading to Column
        In the order of the file; without the columns that were not to be read.
    headings : tuple of str
        Of all columns, read or not, but for nameless ones with nothing in them.
    rows : int32 array
        For each data row its number as a spreadsheet counts it. Rows with nothing in them are left out.
    digest : str
        SHA-256 of the file, 64 hexadecimal digits.
    encoding, delimiter : str or None
        As found or declared; None for a workbook.
    problems : tuple of Problem
        Ragged rows, headings used twice, formulas without a value and the like.
    """

    file: str
    sheet: str | None
    columns: dict[str, Column]
    headings: tuple[str, ...]
    rows: NDArray[np.int32]
    digest: str
    encoding: str | None = None
    delimiter: str | None = None
    problems: tuple[Problem, ...] = ()

    def __len__(self) -> int:
        return len(self.rows)

    @property
    def label(self) -> str:
        """File, and sheet where there are sheets: what keys of questions begin with."""
        return f"{self.file}/{self.sheet}" if self.sheet else self.file


def read_tables(
    path: Path,
    *,
    sheet: str | None = None,
    header: int = 1,
    encoding: str | None = None,
    delimiter: str | None = None,
    skip: Collection[str] = (),
) -> tuple[Table, ...]:
    """Read one file as tables: one for a text file, one a sheet for a workbook.

    Parameters
    ----------
    path : Path
        ``.xlsx``, ``.xlsm``, ``.xls`` and ``.ods`` are read as workbooks, all else as text.
    sheet : str or None
        Name or glob of the sheets to read; None reads them all.
    header : int
        Row of the headings, as a spreadsheet counts; 0 where the file has none.
    encoding, delimiter : str or None
        Found from the whole file where not said.
    skip : collection of str
        Headings of columns that nobody will ask for: not read at all.

    Raises
    ------
    Refusal
        Where there is no such file, or it can't be read as a table; the message says what to do.
    """
    if not path.exists():
        raise Refusal(f"there is no file {path}")
    if path.is_dir():
        raise Refusal(f"{path} is a folder; name the files in it")
    was_on = gc.isenabled()
    gc.disable()  # a table holds no cycles, and millions of short-lived texts would set off the collector
    try:
        if path.suffix.lower() in _WORKBOOKS:
            from haulbook.exchange.workbook import workbook_records

            sources = workbook_records(path, sheet)
        else:
            from haulbook.exchange.text_file import text_records

            sources = [text_records(path, encoding, delimiter)]
        return tuple(_table_of(records, header, frozenset(skip)) for records in sources)
    except OSError as error:
        raise Refusal(
            Problem("refused", f"could not be read ({error.strerror or error})", file=path.name)
        ) from None
    finally:
        if was_on:
            gc.enable()


class _Coder(dict[str, int]):
    """Gives every text it has not met the next whole number."""

    def __missing__(self, text: str) -> int:
        code = self[text] = len(self)
        return code


def _table_of(source: Records, header: int, skip: frozenset[str]) -> Table:
    records = iter(source.records)
    top = list(islice(records, max(header, 0)))
    if len(top) < header or (header and not any(map(str.strip, top[-1]))):
        message = f"has no headings in row {header}; say in the map which row holds them (0 where none does)"
        raise Refusal(Problem("refused", message, file=source.file, sheet=source.sheet))
    chunk = list(islice(records, _CHUNK))
    head = top[-1] if header else [""] * max(map(len, chunk), default=0)
    while head and not head[-1].strip() and header:
        head.pop()  # nameless columns at the end: what stands in them is reported as ragged
    cells = _Cells(source, head, header, skip)
    while chunk:
        cells.add(chunk)
        chunk = list(islice(records, _CHUNK))
    return cells.table()


class _Cells:
    """Gathers chunks of records, column by column."""

    def __init__(self, source: Records, head: list[str], header: int, skip: frozenset[str]) -> None:
        self._source = source
        self._problems = list(source.problems)
        self._headings = self._named(head, header)
        self._width = len(head)
        self._coders = [None if heading in skip else _Coder() for heading in self._headings]
        self._parts: list[list[NDArray[np.int32]]] = [[] for _ in head]
        self._next_row = header + 1

    def add(self, chunk: list[list[str]]) -> None:
        """Take the next records; short and long ones are reported, then brought to the headings' width."""
        if set(map(len, chunk)) != {self._width}:
            chunk = [self._squared(record, self._next_row + i) for i, record in enumerate(chunk)]
        self._next_row += len(chunk)
        columns = zip(*chunk, strict=True) if self._width else ()
        for coder, part, column in zip(self._coders, self._parts, columns, strict=False):
            if coder is not None:
                part.append(np.fromiter(map(coder.__getitem__, column), np.int32, len(chunk)))

    def table(self) -> Table:
        """Return the table of all that was added."""
        source = self._source
        values = {
            h: tuple(coder)
            for h, coder in zip(self._headings, self._coders, strict=True)
            if coder is not None
        }
        codes = {
            h: np.concatenate(part) if part else np.zeros(0, np.int32)
            for h, part in zip(self._headings, self._parts, strict=True)
            if h in values
        }
        self._parts.clear()
        kept = _something_stands(values, codes)
        rows = np.arange(self._next_row - len(kept), self._next_row, dtype=np.int32)
        columns = {
            h: Column(
                values[h], codes[h] if kept.all() else codes[h][kept], h, source.dates.intersection(values[h])
            )
            for h in values
        }
        headings = tuple(
            h for h in self._headings if not (h.startswith(NAMELESS) and h in columns and columns[h].blank)
        )
        return Table(
            source.file,
            source.sheet,
            {h: column for h, column in columns.items() if h in headings},
            headings,
            rows[kept],
            source.digest,
            source.encoding,
            source.delimiter,
            tuple(self._problems),
        )

    def _named(self, head: list[str], header: int) -> tuple[str, ...]:
        stripped = [" ".join(heading.split()) for heading in head]
        named = []
        for i, heading in enumerate(stripped):
            if not heading:
                heading = f"{NAMELESS}{letters(i)}"
            elif stripped.count(heading) > 1:
                heading = f"{heading} (column {letters(i)})"
                self._problem(
                    "note",
                    f"shares its heading with another column; the map calls it {heading!r}",
                    header,
                    heading,
                )
            named.append(heading)
        return tuple(named)

    def _squared(self, record: list[str], row: int) -> list[str]:
        have, width = len(record), self._width
        if have < width:
            if record and not self._source.squares:
                message = f"has {have} cells, the headings have {width}; the missing ones are taken as blank"
                self._problem("altered", message, row)
            return record + [""] * (width - have)
        if any(map(str.strip, record[width:])):
            message = (
                f"has {have} cells, the headings have {width}; what stands beyond the last heading is not read "
                "(a text with the delimiter in it needs quotes)"
            )
            self._problem("refused", message, row)
        return record[:width]

    def _problem(self, kind: Kind, message: str, row: int, column: str | None = None) -> None:
        self._problems.append(Problem(kind, message, self._source.file, self._source.sheet, row, column))


def letters(i: int) -> str:
    """Return the letters by which a spreadsheet calls its column number ``i``, counted from 0."""
    name = ""
    i += 1
    while i:
        i, rest = divmod(i - 1, 26)
        name = chr(65 + rest) + name
    return name


def _something_stands(
    values: dict[str, tuple[str, ...]], codes: dict[str, NDArray[np.int32]]
) -> NDArray[np.bool_]:
    """Return which rows have text in any column that is read."""
    kept: NDArray[np.bool_] | None = None
    for heading, texts in values.items():
        full = np.array([bool(text.strip()) for text in texts], dtype=np.bool_)
        here = full[codes[heading]] if len(full) else np.zeros(0, np.bool_)
        kept = here if kept is None else kept | here
        if kept.all():
            break
    return np.zeros(0, np.bool_) if kept is None else kept
