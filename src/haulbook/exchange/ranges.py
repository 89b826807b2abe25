"""Texts that a spreadsheet turned from a range into a date: asked wherever ranges stand beside them."""

from __future__ import annotations

import numpy as np

from haulbook.exchange.cells import holds_ranges, looks_like_range_turned_date
from haulbook.exchange.findings import Findings
from haulbook.exchange.sheet_map import FileMap
from haulbook.exchange.table import Table

_MANY_TEXTS = 2000  # a column with more distinct texts than this holds keys or remarks, not ranges


def ask_ranges(table: Table, part: FileMap, findings: Findings) -> None:
    """Ask about each date among ranges in a column of texts; in counts and measures it is refused as such."""
    times = {*(part.date.columns if part.date else ()), *((part.time.column,) if part.time else ())}
    for heading, column in table.columns.items():
        if heading in times or len(column.values) > _MANY_TEXTS or not holds_ranges(column.values):
            continue
        if part.columns.get(heading) in ("n", "n_unmeasured", "estimated", "dead"):
            continue
        was = [looks_like_range_turned_date(text, among_ranges=True) for text in column.values]
        odd = np.array([text is not None for text in was], np.bool_)
        for i in np.flatnonzero(odd[column.codes]).tolist():
            message = (
                f"{column[i]!r} is a date where ranges stand: a spreadsheet probably turned the range "
                f"{was[column.codes[i]]} into it; write what was meant"
            )
            findings.tell("asked", message, table, int(table.rows[i]), heading)
