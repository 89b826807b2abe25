"""What changed from one report to the next, for the table that goes with an amended report."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from haulbook.permit.fields import DETAIL_KEYS, FIELDS, Row, Value
from haulbook.permit.fold import folded, groups

COMPARED = (*(name for name, field in FIELDS.items() if field.fold == "sum"), "flag")
"""Columns that a delta compares: every count, and the flag."""


@dataclass(frozen=True, slots=True)
class Change:
    """One line of a delta: which row, and for each column that changed what it was and what it is."""

    key: Mapping[str, Value]
    changed: Mapping[str, tuple[Value, Value]]


def report_delta(
    old_rows: Iterable[Row], new_rows: Iterable[Row], keys: Sequence[str] = DETAIL_KEYS
) -> tuple[Change, ...]:
    """Return what differs between two versions of a report.

    Parameters
    ----------
    old_rows, new_rows : iterable of Row
        Rows of the report model, of any grain.
    keys : sequence of str
        What makes a row the same row.

    Returns
    -------
    tuple of Change
        Rows of the old report first, in its order, then new ones. A row that is missing on one side counts as
        zeros there; equal rows are left out.
    """
    old, new = _by_key(old_rows, keys), _by_key(new_rows, keys)
    changes = []
    for key in dict.fromkeys([*old, *new]):
        changed = {
            name: (before, after)
            for name in COMPARED
            if (before := _value(old.get(key), name)) != (after := _value(new.get(key), name))
        }
        if changed:
            changes.append(Change(dict(zip(keys, key, strict=True)), changed))
    return tuple(changes)


def _by_key(rows: Iterable[Row], keys: Sequence[str]) -> dict[tuple[Value, ...], Row]:
    return {tuple(group[0][key] for key in keys): folded(group) for group in groups(rows, keys)}


def _value(row: Row | None, name: str) -> Value:
    if row is None:
        return None if name == "flag" else 0
    value = row[name]
    return 0 if value is None and name != "flag" else value
