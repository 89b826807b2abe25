"""Wide sheets: one column a taxon, perhaps with the life stage in its heading."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from haulbook.exchange.coding import Coded, merged
from haulbook.exchange.count_cells import BAD, BLANK, PRESENT, counts_of
from haulbook.exchange.findings import Findings
from haulbook.exchange.sheet_catch import Catch, State
from haulbook.exchange.sheet_map import FileMap
from haulbook.exchange.table import Table


def read_wide(table: Table, part: FileMap, haul: Coded, findings: Findings) -> Catch:
    """Read a sheet with one column a taxon: a blank cell says nothing, a 0 that there was none."""
    ats: list[NDArray[np.int64]] = []
    numbers: list[NDArray[np.int64]] = []
    names: list[str] = []
    stages: list[str] = []
    for heading, column in table.columns.items():
        if not part.is_taxon(heading):
            continue
        n = counts_of(column, part, table, findings)
        at = np.flatnonzero((n != BLANK) & (n != BAD))
        ats.append(at)
        numbers.append(n[at])
        name, word = split_heading(heading, part)
        names.append(name)
        stages.append(word)
    which = np.repeat(np.arange(len(ats), dtype=np.int32), [len(at) for at in ats])
    at = np.concatenate([np.zeros(0, np.int64), *ats])
    n = np.concatenate([np.zeros(0, np.int64), *numbers])
    order = np.lexsort((which, at))
    at, n, which = at[order], n[order], which[order]
    state = np.where(n == PRESENT, State.PRESENT, np.where(n == 0, State.NONE, State.COUNTED)).astype(np.int8)
    written = merged(stages, which)
    n = np.maximum(n, 0)
    judged = n.copy() if part.basis == "judged" else np.zeros(len(n), np.int64)
    return Catch(table, part, at, Coded(haul.values, haul.codes[at]), merged(names, which), written,
                 {word: part.stages.get(word, "") for word in written.values}, n, judged, state)  # fmt: skip


def split_heading(heading: str, part: FileMap) -> tuple[str, str]:
    """Return the name and the stage word in the heading of a taxon's column: ``LANCE a`` is LANCE and a."""
    fitting = [word for word in part.stages if word and heading.endswith(f" {word}")]
    if not fitting:
        return heading, ""
    word = max(fitting, key=len)
    return heading.removesuffix(word).rstrip(), word
