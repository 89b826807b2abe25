"""What columns tell of hauls: place, clock, condition, geometry, each distinct cell read once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from haulbook.exchange.cells import is_missing, parse_number, parse_time
from haulbook.exchange.coding import Coded, combine
from haulbook.exchange.column_roles import split_quantity
from haulbook.exchange.findings import Findings
from haulbook.exchange.sheet_hauls import Hauls
from haulbook.exchange.sheet_map import FileMap
from haulbook.exchange.table import Column, Table
from haulbook.exchange.trouble import CellTrouble
from haulbook.gear import SET_TYPES
from haulbook.problems import unknown

Reader = Callable[[str], Any]
"""Reads a cell: the value, None for no value, or a trouble."""


def tell_of_hauls(
    table: Table,
    part: FileMap,
    haul: Coded,
    days: Coded | None,
    hauls: Hauls,
    findings: Findings,
    columns: Mapping[str, str] | None = None,
) -> None:
    """Note every fact of hauls that a table's columns tell.

    Parameters
    ----------
    haul : Coded
        Key of each row's haul.
    days : Coded or None
        Day of each row.
    columns : mapping of heading to word or None
        Of one set block; None are those of the whole part, with its clock.
    """
    if days is not None and part.date is not None:
        column = Column(days.values, days.codes, part.date.columns[0])
        _tell(table, haul, column, "day", str, hauls, findings)
    for heading, word in (part.columns if columns is None else columns).items():
        for fact, reader in _facts_of(word, part):
            if heading in table.columns:
                _tell(table, haul, table.columns[heading], fact, reader, hauls, findings)
    if part.time is not None and columns is None:
        column = table.columns[part.time.column]
        _tell(table, haul, column, "time", _clock(part.time.form, part, column), hauls, findings)
        _tell_all(table, haul, "zone", part.time.zone, hauls, findings)
    if part.set_type is not None:
        _tell_all(table, haul, "file_set_type", part.set_type, hauls, findings)


def _tell_all(table: Table, haul: Coded, fact: str, value: Any, hauls: Hauls, findings: Findings) -> None:
    """Note the same fact of every haul of a table."""
    first, _ = combine([haul.codes], [len(haul.values)])
    for i in first.tolist():
        hauls.tell(haul[i], fact, value, table, int(table.rows[i]), fact, findings)


def _tell(
    table: Table, haul: Coded, column: Column, fact: str, reader: Reader, hauls: Hauls, findings: Findings
) -> None:
    read = [reader(text) if text.strip() else None for text in column.values]
    first, _ = combine([haul.codes, column.codes], [len(haul.values), len(column.values)])
    for i in first.tolist():
        value, key, row = read[column.codes[i]], haul[i], int(table.rows[i])
        if isinstance(value, CellTrouble):
            findings.tell("refused", value.message, table, row, column.heading)
        elif value is not None and key:
            hauls.tell(key, fact, value, table, row, column.heading, findings)


def _facts_of(word: str, part: FileMap) -> list[tuple[str, Reader]]:
    """Return which facts of a haul a column tells and how its cells are read.

    ``notes`` are what a remark says, shown beside questions; ``remarks`` what of it may go into a book.
    """
    if word == "remark":
        facts = [] if part.role == "catch" else ["notes", *(["remarks"] if part.carry_remarks else [])]
        return [(fact, str.strip) for fact in facts]
    fact, reader = _fact_of(word, part)
    return [(fact, reader)] if fact else []


def _fact_of(word: str, part: FileMap) -> tuple[str | None, Reader]:
    if word == "set_type":
        return word, lambda text: _set_type(text, part)
    if word in ("site", "net", "why"):
        return word, lambda text: None if is_missing(text, part.missing) else " ".join(text.split())
    if word == "haul_no":
        return "no", lambda text: None if is_missing(text, part.missing) else text.strip()
    if word in ("lat", "lon"):
        return word, degrees(word, part)
    if word == "condition":
        return word, lambda text: _condition(text, part)
    quantity = split_quantity(word, part.role)
    if quantity and quantity[0] != "length":
        name, unit = quantity
        fact = {"depth": "depth_m", "area": "area_m2"}.get(name, name)
        return fact, lambda text: _measure(text, unit, part, lowest=0.0 if name == "depth" else None)
    return None, str


def degrees(word: str, part: FileMap) -> Reader:
    """Return how a latitude or longitude is read: decimal degrees, turned round where the map says so."""
    most, sign = (90, 1) if word == "lat" else (180, 1)
    if word in part.negate:
        sign = -1

    def read(text: str) -> float | CellTrouble | None:
        value = parse_number(text, part.missing)
        if isinstance(value, float) and abs(value) > most:
            return CellTrouble(f"{text!r} lies outside -{most} to {most} degrees")
        return value * sign if isinstance(value, float) else value

    return read


def _condition(text: str, part: FileMap) -> int | CellTrouble | None:
    said = text.strip()
    if said in part.conditions:
        return part.conditions[said]
    if is_missing(said, part.missing):
        return None
    if not part.conditions and said in ("1", "2", "3", "4", "5", "9"):
        return int(said)
    return CellTrouble(
        f"{said!r} is no condition of a haul that the map knows; add it to conditions as 1 2 3 4 5 or 9"
    )


def _set_type(text: str, part: FileMap) -> str | CellTrouble | None:
    if is_missing(text, part.missing):
        return None
    said = "_".join(text.casefold().replace("_", " ").split())
    return said if said in SET_TYPES else CellTrouble(unknown("set type", text.strip(), SET_TYPES))


def _measure(text: str, unit: float, part: FileMap, lowest: float | None) -> float | CellTrouble | None:
    value = parse_number(text, part.missing)
    if value == lowest:
        return lowest
    if isinstance(value, float):
        return (
            round(value * unit, 4)
            if value > 0
            else CellTrouble(f"{text!r} is no length or area: it has to be above 0")
        )
    return value


def _clock(form: str, part: FileMap, column: Column) -> Reader:
    def read(text: str) -> Any:
        if is_missing(text, part.missing):
            return None
        if text in column.dates:
            return parse_time(text, "stamp" if "-" in text else "H:M:S")
        return parse_time(text, form)

    return read
