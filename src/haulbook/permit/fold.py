"""Several rows of the report model made one: counts add, sizes span, names that differ stand side by side."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from haulbook.permit.fields import FIELDS, FLAGS, Row, Value


def groups(rows: Iterable[Row], keys: Sequence[str]) -> list[list[Row]]:
    """Return rows grouped by several columns, groups in the order of their first row."""
    found: dict[tuple[Value, ...], list[Row]] = {}
    for row in rows:
        found.setdefault(tuple(row[key] for key in keys), []).append(row)
    return list(found.values())


def folded(rows: Sequence[Row]) -> dict[str, Value]:
    """Return one row that stands for several.

    A column of the kind ``same`` whose rows differ shows the different values with a semicolon between.
    """
    if len(rows) == 1:
        return dict(rows[0])
    return {name: value_of(rows, name) for name in FIELDS}


def value_of(rows: Sequence[Row], name: str) -> Value:
    """Return what one column holds for several rows together."""
    if len(rows) == 1:
        return rows[0][name]
    values = [row[name] for row in rows]
    match FIELDS[name].fold:
        case "sum":
            return total(values)
        case "min":
            return min((value for value in values if isinstance(value, int | float)), default=None)
        case "max":
            return max((value for value in values if isinstance(value, int | float)), default=None)
        case "mean":
            return _mean(rows, name)
        case "flag":
            return max((str(value) for value in values), key=FLAGS.index, default=FLAGS[0])
        case "same":
            different = list(dict.fromkeys(values))
            return different[0] if len(different) == 1 else joined(values) or None
    return joined(values) or None


def total(values: Iterable[Value]) -> int | None:
    """Return the sum of counts; None where none is known."""
    known = [value for value in values if isinstance(value, int)]
    return sum(known) if known else None


def joined(values: Iterable[Value], between: str = "; ") -> str:
    """Return the different values that are not empty, in order, as one text."""
    parts: dict[str, None] = {}
    for value in values:
        if value not in (None, ""):
            parts.update(dict.fromkeys(str(value).split(between)))
    return between.join(parts)


def _mean(rows: Sequence[Row], name: str) -> float | None:
    """Return the mean over all measured animals, each row weighing what it measured."""
    pairs = [(row[name], row["n_measured"]) for row in rows]
    known = [(value, n) for value, n in pairs if isinstance(value, int | float) and isinstance(n, int) and n]
    if not known:
        return None
    return sum(value * n for value, n in known) / sum(n for _, n in known)
