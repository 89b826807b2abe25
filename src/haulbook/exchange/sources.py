"""The files handed in, each met with its part of the map and read as tables, every column accounted for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from haulbook.exchange.sheet_map import FileMap, SheetMap
from haulbook.exchange.table import Table, read_tables
from haulbook.problems import Problem, Refusal, nearest

MOST_COLUMNS = 12
"""Columns that nobody named, of one table, that are refused one by one."""


@dataclass(frozen=True, slots=True, eq=False)
class Source:
    """One table and what the map says of it."""

    table: Table
    part: FileMap


def open_sources(paths: Sequence[Path], sheet_map: SheetMap) -> list[Source]:
    """Read every file as the map says, in the order in which they are handed in.

    Raises
    ------
    Refusal
        With everything that stands in the way: files that are missing, unreadable or not in the map, columns
        that are neither named nor ignored, and columns that the map names and no file has.
    """
    problems: list[Problem] = []
    sources: list[Source] = []
    seen: set[Path] = set()
    for path in paths:
        if path.resolve() in seen:
            problems.append(
                Problem("refused", "is handed in twice; its animals would count twice", file=path.name)
            )
            continue
        if any(path.name == other.name for other in seen):
            message = "has the name of another file that was handed in; give each a name of its own"
            problems.append(Problem("refused", message, file=path.name))
            continue
        seen.add(path.resolve())
        if path.is_dir():
            problems.append(Problem("refused", f"{path} is a folder; name the files in it"))
            continue
        parts = sheet_map.of_file(path.name)
        if not parts:
            message = (
                f'is in no [[file]] of {sheet_map.name}; add one (role = "skip" where it isn\'t to be read)'
            )
            problems.append(
                Problem("refused", message if path.exists() else f"there is no file {path}", file=path.name)
            )
        for part in parts:
            if part.role != "skip":
                _open(path, part, sources, problems)
    problems += _same_twice(sources)
    if not problems and not sources:
        problems.append(Problem("refused", "no file was handed in that the map reads"))
    if problems:
        raise Refusal(problems)
    return sources


def _same_twice(sources: Sequence[Source]) -> list[Problem]:
    """Return each file that holds the very bytes of one before it."""
    first: dict[str, str] = {}
    twice = {
        source.table.file: first[source.table.digest]
        for source in sources
        if first.setdefault(source.table.digest, source.table.file) != source.table.file
    }
    return [
        Problem("refused", f"holds the same as {other}, byte for byte; its animals would count twice", file)
        for file, other in twice.items()
    ]


def _open(path: Path, part: FileMap, sources: list[Source], problems: list[Problem]) -> None:
    try:
        tables = read_tables(
            path,
            sheet=part.sheet,
            header=part.header,
            encoding=part.encoding,
            delimiter=part.delimiter,
            skip=part.unread,
        )
    except Refusal as refusal:
        problems += refusal.problems
        return
    if part.sheet is None and len(tables) > 1:
        names = ", ".join(repr(table.sheet) for table in tables)
        problems.append(
            Problem("refused", f"has the sheets {names}; say in the map which to read", file=path.name)
        )
        return
    for table in tables:
        problems += _columns_off(table, part)
        sources.append(Source(table, part))


def _columns_off(table: Table, part: FileMap) -> list[Problem]:
    """Return the columns nobody named and those that the map names in vain."""
    here = set(table.headings)
    named = part.named
    unnamed = [h for h in table.headings if h not in named and not part.is_taxon(h)]
    where = (table.file, table.sheet, part.header or None)
    off = [
        Problem("refused", "is neither named nor ignored in the map", *where, h)
        for h in unnamed[:MOST_COLUMNS]
    ]
    if rest := unnamed[MOST_COLUMNS:]:
        message = f"{len(rest)} more columns are neither named nor ignored in the map: {', '.join(rest[:20])}"
        off.append(Problem("refused", f"{message}{' ...' if len(rest) > 20 else ''}", *where))
    needed = named - set(part.ignore)
    for heading in sorted(needed - here):
        near = nearest(heading, here)
        hint = f"; the nearest is {near[0]!r}" if near else ""
        if len(here) == 1 and table.delimiter:
            hint = f"; all was read as one column, with {table.delimiter!r} between cells: see delimiter in the map"
        off.append(
            Problem("refused", f"the map names this column, and it isn't there{hint}", *where, heading)
        )
    return off
