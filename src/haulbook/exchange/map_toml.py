"""A sheet map is read from TOML, and everything that is wrong with it is said at once."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Any, cast
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from haulbook.exchange.column_roles import known_words
from haulbook.exchange.date_forms import DATE_FORMS, TIME_FORMS
from haulbook.exchange.sheet_map import (
    BLANK_N,
    CONDITIONS,
    FATES,
    MISSING,
    ROLES,
    ROWS,
    STAGES,
    Basis,
    BlankN,
    DateMap,
    FileMap,
    Role,
    Rows,
    SetMap,
    SheetMap,
    TimeMap,
)
from haulbook.exchange.toml_keys import Keys, load_toml, refuse_problems
from haulbook.problems import Problem, unknown
from haulbook.taxa import PACKS

FILE_KEYS = (
    *("name", "role", "rows", "sheet", "header", "encoding", "delimiter"),
    *("columns", "ignore", "taxa", "haul_from", "set", "date", "time"),
    *("stages", "fates", "conditions", "missing", "nothing", "blank_n", "basis", "negate"),
    *("length_type", "set_type", "instrument", "carry_remarks"),
)
"""Keys of a [[file]]."""
_MANY = frozenset({"person", "remark", "scientific"})
"""Words that several columns of one file can have."""


def read_sheet_map(path: Path) -> SheetMap:
    """Read a sheet map.

    Raises
    ------
    Refusal
        Naming every unknown key or word with the nearest known one, and everything that is missing or
        contradicts itself, together.
    """
    problems: list[Problem] = []
    top = Keys(load_toml(path), "", path.name, ("pack", "default_fate", "file", "answer"), problems)
    pack = top.one_of("pack", PACKS) if top.found.get("pack") else top.text("pack")
    default_fate = top.one_of("default_fate", FATES) if "default_fate" in top.found else None
    files = tuple(_file_map(table) for table in top.tables("file", FILE_KEYS))
    if "answer" in top.found:
        top.wrong("answer", "belongs into a file of its own, handed in with --confirm")
    if not files and "file" not in top.found:
        top.wrong("file", "is needed: one [[file]] for each file to read")
    refuse_problems(problems)
    return SheetMap(pack, files, default_fate, path.name)


def _file_map(table: Keys) -> FileMap:
    role = table.one_of("role", ROLES) if table.found.get("role") else table.text("role")
    role = role if role in ROLES else "skip"
    part = FileMap(
        name=table.text("name"),
        role=cast("Role", role),
        rows=cast("Rows", table.one_of("rows", ROWS, "taxa")),
        sheet=table.maybe_text("sheet"),
        header=table.whole("header") if "header" in table.found else 1,
        encoding=table.maybe_text("encoding"),
        delimiter=_delimiter(table),
        columns=_columns(table, role),
        ignore=table.texts("ignore"),
        taxa=table.texts("taxa"),
        haul_from=table.texts("haul_from"),
        sets=tuple(
            SetMap(block.text("no"), _columns(block, role))
            for block in table.tables("set", ("no", "columns"))
        ),
        date=_date(table),
        time=_time(table),
        stages=_words(table, "stages", STAGES),
        fates=_words(table, "fates", FATES),
        conditions=_words(table, "conditions", CONDITIONS),
        missing=_blanks(table, "missing", MISSING),
        nothing=_blanks(table, "nothing", ()),
        blank_n=cast("BlankN", table.one_of("blank_n", BLANK_N, "ask")),
        basis=cast("Basis", table.one_of("basis", ("counted", "judged"), "counted")),
        negate=table.texts("negate"),
        length_type=table.maybe_text("length_type"),
        set_type=_set_type(table),
        instrument=table.text("instrument", "not stated"),
        carry_remarks=table.flag("carry_remarks"),
    )
    if role != "skip":
        _check(part, table)
    return part


def _check(part: FileMap, table: Keys) -> None:
    """Note what is missing or contradicts itself in one part."""
    words = list(part.columns.values())
    for word in sorted({word for word in words if words.count(word) > 1 and word not in _MANY}):
        table.wrong("columns", f"names {word!r} twice; one column each")
    for heading in sorted(
        set(part.ignore) & (part.named - set(part.ignore)) | set(part.ignore) & set(part.columns)
    ):
        table.wrong("ignore", f"{heading!r} is named and ignored; keep one")
    for word in part.negate:
        if word not in ("lat", "lon"):
            table.wrong("negate", unknown("word", word, ("lat", "lon")))
    if part.role in ("hauls", "effort", "catch", "lengths") and not _haul_key(part):
        table.wrong(
            "columns",
            'name the column that is "haul", or say haul_from = [headings whose cells make its key]',
        )
    if part.role in ("catch", "lengths") and part.rows != "wide" and "name" not in words:
        table.wrong("columns", 'name the column that is "name"')
    if part.role == "catch" and part.rows == "taxa" and not {"n", "estimated"} & set(words):
        table.wrong("columns", 'name the column that is "n"')
    if part.rows == "wide" and not part.taxa:
        table.wrong(
            "taxa",
            'is needed where rows = "wide": the headings of the columns that are taxa, or globs of them',
        )
    if part.role == "names" and not {"code", "name", "scientific"} & set(words):
        table.wrong("columns", 'name the columns that are "code" and "name"')
    if part.role in ("environment", "sites") and not _haul_key(part) and "site" not in words:
        table.wrong("columns", 'name the column that is "site"')


def _haul_key(part: FileMap) -> bool:
    return bool(part.haul_from) or "haul" in part.columns.values()


def _columns(table: Keys, role: str) -> Mapping[str, str]:
    return _words(table, "columns", known_words(role)) if role != "skip" else {}


def _words(table: Keys, key: str, known: Collection[Any]) -> Any:
    """Return a table of the sheet's words to ours; other words are refused naming the nearest."""
    inner = table.table(key, None)
    if inner is None:
        return {}
    good = {}
    for heading, word in inner.found.items():
        if isinstance(word, type(next(iter(known)))) and word in known:
            good[heading] = word
        elif isinstance(word, str) and all(isinstance(one, str) for one in known):
            inner.wrong(heading, unknown("word", word, known))
        else:
            inner.wrong(heading, f"is {word!r}; write one of {', '.join(map(repr, known))}")
    return good


def _blanks(table: Keys, key: str, default: tuple[str, ...]) -> tuple[str, ...]:
    """Return a list of texts that may hold the empty text, which changes nothing."""
    value = table.found.get(key, list(default))
    if not isinstance(value, list) or not all(isinstance(word, str) for word in value):
        table.wrong(key, 'write a list of texts, as ["n/a", "-"]')
        return default
    return tuple(dict.fromkeys(word for word in value if word))


def _set_type(table: Keys) -> str | None:
    from haulbook.gear import SET_TYPES

    return table.one_of("set_type", SET_TYPES) if "set_type" in table.found else None


def _delimiter(table: Keys) -> str | None:
    said = table.maybe_text("delimiter")
    if said is not None and len(said) != 1:
        table.wrong("delimiter", f'is {said!r}; write one character, as "," or "\\t"')
        return None
    return said


def _date(table: Keys) -> DateMap | None:
    inner = table.table("date", ("column", "columns", "form"))
    if inner is None:
        return None
    if ("column" in inner.found) == ("columns" in inner.found):
        inner.wrong("column", "say column, with its form, or columns of year, month and day")
        return None
    if "columns" in inner.found:
        columns = inner.texts("columns", needed=True)
        if len(columns) not in (2, 3):
            inner.wrong("columns", "names the columns of year, month and day, in this order")
        return DateMap(columns, None)
    form = inner.one_of("form", DATE_FORMS) if "form" in inner.found else ""
    return DateMap((inner.text("column"),), form or None)


def _time(table: Keys) -> TimeMap | None:
    inner = table.table("time", ("column", "form", "zone"))
    if inner is None:
        return None
    column, form = inner.text("column"), inner.text("form")
    if form and form not in TIME_FORMS:
        inner.wrong("form", unknown("time form", form, TIME_FORMS))
    zone = inner.text("zone")
    try:
        return TimeMap(column, form, ZoneInfo(zone or "UTC"))
    except (ZoneInfoNotFoundError, ValueError):
        inner.wrong("zone", f"there is no time zone {zone!r}; write it as America/Anchorage")
        return None
