"""Rows that may have been written twice, and rows that look like sums of others."""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray

from haulbook.exchange.coding import Coded, combine, merged
from haulbook.exchange.findings import Findings
from haulbook.exchange.joins import places_by_code
from haulbook.exchange.sheet_catch import NO_NAME, Catch, State
from haulbook.exchange.table import Table

_SUM = re.compile(
    r"(?:grand |sub)?-?total(?:s)?\b.*|sum(?: of .*)?|all (?:fish|species|taxa|animals)|overall", re.I
)


_SUM_OR_NOT = ("sum", "animals")


def tell_repeats(catch: Catch, findings: Findings) -> None:
    """Note rows that share haul, taxon and stage (they are added), and ask about those equal in every cell.

    Not for sheets with one row an animal, where two alike are two animals.
    """
    if catch.part.rows == "animals" or not len(catch):
        return
    parts = (catch.haul, catch.name, catch.stage)
    _, codes = combine([part.codes for part in parts], [len(part.values) for part in parts])
    times = np.bincount(codes[catch.state == State.COUNTED], minlength=1)
    repeated = np.flatnonzero(times > 1)
    if not len(repeated):
        return
    groups = places_by_code(codes, repeated.tolist())
    counted = [at[catch.state[at] == State.COUNTED] for at in groups.values()]
    same = _equal_rows(catch, np.sort(np.concatenate(counted)))
    for at in counted:
        _tell_group(catch, at, findings)
        kinds = {same[i] for i in at.tolist()}
        for kind in sorted(kinds):
            alike = np.array([i for i in at.tolist() if same[i] == kind])
            if len(alike) > 1:
                _ask_duplicate(catch, alike, findings)


def _tell_group(catch: Catch, at: NDArray[np.int64], findings: Findings) -> None:
    rows = [catch.row(i) for i in at.tolist()]
    total = int(catch.n[at].sum())
    others = " and ".join(str(row) for row in rows[1:])
    message = (
        f"haul {catch.haul[at[0]]!r} has {catch.name[at[0]]}{_stage(catch, int(at[0]))} again in row {others}; "
        f"the numbers are added: {total}"
    )
    findings.tell("note", message, catch.table, rows[0])


def _ask_duplicate(catch: Catch, at: NDArray[np.int64], findings: Findings) -> None:
    rows = [catch.row(i) for i in at.tolist()]
    i = int(at[0])
    ask = (
        f"Haul {catch.haul[i]!r}, {catch.name[i]}{_stage(catch, i)}: rows {', '.join(map(str, rows))} "
        f"are equal in every cell that is read, {int(catch.n[i])} animals each. Caught more than once, "
        'or written more than once? Answer "add" or "once". Until then they are added.'
    )
    key = f"{catch.table.label}|{catch.haul[i]}|{catch.name[i]}|{catch.stage[i]}|row {rows[0]}"
    if findings.ask("repeat", key, rows, ask, catch.table, takes=("add", "once")) == "once":
        catch.leave_open(at[1:])


def _stage(catch: Catch, i: int) -> str:
    return f" (stage {catch.stage[i]})" if catch.stage[i] else ""


def _equal_rows(catch: Catch, places: NDArray[np.int64]) -> dict[int, int]:
    """Return for each place a number that rows equal in every read cell share."""
    columns = list(catch.table.columns.values())
    data = catch.at[places]
    parts = [column.codes[data] for column in columns]
    if catch.part.rows == "wide":
        parts.append(catch.name.codes[places])
    _, codes = combine(parts, [int(part.max(initial=0)) + 1 for part in parts])
    return dict(zip(places.tolist(), codes.tolist(), strict=True))


def tell_zeros(catch: Catch, findings: Findings) -> None:
    """Note, once a file, that a taxon without a row in a haul counts as none there."""
    told = catch.state != State.OPEN
    zeros = told & (catch.state == State.NONE)
    hauls = len(set(catch.haul.codes[told].tolist()))
    if catch.part.rows == "taxa" and hauls > 1 and zeros.sum() * 20 < told.sum():
        message = (
            "only what was caught has a row; a taxon without one in a haul counts as none there, "
            "if it was looked for at all"
        )
        findings.tell("note", message, catch.table)


def without_sums(haul: Coded, table: Table, findings: Findings) -> Coded:
    """Return the haul keys, "" in place of those that call themselves a sum, until somebody says otherwise."""
    keys = list(haul.values)
    for code, key in enumerate(keys):
        if not any(map(_SUM.fullmatch, key.split("/"))):
            continue
        at = np.flatnonzero(haul.codes == code)
        ask = (
            f"Is what stands under the haul {key!r} a sum of other rows? "
            'Answer "sum" or "animals". Until then it is not counted.'
        )
        rows = table.rows[at].tolist()
        answer = findings.ask("sum-row", f"{table.label}|{key}", rows, ask, table, takes=_SUM_OR_NOT)
        keys[code] = key if answer == "animals" else ""
    return merged(keys, haul.codes)


def ask_sums(catch: Catch, findings: Findings) -> None:
    """Ask about rows that look like sums; they are not counted until somebody says that they are animals."""
    for code in [code for code, name in enumerate(catch.name.values) if _SUM.fullmatch(name.strip())]:
        at = np.flatnonzero((catch.name.codes == code) & (catch.state == State.COUNTED))
        _ask_sum(catch, at, f"the row is called {catch.name.values[code]!r}", findings)
    if NO_NAME in catch.name.values:
        nameless = np.flatnonzero(
            (catch.name.codes == catch.name.values.index(NO_NAME)) & (catch.state == State.COUNTED)
        )
        totals = np.bincount(catch.haul.codes, weights=catch.n, minlength=len(catch.haul.values))
        at = nameless[catch.n[nameless] * 2 == totals[catch.haul.codes[nameless]]]
        _ask_sum(catch, at, "it has no name and the sum of the haul's other rows", findings)


def _ask_sum(catch: Catch, at: NDArray[np.int64], why: str, findings: Findings) -> None:
    for i in at.tolist():
        row = catch.row(i)
        ask = (
            f"Row {row}, haul {catch.haul[i]!r}, {int(catch.n[i])}: is this a sum of other rows ({why})? "
            'Answer "sum" or "animals". Until then it is not counted.'
        )
        if (
            findings.ask(
                "sum-row", f"{catch.table.label}|row {row}", [row], ask, catch.table, takes=_SUM_OR_NOT
            )
            != "animals"
        ):
            catch.leave_open(np.array([i]))


def ask_sum_sheets(catches: list[Catch], findings: Findings) -> None:
    """Ask about a sheet of a workbook that holds as many animals as all its other sheets together."""
    by_file: dict[str, list[Catch]] = {}
    for catch in catches:
        by_file.setdefault(catch.table.file, []).append(catch)
    for sheets in by_file.values():
        totals = [int(catch.n.sum()) for catch in sheets]
        for catch, total in zip(sheets, totals, strict=True):
            if len(sheets) > 2 and total and total * 2 == sum(totals):
                ask = (
                    f"Sheet {catch.table.sheet!r} holds {total} animals, as many as the other sheets "
                    "together: does it "
                    'repeat them? Answer "sum" or "animals". Until then it is not counted.'
                )
                key = catch.table.label
                if findings.ask("sum-row", key, (), ask, catch.table, takes=_SUM_OR_NOT) != "animals":
                    catch.leave_open(np.arange(len(catch)))
