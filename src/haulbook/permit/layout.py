"""An agency's table: a projection of the report model, described by data alone.

Source: A3 (``docs/reference/layouts.md``).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby
from typing import Literal

from haulbook.permit.cell_format import Cell, cell, converted, position
from haulbook.permit.expression import Codes, Expression, counts_only, value
from haulbook.permit.fields import DETAIL_KEYS, FIELDS, FLAGS, Row, Value
from haulbook.permit.fold import folded, groups, total, value_of
from haulbook.problems import Problem, Refusal

REMARK = "remark"
"""``residual = "remark"``: what the columns leave out stands in the notes under the table."""


@dataclass(frozen=True, slots=True)
class LayoutColumn:
    """One column: its heading, what it says, how it is written, and whether it may be empty."""

    header: str
    says: Expression
    format: str | None = None
    required: bool = False


FATE_COLUMNS = (*(name for name in FIELDS if name.startswith("n_")), "disposition_code", "flag")
"""Columns that hang on an animal's fate: a condition on one of them may make animals vanish."""

Condition = tuple[Value, ...] | int
"""Accepted values of a column, or the least number."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """One table of an agency.

    Attributes
    ----------
    name, form, title : str
        Its own name; the form it is a part of; a heading.
    version : int
        A report names the version of the layout it was made with.
    row : {"animal", "detail", "summary"}
        One row per animal or lump; per haul, taxon, stage, sex, origin, mark and unit; per ``group_by``.
    columns : tuple of LayoutColumn
    group_by, order_by, subtotals : tuple of str
        Columns of the report model; ``-`` before an ordering column turns it round.
    where : mapping of column to Condition
    codes : mapping of code maps
    units : mapping of our unit to theirs
    date_format : str
    coords : {"dd", "dms"}
    nil_text, certificate_text : str
    unauthorised : {"separate_rows", "inline", "omit-and-letter"}
    parts : tuple of str
        Headings that together are what was captured.
    residual : str or None
        Heading of the column with the rest, or ``remark``; None where the parts leave no rest.
    as_of : {"landing", "report"}
        ``report``: who died or was killed after landing moves from kept alive to kept dead.
    file_kind : {"csv", "xlsx"}
        What the agency wants to get.
    """

    name: str
    form: str
    title: str
    row: Literal["animal", "detail", "summary"]
    columns: tuple[LayoutColumn, ...]
    parts: tuple[str, ...]
    version: int = 1
    residual: str | None = None
    group_by: tuple[str, ...] = ()
    order_by: tuple[str, ...] = ()
    subtotals: tuple[str, ...] = ()
    where: Mapping[str, Condition] = field(default_factory=dict)
    codes: Codes = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    date_format: str = "yyyy-mm-dd"
    coords: Literal["dd", "dms"] = "dd"
    nil_text: str = "No activity"
    certificate_text: str = ""
    unauthorised: Literal["separate_rows", "inline", "omit-and-letter"] = "separate_rows"
    as_of: Literal["landing", "report"] = "landing"
    file_kind: Literal["csv", "xlsx"] = "csv"

    @property
    def headers(self) -> tuple[str, ...]:
        """Headings in order."""
        return tuple(column.header for column in self.columns)

    def column(self, header: str) -> LayoutColumn:
        """Return a column by its heading."""
        return next(column for column in self.columns if column.header == header)

    @property
    def keys(self) -> tuple[str, ...]:
        """Columns of the report model that tell its rows apart; units never mix."""
        keys = DETAIL_KEYS if self.row == "detail" and not self.group_by else self.group_by
        extra = ("unit", "flag") if self.unauthorised == "separate_rows" else ("unit",)
        return (*keys, *(name for name in extra if name not in keys))


@dataclass(frozen=True, slots=True)
class Table:
    """A table ready to be written.

    Attributes
    ----------
    headers : tuple of str
    rows : tuple of tuple
        Text and numbers; None is an empty cell.
    notes : tuple of str
        What has to stand under it: the residual, what the layout leaves out, take to be reported by letter.
    certificate : str
    missing : tuple of str
        Cells that the agency requires and that are empty; not to be sent while there are any.
    subtotals : tuple of int
        Which of the rows, counted from 0, repeat others as a subtotal.
    """

    headers: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    notes: tuple[str, ...] = ()
    certificate: str = ""
    missing: tuple[str, ...] = ()
    subtotals: tuple[int, ...] = ()


def lay_out(layout: Layout, rows: Iterable[Row]) -> Table:
    """Return an agency's table made of rows of the report model.

    Raises
    ------
    Refusal
        A code map does not know a word that the rows hold.
    """
    everything = [as_of_report(layout, row) for row in rows]
    kept = [row for row in everything if holds(layout, row)]
    notes = list(_left_out([row for row in everything if not holds(layout, row)]))
    if layout.unauthorised == "omit-and-letter":
        notes += [_letter(row) for row in kept if row["flag"] == FLAGS[-1]]
        kept = [row for row in kept if row["flag"] != FLAGS[-1]]
    if layout.row == "summary":
        kept = [row for row in kept if row["n_encountered"]]
    if not any(row["n_encountered"] for row in everything):
        return _nil(layout, everything)
    written = [_in_their_terms(layout, row) for row in kept]
    together = [[row] for row in written] if layout.row == "animal" else groups(written, layout.keys)
    together = _ordered(layout, together)
    cells: list[tuple[Cell, ...]] = []
    missing: list[str] = []
    wrong: list[str] = []
    subtotals: list[int] = []
    for group, subtotal in _with_subtotals(layout, together):
        try:
            found = cell_values(layout, group)
        except Refusal as refusal:
            wrong += [problem.message for problem in refusal.problems]
            continue
        if subtotal is None:
            missing += _missing(layout, group, found)
        else:
            subtotals.append(len(cells))
        cells.append(_row(layout, found, subtotal))
    if wrong:
        raise Refusal([Problem("refused", message, file=layout.name) for message in dict.fromkeys(wrong)])
    notes += _rest(layout, written)
    return Table(
        layout.headers,
        tuple(cells),
        tuple(notes),
        layout.certificate_text,
        tuple(dict.fromkeys(missing)),
        tuple(subtotals),
    )


def holds(layout: Layout, row: Row, only: Sequence[str] | None = None) -> bool:
    """Whether a row meets the layout's conditions, or those on some columns."""
    for name, condition in layout.where.items():
        if only is not None and name not in only:
            continue
        found = row[name]
        if isinstance(condition, int):
            if not isinstance(found, int | float) or found < condition:
                return False
        elif found not in condition and not (found is None and "" in condition):
            return False
    return True


def cell_values(layout: Layout, rows: Sequence[Row]) -> dict[str, Value]:
    """Return what each column says of some rows, by heading, before it is written."""
    return {column.header: value(column.says, rows, layout.codes) for column in layout.columns}


def as_of_report(layout: Layout, row: Row) -> Row:
    """Move who died or was killed later from kept alive to kept dead, where the layout wants that (A3)."""
    if layout.as_of == "landing":
        return row
    moved = dict(row)
    for later, to in (("n_died_later", "n_died_retained"), ("n_killed_later", "n_retained_dead")):
        n = min(_int(moved[later]), _int(moved["n_retained_alive"]))
        moved["n_retained_alive"] = _int(moved["n_retained_alive"]) - n
        moved[to] = _int(moved[to]) + n
    return moved


def _in_their_terms(layout: Layout, row: Row) -> Row:
    units = dict(layout.units)
    if not units and layout.coords == "dd":
        return row
    changed = {name: converted(name, found, units) for name, found in row.items()}
    for name in ("lat", "lon"):
        changed[name] = position(row[name], name, layout.coords)
    return changed


def _ordered(layout: Layout, together: list[list[Row]]) -> list[list[Row]]:
    """Sort by the layout's columns; take without authority comes last where it has rows of its own."""
    for name in reversed(layout.order_by):
        plain = name.removeprefix("-")
        together.sort(key=lambda group: _sortable(value_of(group, plain)), reverse=name.startswith("-"))
    if layout.unauthorised == "separate_rows" and layout.row != "animal":
        together.sort(key=lambda group: value_of(group, "flag") == FLAGS[-1])
    return together


def _sortable(found: Value) -> tuple[int, float, str]:
    if isinstance(found, int | float):
        return 1, found, ""
    return (0, 0, "") if found is None else (2, 0, str(found))


def _with_subtotals(layout: Layout, together: list[list[Row]]) -> Iterable[tuple[list[Row], str | None]]:
    """Yield each group of rows, and after the last of a kind the rows of its subtotal with its words."""
    if not layout.subtotals:
        yield from ((group, None) for group in together)
        return
    name = layout.subtotals[0]
    for found, alike in groupby(together, key=lambda group: value_of(group, name)):
        listed = list(alike)
        if len(layout.subtotals) > 1:
            inner = replace(layout, subtotals=layout.subtotals[1:])
            yield from _with_subtotals(inner, listed)
        else:
            yield from ((group, None) for group in listed)
        yield (
            [row for group in listed for row in group],
            f"Subtotal {found if found is not None else ''}".strip(),
        )


def _row(layout: Layout, found: Mapping[str, Value], subtotal: str | None) -> tuple[Cell, ...]:
    cells: list[Cell] = []
    for i, column in enumerate(layout.columns):
        if subtotal is not None and not counts_only(column.says):
            cells.append(subtotal if i == 0 else None)
        else:
            cells.append(cell(found[column.header], column.format, layout.date_format))
    return tuple(cells)


def _missing(layout: Layout, group: list[Row], found: Mapping[str, Value]) -> list[str]:
    empty = [
        column.header for column in layout.columns if column.required and found[column.header] in (None, "")
    ]
    if not empty:
        return []
    where = f"haul {value_of(group, 'haul_no')} of {value_of(group, 'outing_id')}"
    return [f"{header} is required and empty: {where}" for header in empty]


def _nil(layout: Layout, rows: Sequence[Row]) -> Table:
    """Return a nil return: the agency wants to see that nothing happened, and a signature under it."""
    hauls = len({(row["outing_id"], row["haul_no"]) for row in rows})
    notes = (f"{hauls} {'haul' if hauls == 1 else 'hauls'}, nothing caught",) if hauls else ()
    row = (layout.nil_text, *(None for _ in layout.columns[1:]))
    return Table(layout.headers, (row,), notes, layout.certificate_text)


def _left_out(rows: Sequence[Row]) -> Iterable[str]:
    """Say what the layout's conditions left out, so that nothing vanishes."""
    for group in groups(rows, ("unit",)):
        n = total(row["n_captured"] for row in group)
        if n:
            yield f"left out by the layout: {n} captured ({group[0]['unit']})"


def _letter(row: Row) -> str:
    fate = str(row["disposition_code"]).replace("_", " ")
    return (
        f"unauthorised take, to be reported by letter: {row['n_captured']} {row['taxon_common']}, {fate}, "
        f"haul {row['haul_no']} of {row['outing_id']}; {row['remark']}"
    )


def rest_of(layout: Layout, rows: Sequence[Row]) -> int:
    """Return what was captured less what the parts show."""
    found = cell_values(layout, rows)
    return _int(folded(rows)["n_captured"]) - sum(_int(found[header]) for header in layout.parts)


def _rest(layout: Layout, rows: list[Row]) -> list[str]:
    if layout.residual != REMARK:
        return []
    notes = []
    for group in groups(rows, ("taxon_common", "unit")):
        rest = rest_of(layout, group)
        if rest:
            notes.append(f"captured and in none of the columns: {rest} {group[0]['taxon_common']}")
    return notes


def _int(found: Value) -> int:
    return found if isinstance(found, int) else 0
