"""Columns of numbers of animals: each distinct cell read once, blanks and words kept apart from zero."""

from __future__ import annotations

from typing import Any

import numpy as np

from haulbook.exchange.cells import PRESENCE_WORDS, parse_counts
from haulbook.exchange.findings import Findings
from haulbook.exchange.sheet_catch import Numbers
from haulbook.exchange.sheet_map import FileMap
from haulbook.exchange.table import Column, Table
from haulbook.exchange.trouble import CellTrouble

BLANK, BAD, PRESENT = -1, -2, -3
"""Stand for an empty cell, one that is no number (and was refused), and a word that says "present"."""


def counts_of(column: Column, part: FileMap, table: Table, findings: Findings) -> Numbers:
    """Return the number in each row of a column, or BLANK, BAD or PRESENT; what is no number is refused."""
    read: list[Any] = list(parse_counts(column.values, part.missing))
    numbers = []
    for i, (text, value) in enumerate(zip(column.values, read, strict=True)):
        if isinstance(value, CellTrouble) and text.strip().casefold().rstrip("!. ") in PRESENCE_WORDS:
            read[i], value = None, PRESENT
        numbers.append(BAD if isinstance(value, CellTrouble) else BLANK if value is None else value)
    findings.refuse_cells(read, column, table)
    return np.array(numbers, np.int64)[column.codes] if numbers else np.zeros(0, np.int64)
