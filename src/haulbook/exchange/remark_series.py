"""Remarks that a spreadsheet counted on as it filled them down, and those that only say "as above"."""

from __future__ import annotations

import re

import numpy as np

from haulbook.exchange.findings import Findings
from haulbook.exchange.sheet_map import FileMap
from haulbook.exchange.table import Column, Table

_NUMBERED = re.compile(r"(.*\D)(\d{1,4})")
_DITTO = frozenset({'"', "''", "″", "”", "„", "ditto", "do.", '-"-'})
_LEAST = 3  # rows: two remarks with following numbers can be meant


def tell_series(table: Table, part: FileMap, findings: Findings) -> None:
    """Note each run of rows whose remarks differ only by a number that grows by one, and each ditto mark."""
    for heading, word in part.columns.items():
        if word in ("remark", "why") and heading in table.columns:
            column = table.columns[heading]
            _tell_runs(column, table, findings)
            _tell_dittos(column, table, findings)


def _tell_runs(column: Column, table: Table, findings: Findings) -> None:
    numbered = [_NUMBERED.fullmatch(text.strip()) for text in column.values]
    ends = np.array([match is not None for match in numbered], np.bool_)
    at = np.flatnonzero(ends[column.codes]).tolist() if ends.any() else []
    run: list[int] = []
    for i in [*at, -1]:
        match = numbered[column.codes[i]] if i >= 0 else None
        last = numbered[column.codes[run[-1]]] if run else None
        if match and last and i == run[-1] + 1 and match[1] == last[1] and int(match[2]) == int(last[2]) + 1:
            run.append(i)
            continue
        if len(run) >= _LEAST:
            first, final = (numbered[column.codes[i]] for i in (run[0], run[-1]))
            message = (  # without the remark's words, which may name people
                f"from here to row {int(table.rows[run[-1]])} the number in the remark counts on from "
                f"{first and first[2]} to {final and final[2]}: a spreadsheet filled it down; it means nothing"
            )
            findings.tell("note", message, table, int(table.rows[run[0]]), column.heading)
        run = [i] if match else []


def _tell_dittos(column: Column, table: Table, findings: Findings) -> None:
    for code, text in enumerate(column.values):
        if text.strip().casefold() in _DITTO:
            message = f"the remark is {text.strip()!r}: perhaps the same as above; taken as written"
            findings.tell_rows("note", message, table, np.flatnonzero(column.codes == code), column.heading)
