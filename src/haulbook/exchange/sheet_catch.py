"""The rows of a catch, column by column: haul, name, stage and number of each, and how sure the number is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from haulbook.exchange.coding import Coded
from haulbook.exchange.sheet_map import FileMap
from haulbook.exchange.table import Column, Table

Numbers = NDArray[np.int64]

NO_NAME = "(no name)"
"""Stands for the name of animals whose row has a number but no name."""

_NOTHING = frozenset({"-", "none", "no fish", "no catch", "nothing", "nil", "no bycatch"})


class State(IntEnum):
    """What the number of a row is."""

    COUNTED = 0
    PRESENT = 1
    """Seen, not counted: neither 0 nor 1."""
    NONE = 2
    """Zero, or a row that says that the haul held nothing."""
    OPEN = 3
    """Not counted until somebody answers or mends the row; reported."""


@dataclass(frozen=True, slots=True, eq=False)
class Catch:
    """What one table says was caught, one place a row (one a row and taxon where taxa are columns).

    Attributes
    ----------
    table, part
    at : int array
        Data row of ``table`` that each place comes from.
    haul, name, stage : Coded
        As written; ``haul`` is the key that it is joined by.
    our_stage : mapping of a written stage to larva, young, adult, egg mass or ""
    n : int64 array
        Animals; 0 where ``state`` is not COUNTED.
    judged : int64 array
        How many of ``n`` were estimated by eye.
    state : int8 array of State
    fate : Coded or None
        Places animals went to; "" where the row says none.
    dead : int64 array or None
        How many of ``n`` were dead.
    length_mm : float array or None
        NaN where none was measured.
    """

    table: Table
    part: FileMap
    at: NDArray[np.int64]
    haul: Coded
    name: Coded
    stage: Coded
    our_stage: Mapping[str, str]
    n: Numbers
    judged: Numbers
    state: NDArray[np.int8]
    fate: Coded | None = None
    dead: Numbers | None = None
    length_mm: NDArray[np.float64] | None = None

    def __len__(self) -> int:
        return len(self.n)

    def text(self, word: str, i: int) -> str:
        """Return what stands in the column that is ``word``, at place ``i``; "" where there is none."""
        heading = self.part.heading_of(word)
        return self.table.columns[heading][int(self.at[i])].strip() if heading in self.table.columns else ""

    def heading(self, i: int) -> str:
        """Return the heading of the column that place ``i`` of a wide sheet comes from."""
        stage = self.stage[i]
        return f"{self.name[i]} {stage}" if stage else self.name[i]

    def says_nothing(self, name: str) -> bool:
        """Return whether a name says that the haul held nothing: ``-``, ``No fish``, or what the map calls so."""
        said = name.strip()
        return said in self.part.nothing or said.casefold() in _NOTHING

    def row(self, i: int) -> int:
        """Return the row of the sheet that place ``i`` comes from."""
        return int(self.table.rows[self.at[i]])

    def leave_open(self, at: NDArray[np.int64]) -> None:
        """Take the animals of places ``at`` out of the count until somebody answers or mends the rows."""
        self.n[at], self.judged[at], self.state[at] = 0, 0, State.OPEN

    def with_dead(self, dead: Numbers | None) -> Catch:
        """Return the same catch with the dead told apart."""
        return replace(self, dead=dead)


def column_of(word: str, table: Table, part: FileMap) -> Column | None:
    """Return the column that is ``word``, None where the table has none."""
    heading = part.heading_of(word)
    return table.columns.get(heading) if heading else None
