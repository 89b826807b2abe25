"""The rows of a catch are read: which taxon, which stage, how many, and how sure the number is."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from haulbook.exchange.catch_asks import say_nothing, settle_blanks, settle_estimates
from haulbook.exchange.catch_fates import dead_of, fates_of
from haulbook.exchange.cells import is_missing, parse_number
from haulbook.exchange.coding import Coded, merged
from haulbook.exchange.column_roles import split_quantity
from haulbook.exchange.count_cells import BAD, BLANK, PRESENT, counts_of
from haulbook.exchange.findings import Findings
from haulbook.exchange.sheet_catch import NO_NAME, Catch, Numbers, State, column_of
from haulbook.exchange.sheet_map import STAGES, FileMap
from haulbook.exchange.table import Column, Table
from haulbook.exchange.trouble import CellTrouble
from haulbook.exchange.wide_rows import read_wide


def read_catch(table: Table, part: FileMap, haul: Coded, findings: Findings) -> Catch:
    """Read the rows of one table of a catch.

    Parameters
    ----------
    table, part
        The table and what the map says of it.
    haul : Coded
        Key of each row's haul, "" where it could not be made: those rows are reported elsewhere, not counted.
    """
    read = read_wide if part.rows == "wide" else _read_long
    catch = read(table, part, haul, findings)
    keyless = np.array([not key for key in catch.haul.values], np.bool_)
    if keyless.any():
        catch.leave_open(np.flatnonzero(keyless[catch.haul.codes]))
    return catch


def _read_long(table: Table, part: FileMap, haul: Coded, findings: Findings) -> Catch:
    column = table.columns[part.heading_of("name") or ""]
    name = merged([text if text.strip() else NO_NAME for text in column.values], column.codes)
    stage = stage_column(table, part)
    length = length_column(table, part, findings)
    n, state = _numbers(table, part, length, findings)
    judged = np.zeros(len(table), np.int64)
    ours = our_stages(stage, table, part, findings)
    fate = fates_of(table, part, findings)
    everywhere = np.arange(len(table))
    catch = Catch(table, part, everywhere, haul, name, stage, ours, n, judged, state, fate, None, length)
    say_nothing(catch, findings)
    settle_estimates(catch, findings)
    settle_blanks(catch, findings)
    if part.basis == "judged":
        catch.judged[:] = catch.n
    return catch.with_dead(dead_of(catch, findings))


def stage_column(table: Table, part: FileMap) -> Coded:
    """Return the stage word of each row as written; "" where there is none."""
    heading = part.heading_of("stage")
    if heading is None:
        return Coded(("",), np.zeros(len(table), np.int32))
    column = table.columns[heading]
    return merged(
        ["" if is_missing(text, part.missing) else text.strip() for text in column.values], column.codes
    )


def our_stages(stage: Coded, table: Table, part: FileMap, findings: Findings) -> Mapping[str, str]:
    """Return larva, young, adult, egg mass or "" for each written stage; a word nobody explained is told."""
    ours = {}
    for code, word in enumerate(stage.values):
        folded = word.casefold()
        ours[word] = part.stages.get(word, folded if folded in STAGES else "")
        if word and word not in part.stages and folded not in STAGES:
            first = int(table.rows[np.argmax(stage.codes == code)]) if len(stage) else None
            findings.tell(
                "note",
                f"stage {word!r} is in no stages of the map; it is kept as written, without a stage of ours",
                table,
                first,
                part.heading_of("stage"),
            )
    return ours


def length_column(table: Table, part: FileMap, findings: Findings) -> NDArray[np.float64] | None:
    """Return the length of each row in mm, NaN where there is none; None without a column of lengths."""
    for heading, word in part.columns.items():
        quantity = split_quantity(word, part.role)
        if quantity and quantity[0] == "length":
            return _lengths_of(table.columns[heading], quantity[1] * 1000, part, table, findings)
    return None


def _lengths_of(
    column: Column, mm: float, part: FileMap, table: Table, findings: Findings
) -> NDArray[np.float64]:
    """Return the length of each row in millimetres, NaN where there is none; what is no length is refused.

    Parameters
    ----------
    mm : float
        Millimetres in one unit of the column.
    """
    read = [_length(text, part) for text in column.values]
    findings.refuse_cells(read, column, table)
    values = np.array([round(v * mm, 4) if isinstance(v, float) else np.nan for v in read], np.float64)
    return values[column.codes] if len(values) else np.zeros(0)


def _length(text: str, part: FileMap) -> float | CellTrouble | None:
    value = parse_number(text, part.missing)
    if isinstance(value, float) and value <= 0:
        return CellTrouble(f"{text!r} is no length: it has to be above 0")
    return value


def _with_unmeasured(n: Numbers, measured: NDArray[np.bool_], unmeasured: Numbers, counted: bool) -> Numbers:
    """Return the animals of each row: its number, the measured one, and those beside it that were not.

    A number that can't be read spoils the row; one that is blank is only told apart from 0 where nothing else
    of the row is a number.
    """
    blank = ~measured & (unmeasured < 0) & ((n < 0) if counted else True)
    bad = (n == BAD) | (unmeasured == BAD)
    total = np.maximum(n, 0) + measured + np.maximum(unmeasured, 0)
    present = (n == PRESENT) | (unmeasured == PRESENT)
    return np.where(bad, BAD, np.where(blank, np.where(present, PRESENT, BLANK), total)).astype(np.int64)


def _numbers(
    table: Table, part: FileMap, length: NDArray[np.float64] | None, findings: Findings
) -> tuple[Numbers, NDArray[np.int8]]:
    """Return the number of each row as written and its state; blanks are OPEN until they are settled."""
    measured = np.zeros(len(table), np.bool_) if length is None else np.isfinite(length)
    column, more = column_of("n", table, part), column_of("n_unmeasured", table, part)
    if column is not None:
        n = counts_of(column, part, table, findings)
    elif more is None and part.rows == "animals":
        n = np.ones(len(table), np.int64)
    elif more is None:
        n = np.full(len(table), BLANK, np.int64)
    else:
        n = np.zeros(len(table), np.int64)
    if more is not None:
        n = _with_unmeasured(n, measured, counts_of(more, part, table, findings), column is not None)
    if column is not None and part.blank_n == "one-if-length":
        n[(n == BLANK) & measured] = 1
    state = np.full(len(n), State.COUNTED, np.int8)
    state[n == 0] = State.NONE
    state[n < 0] = State.OPEN
    state[n == PRESENT] = State.PRESENT
    if column is not None or more is not None:
        if part.blank_n == "present":
            state[n == BLANK] = State.PRESENT
        if part.blank_n == "zero":
            state[n == BLANK] = State.NONE
    return n, state
