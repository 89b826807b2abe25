"""Measured lengths of a sheet of their own, met with what was counted."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from haulbook.exchange.catch_rows import length_column, our_stages, stage_column
from haulbook.exchange.coding import Coded, combine, merged
from haulbook.exchange.findings import Findings
from haulbook.exchange.joins import places_by_code
from haulbook.exchange.sheet_catch import Catch
from haulbook.exchange.sheet_map import FileMap
from haulbook.exchange.table import Table

FAR_FROM_MEDIAN = 10.0
"""A length this many times the median of its taxon, or less than its part, is told. No source."""

NEAR_THE_TOP = 0.95
"""A length above this part of the greatest known of its taxon is told. No source."""

_ENOUGH = 10  # lengths of a taxon from which its median means something


@dataclass(frozen=True, slots=True)
class SheetLengths:
    """Lengths of one haul, name and stage as one file has them.

    Attributes
    ----------
    haul, name, stage : str
        As written.
    our_stage : str
        Larva, young, adult, egg mass or "".
    length_type : str
    mm : tuple of float
    file, sheet : str, str or None
    row : int
        Of the first.
    """

    haul: str
    name: str
    stage: str
    our_stage: str
    length_type: str
    mm: tuple[float, ...]
    file: str
    sheet: str | None
    row: int


NOT_STATED = "not stated"


def lengths_in(table: Table, part: FileMap, haul: Coded, findings: Findings) -> list[SheetLengths]:
    """Return the lengths of a table by haul, name, stage and kind of length, in the order of the file."""
    length = length_column(table, part, findings)
    if length is None:
        return []
    name = table.columns[part.heading_of("name") or ""]
    stage = stage_column(table, part)
    ours = our_stages(stage, table, part, findings)
    kind = length_types(table, part)
    parts = (haul, name, stage, kind)
    first, codes = combine([p.codes for p in parts], [len(p.values) for p in parts])
    groups = places_by_code(codes, range(len(first)))
    found = []
    for code, at in groups.items():
        i = int(first[code])
        mm = tuple(float(value) for value in length[at] if not np.isnan(value))
        if mm and haul[i]:
            found.append(
                SheetLengths(
                    haul[i],
                    name[i],
                    stage[i],
                    ours[stage[i]],
                    kind[i],
                    mm,
                    table.file,
                    table.sheet,
                    int(table.rows[i]),
                )
            )
    return found


def length_types(table: Table, part: FileMap) -> Coded:
    """Return the kind of length of each row: from its column, from the map, or "not stated"."""
    default = part.length_type or NOT_STATED
    heading = part.heading_of("length_type")
    if heading is None or heading not in table.columns:
        return Coded((default,), np.zeros(len(table), np.int32))
    column = table.columns[heading]
    return merged([" ".join(text.split()) or default for text in column.values], column.codes)


def compare_with_counts(
    lengths: Iterable[SheetLengths], catches: Iterable[Catch], findings: Findings
) -> None:
    """Note each haul and taxon with more animals measured than counted, or measured and never counted."""
    counted: dict[tuple[str, str], int] = {}
    for catch in catches:
        first, codes = combine(
            [catch.haul.codes, catch.name.codes], [len(catch.haul.values), len(catch.name.values)]
        )
        totals = np.bincount(codes, weights=catch.n, minlength=len(first))
        for i, total in zip(first.tolist(), totals.tolist(), strict=True):
            key = (catch.haul[i], catch.name[i])
            counted[key] = counted.get(key, 0) + int(total)
    measured: dict[tuple[str, str], tuple[int, SheetLengths]] = {}
    for group in lengths:
        n, first_group = measured.get((group.haul, group.name), (0, group))
        measured[group.haul, group.name] = n + len(group.mm), first_group
    for (haul, name), (n, group) in measured.items():
        if (haul, name) not in counted:
            findings.tell_at(
                "note", f"{n} {name} of haul {haul!r} were measured, and none was counted", group
            )
        elif n > counted[haul, name]:
            message = (
                f"{n} {name} of haul {haul!r} were measured, more than the {counted[haul, name]} counted"
            )
            findings.tell_at("note", message, group)


def tell_odd_lengths(
    table: Table, part: FileMap, longest: Callable[[str], float | None], findings: Findings
) -> None:
    """Note each length far from the median of its taxon in the file, or above what the taxon can reach.

    Parameters
    ----------
    longest : callable
        Greatest length in mm that is known of a name as written; None where nobody knows.
    """
    length = length_column(table, part, Findings())
    name = table.columns[part.heading_of("name") or ""]
    if length is None:
        return
    heading = next(
        h for h, word in part.columns.items() if word.startswith("length_") and word != "length_type"
    )
    for code, at in places_by_code(name.codes, range(len(name.values))).items():
        mm = length[at]
        at, mm = at[~np.isnan(mm)], mm[~np.isnan(mm)]
        if not len(mm):
            continue
        median, top = float(np.median(mm)), longest(name.values[code])
        odd = np.zeros(len(mm), np.bool_)
        if len(mm) >= _ENOUGH:
            odd = (mm > median * FAR_FROM_MEDIAN) | (mm < median / FAR_FROM_MEDIAN)
        for i, value in zip(at[odd].tolist(), mm[odd].tolist(), strict=True):
            message = (
                f"{name.values[code]} of {value:g} mm; half of the {len(mm)} here are below {median:g} mm"
            )
            findings.tell("note", message, table, int(table.rows[i]), heading)
        if top is not None:
            long = (mm > top * NEAR_THE_TOP) & ~odd
            for i, value in zip(at[long].tolist(), mm[long].tolist(), strict=True):
                beside = "longer than" if value > top else "close to"
                message = f"{name.values[code]} of {value:g} mm, {beside} the longest known, {top:g} mm"
                findings.tell("note", message, table, int(table.rows[i]), heading)
