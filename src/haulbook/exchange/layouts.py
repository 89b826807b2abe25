"""Agency layouts in: TOML files, those packaged here and a user's own, refused when they can't add up.

The fields are listed in ``docs/reference/layouts.md``.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

from haulbook.exchange.permit_parts import maybe_whole, parsed
from haulbook.exchange.toml_keys import Keys, load_toml, refuse_problems
from haulbook.permit.adds_up import why_not
from haulbook.permit.cell_format import COORDS, check_format, check_units
from haulbook.permit.expression import Codes, Column, Constant, Expression, parse
from haulbook.permit.fields import FIELDS
from haulbook.permit.layout import Condition, Layout, LayoutColumn
from haulbook.problems import Problem, Refusal, unknown

LAYOUT = (
    "version", "form", "title", "row", "group_by", "order_by", "subtotals", "where", "codes", "units",
    "date_format", "coords", "nil_text", "certificate_text", "unauthorised", "as_of", "file_kind", "parts",
    "residual", "column",
)  # fmt: skip
ROWS = ("animal", "detail", "summary")
UNAUTHORISED = ("separate_rows", "inline", "omit-and-letter")


def read_layout(path: Path) -> Layout:
    """Read a layout file.

    Raises
    ------
    Refusal
        With every problem found: unknown keys, columns and functions (the nearest named), headings said
        twice, and parts that do not add up to what was captured or count one animal twice.
    """
    return layout_of(load_toml(path), path.name)


def layout_of(content: dict[str, Any], name: str) -> Layout:
    """Read the content of a layout file, called ``NAME.toml``; otherwise as :func:`read_layout`."""
    problems: list[Problem] = []
    keys = Keys(content, "", name, LAYOUT, problems)
    layout = _layout(keys, name.removesuffix(".toml"))
    refuse_problems(problems)
    for reason in why_not(layout):
        keys.wrong("parts", reason)
    refuse_problems(problems)
    return layout


@cache
def packaged_layouts() -> dict[str, Layout]:
    """Return the layouts that come with haulbook, by name."""
    found = {}
    for entry in sorted(
        files("haulbook.exchange").joinpath("layouts").iterdir(), key=lambda entry: entry.name
    ):
        if entry.name.endswith(".toml"):
            with as_file(entry) as path:
                found[path.stem] = read_layout(path)
    return found


def packaged_form(name: str) -> tuple[Layout, ...]:
    """Return the layouts of one form, a detail table before its summary.

    Raises
    ------
    Refusal
        There is no form of that name.
    """
    layouts = [layout for layout in packaged_layouts().values() if layout.form == name]
    if not layouts:
        raise Refusal(unknown("form", name, {layout.form for layout in packaged_layouts().values()}))
    return tuple(sorted(layouts, key=lambda layout: ROWS.index(layout.row)))


def _layout(keys: Keys, name: str) -> Layout:
    codes = _codes(keys)
    row: Any = keys.one_of("row", ROWS)
    group_by = _columns(keys, "group_by")
    if row == "summary" and not keys.found.get("group_by"):
        keys.wrong("group_by", "is needed for a summary: what does one row stand for?")
    if row == "animal" and group_by:
        keys.wrong("group_by", "belongs to a detail or a summary; one row per animal is not grouped")
    coords: Any = keys.found.get("coords", "dd")
    if coords == "utm":
        keys.wrong("coords", "utm is not written here; use dd or dms and convert with the agency's own tool")
    elif coords not in COORDS:
        keys.wrong("coords", unknown("way of writing positions", str(coords), COORDS))
    unauthorised: Any = keys.one_of("unauthorised", UNAUTHORISED, "separate_rows")
    as_of: Any = keys.one_of("as_of", ("landing", "report"), "landing")
    kind: Any = keys.one_of("file_kind", ("csv", "xlsx"), "csv")
    return Layout(
        name=name,
        version=maybe_whole(keys, "version", low=1) or 1,
        form=keys.text("form", name),
        title=keys.text("title", name),
        row=row,
        columns=_table(keys, codes),
        parts=keys.texts("parts", needed=True),
        residual=keys.maybe_text("residual"),
        group_by=group_by,
        order_by=_columns(keys, "order_by"),
        subtotals=_columns(keys, "subtotals"),
        where=_where(keys),
        codes=codes,
        units=parsed(keys, "units", _units) or {},
        date_format=parsed(keys, "date_format", check_format) or "yyyy-mm-dd",
        coords=coords,
        nil_text=keys.text("nil_text", "No activity"),
        certificate_text=keys.maybe_text("certificate_text") or "",
        unauthorised=unauthorised,
        as_of=as_of,
        file_kind=kind,
    )


def _codes(keys: Keys) -> Codes:
    maps: dict[str, dict[str, Any]] = {}
    table = keys.table("codes", None)
    for name in table.found if table else ():
        codes = table.table(name, None) if table else None
        if codes is None:
            continue
        for word, code in codes.found.items():
            if isinstance(code, bool) or not isinstance(code, str | int):
                codes.wrong(word, f"is {code!r}; write the agency's code as text or a whole number")
        maps[name] = dict(codes.found)
    return maps


def _table(keys: Keys, codes: Codes) -> tuple[LayoutColumn, ...]:
    columns = []
    seen: set[str] = set()
    for column in keys.tables("column", ("header", "from", "const", "expr", "format", "required")):
        header = column.text("header")
        if header in seen:
            column.wrong("header", f"{header!r} stands twice; a heading stands once")
        seen.add(header)
        columns.append(
            LayoutColumn(
                header, _says(column, codes), parsed(column, "format", check_format), column.flag("required")
            )
        )
    if not columns:
        keys.wrong("column", "a layout has at least one [[column]]")
    return tuple(columns)


def _says(column: Keys, codes: Codes) -> Expression:
    ways = [key for key in ("from", "const", "expr") if key in column.found]
    if len(ways) != 1:
        column.wrong("", f"says {' and '.join(ways) or 'nothing'}; write exactly one of from, const, expr")
        return Constant("")
    if ways == ["const"]:
        return Constant(column.found["const"] if type(column.found["const"]) is int else column.text("const"))
    if ways == ["from"]:
        name = column.text("from")
        if name not in FIELDS:
            column.wrong("from", unknown("column", name, FIELDS))
        return Column(name) if name in FIELDS else Constant("")
    return parsed(column, "expr", lambda text: parse(str(text), codes)) or Constant("")


def _columns(keys: Keys, key: str) -> tuple[str, ...]:
    names = keys.texts(key)
    for name in names:
        plain = name.removeprefix("-") if key == "order_by" else name
        if plain not in FIELDS:
            keys.wrong(key, unknown("column", plain, FIELDS))
    return tuple(name for name in names if name.removeprefix("-") in FIELDS)


def _where(keys: Keys) -> dict[str, Condition]:
    """Read conditions: a value, several, or ``{min = 1}``."""
    conditions: dict[str, Condition] = {}
    table = keys.table("where", tuple(FIELDS))
    for name, wanted in (table.found if table else {}).items():
        if isinstance(wanted, dict) and set(wanted) == {"min"} and type(wanted["min"]) is int:
            conditions[name] = wanted["min"]
        elif isinstance(wanted, list) and wanted:
            conditions[name] = tuple(wanted)
        elif isinstance(wanted, str | int):
            conditions[name] = (wanted,)
        elif table:
            table.wrong(name, "write a value, a list of values, or {min = 1}")
    return conditions


def _units(value: Any) -> dict[str, str]:
    if not isinstance(value, dict) or not all(isinstance(theirs, str) for theirs in value.values()):
        raise Refusal('write our unit and theirs, as units = {mm = "in"}')
    return check_units(value)
