"""What a sheet itself says became of the animals: columns of fates, and of the dead."""

from __future__ import annotations

import numpy as np

from haulbook.exchange.cells import is_missing, parse_count
from haulbook.exchange.coding import Coded, merged
from haulbook.exchange.findings import Findings
from haulbook.exchange.sheet_catch import Catch, Numbers, State, column_of
from haulbook.exchange.sheet_map import FATES, FileMap
from haulbook.exchange.table import Table
from haulbook.exchange.trouble import CellTrouble

_YES = frozenset({"yes", "y", "x", "true", "dead", "deceased"})
_NO = frozenset({"no", "n", "false", "alive", "live"})
_ALL = 10**12  # stands for "all of the row"


def fates_of(table: Table, part: FileMap, findings: Findings) -> Coded | None:
    """Return the place each row's animals went to, "" where the row says none; None without such a column.

    A word that the map does not explain is asked, and its animals are left in the net until then.
    """
    column = column_of("fate", table, part)
    if column is None:
        return None
    read = [_fate(text, part) for text in column.values]
    findings.refuse_cells(read, column, table, kind="asked")
    return merged([place if isinstance(place, str) else "net" for place in read], column.codes)


def _fate(text: str, part: FileMap) -> str | CellTrouble:
    said = " ".join(text.split())
    if said in part.fates:
        return part.fates[said]
    if is_missing(said, part.missing):
        return ""
    if said.casefold() in FATES:
        return said.casefold()
    return CellTrouble(
        f"{said!r} is no fate that the map knows; add it to fates. Until then the animals are unaccounted"
    )


def dead_of(catch: Catch, findings: Findings) -> Numbers | None:
    """Return how many animals of each row were dead; None without such a column."""
    column = column_of("dead", catch.table, catch.part)
    if column is None or column.blank:
        return None
    read = [_how_many_dead(text, catch.part) for text in column.values]
    findings.refuse_cells(read, column, catch.table)
    numbers = np.array([value if isinstance(value, int) else 0 for value in read], np.int64)
    dead = numbers[column.codes][catch.at]
    over = np.flatnonzero((dead > catch.n) & (dead < _ALL) & (catch.state != State.OPEN))
    findings.tell_rows(
        "altered",
        "has more dead than animals; all its animals are taken as dead",
        catch.table,
        catch.at[over],
        column.heading,
    )
    return np.minimum(dead, catch.n)


def _how_many_dead(text: str, part: FileMap) -> int | CellTrouble | None:
    said = text.strip().casefold()
    if said in _YES:
        return _ALL
    if said in _NO:
        return 0
    return parse_count(text, part.missing)
