"""A sheet map as settings that a page can show and change, one by one; what it does not show stays as it is.

A map travels as the plain content of its TOML file. What a form can't say (keys made of several columns, sets side by
side) is changed in the map's text.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from haulbook.exchange.column_roles import known_words
from haulbook.exchange.date_forms import DATE_FORMS, EXAMPLES, TIME_FORMS
from haulbook.exchange.headings import meaning_of, says
from haulbook.exchange.propose_part import DATED
from haulbook.exchange.sheet_map import BLANK_N, CONDITIONS, FATES, ROLES, ROWS, STAGES
from haulbook.exchange.toml_keys import OPEN
from haulbook.gear import SET_TYPES
from haulbook.office.proposed_map import Seen

IGNORE, TAXON, DATE = "ignore", "taxon", "date"
"""What a column is beside the words of a map: not read; a taxon of a wide sheet; the day."""
_WORDS = {"stages": STAGES, "fates": FATES, "conditions": tuple(map(str, CONDITIONS))}
_ROLES = {
    "hauls": "the list of hauls", "effort": "measures of hauls", "catch": "the catch",
    "lengths": "lengths apart from the catch", "environment": "readings of the water",
    "sites": "where the sites are", "names": "what codes stand for", "skip": "nothing to be read",
}  # fmt: skip
_ROWS = {
    "taxa": "a taxon of a haul",
    "animals": "an animal, or a lump of them",
    "wide": "a haul, taxa side by side",
}
_CLOCK_WHY = "as America/New_York; without it hauls have a day and no time"
_BLANK_N = {
    "ask": "ask about each", "one-if-length": "one, where a length stands", "present": "seen, not counted",
    "estimate": "what stands in the estimate", "zero": "none",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Setting:
    """One thing that a map says.

    Attributes
    ----------
    key : str
        Dotted, as problems of the map name it: ``file.1.columns.SeineID``.
    label : str
        Heading or word as written in the sheet, or what the setting is.
    value : str
        ``?`` where somebody has to say, empty where the map says nothing.
    options : tuple of (value, words)
        Empty where any text will do.
    why : str
        Why it was proposed so.
    samples : tuple of str
        First texts of a column.
    """

    key: str
    label: str
    value: str
    options: tuple[tuple[str, str], ...] = ()
    why: str = ""
    samples: tuple[str, ...] = ()

    @property
    def open(self) -> bool:
        """Whether somebody has to say it before anything can be read."""
        return self.value == OPEN


@dataclass(frozen=True, slots=True)
class FileSettings:
    """Settings of one file: what it is, its columns, and words of the sheet by the table they stand in.

    ``told``: what is said of its columns together, as the date and the haul's key.
    """

    number: int
    name: str
    sheet: str | None
    role: str
    why: str
    settings: tuple[Setting, ...]
    columns: tuple[Setting, ...]
    words: Mapping[str, tuple[Setting, ...]]
    told: Mapping[str, str]


def settings_of(content: Mapping[str, Any], seen: Seen) -> tuple[FileSettings, ...]:
    """Return everything of a map that a page can change, file by file."""
    return tuple(_file_settings(number, part, seen) for number, part in enumerate(content.get("file", ()), 1))


def changed(content: Mapping[str, Any], seen: Seen, values: Mapping[str, str]) -> dict[str, Any]:
    """Return a map with the settings that ``values`` names by key; others are passed over.

    Parameters
    ----------
    content : mapping
    seen : Seen
    values : mapping of key to str
        Empty takes a setting away, ``?`` leaves it open.
    """
    made: dict[str, Any] = deepcopy(dict(content))
    for key in ("pack", "default_fate"):
        if key in values:
            _put(made, key, values[key])
    for settings, part in zip(settings_of(content, seen), made.get("file", ()), strict=True):
        for one in (
            *settings.settings,
            *settings.columns,
            *(word for t in settings.words.values() for word in t),
        ):
            if one.key in values and values[one.key] != one.value:
                _change(part, one, values[one.key].strip(), seen.clocks.get(str(settings.number)))
        if settings.role == "skip" and part["role"] != "skip" and not part.get("columns"):
            _take_up(part, seen.headings.get(str(settings.number), ()))
    return made


def _take_up(part: dict[str, Any], headings: Sequence[str]) -> None:
    """Give a file that was to be skipped the usual meanings of its headings; what has none is left out."""
    known = known_words(part["role"])
    for heading in headings:
        meaning = meaning_of(heading)
        word = (
            f"{meaning.word}_{meaning.unit}" if meaning and meaning.unit else meaning.word if meaning else ""
        )
        word = word if word in known or (word == DATE and "date" not in part) else IGNORE
        _change_column(part, heading, word)


def _file_settings(number: int, part: Mapping[str, Any], seen: Seen) -> FileSettings:
    begins, role = f"file.{number}", str(part.get("role", "skip"))
    columns = list(_columns(begins, part, role, seen, str(number))) if role != "skip" else []
    return FileSettings(
        number=number,
        name=str(part.get("name", "")),
        sheet=part.get("sheet"),
        role=role,
        why=seen.whys.get(f"{begins}.role", ""),
        settings=tuple(_settings(begins, part, role, seen, str(number))),
        columns=tuple(columns),
        words={
            table: tuple(
                Setting(
                    f"{begins}.{table}.{said}",
                    said,
                    str(ours),
                    tuple((word, word or "tells none") for word in known),
                    seen.whys.get(f"{begins}.{table}.{said}", ""),
                )
                for said, ours in part.get(table, {}).items()
            )
            for table, known in _WORDS.items()
            if part.get(table)
        },
        told=_told(part),
    )


def _settings(begins: str, part: Mapping[str, Any], role: str, seen: Seen, number: str) -> Iterator[Setting]:
    def setting(key: str, label: str, value: Any, options: Sequence[tuple[str, str]] = ()) -> Setting:
        dotted = f"{begins}.{key}"
        why = seen.whys.get(dotted, _CLOCK_WHY if key == "time.zone" else "")
        return Setting(dotted, label, str(value), tuple(options), why)

    yield setting("role", "what the file holds", role, [(one, _ROLES[one]) for one in ROLES])
    if role == "skip":
        return
    if role in ("catch", "lengths"):
        yield setting("rows", "a row is", part.get("rows", "taxa"), [(one, _ROWS[one]) for one in ROWS])
    date = part.get("date", {})
    if "column" in date:
        forms = [(form, f"{form}, as {EXAMPLES[form]}") for form in DATE_FORMS]
        yield setting(
            "date.form", f"dates of {date['column']}", date.get("form", ""), [("", "found from all"), *forms]
        )
    time: Mapping[str, str] | None = part.get("time") or seen.clocks.get(number)
    if time:
        yield setting(
            "time.zone", f"zone of the clock, {time['column']}", part.get("time", {}).get("zone", "")
        )
    if time and "time" in part:
        yield setting(
            "time.form",
            "form of the clock",
            time["form"],
            [(f, f"{f}, as {EXAMPLES[f]}") for f in TIME_FORMS],
        )
    if "negate" in part:
        west = (("lon", "west of Greenwich, the sign was left out"), ("", "as written"))
        yield setting("negate", "longitudes", _first(part["negate"]), west)
    if role == "catch":
        yield setting(
            "blank_n", "a blank number is", part.get("blank_n", "ask"), [(b, _BLANK_N[b]) for b in BLANK_N]
        )
        yield setting("length_type", "lengths are", part.get("length_type", ""))
    if role in ("hauls", "effort", "catch"):
        sets = [("", "the sheet says not"), *((one, one.replace("_", " ")) for one in SET_TYPES)]
        yield setting("set_type", "the net was set", part.get("set_type", ""), sets)


def _columns(begins: str, part: Mapping[str, Any], role: str, seen: Seen, number: str) -> Iterator[Setting]:
    words, ignored, taxa = part.get("columns", {}), part.get("ignore", ()), part.get("taxa", ())
    headings = [*seen.headings.get(number, ()), *words, *ignored]
    elsewhere = _told(part)
    options = [(IGNORE, "not read"), *((word, _meaning(word)) for word in known_words(role))]
    if role in DATED:
        options.insert(1, (DATE, "the day"))
    if part.get("rows") == "wide":
        options.append((TAXON, "a taxon"))
    for heading in dict.fromkeys(headings):
        value = words.get(heading) or (TAXON if heading in taxa else IGNORE if heading in ignored else "")
        if value or heading not in elsewhere:
            yield Setting(
                f"{begins}.columns.{heading}",
                heading,
                str(value),
                tuple(options),
                seen.whys.get(f"{begins}.columns.{heading}", ""),
                tuple(seen.samples.get(number, {}).get(heading, ())),
            )


def _told(part: Mapping[str, Any]) -> dict[str, str]:
    """Return what headings are that stand in no table of words: parts of the day, the clock, the haul's key."""
    told: dict[str, str] = {}
    date, time = part.get("date", {}), part.get("time", {})
    for heading in date.get("columns", [date["column"]] if "column" in date else []):
        told[heading] = "the day"
    if "column" in time:
        told[time["column"]] = "the clock at landing"
    for heading in part.get("haul_from", ()):
        told[heading] = (
            f"{told[heading]}, part of the haul's key" if heading in told else "part of the haul's key"
        )
    return told


def _meaning(word: str) -> str:
    quantity, _, unit = word.rpartition("_")
    if unit in ("mm", "cm", "m", "km", "in", "ft", "fathom", "m2", "100m2", "ha", "ft2") and quantity:
        return f"{says(quantity)}, in {unit}"
    return says(word)


def _change(part: dict[str, Any], one: Setting, value: str, clock: Mapping[str, str] | None) -> None:
    _file, _number, table, *rest = one.key.split(".", 3)
    if table == "columns":
        _change_column(part, one.label, value)
    elif table in _WORDS:
        ours: Any = int(value) if table == "conditions" and value.isdecimal() else value
        part.setdefault(table, {})[one.label] = ours
    elif table == "time" and rest == ["zone"] and "time" not in part and clock:
        if value:
            part["time"] = {"column": clock["column"], "form": clock["form"], "zone": value}
            _change_column(part, clock["column"], "")
    elif table == "time" and rest == ["zone"] and not value:
        heading = part.pop("time")["column"]
        _change_column(part, heading, IGNORE)
    elif table in ("date", "time"):
        _put(part[table], rest[0], value)
    elif table == "negate":
        part["negate"] = [value] if value else []
    else:
        _put(part, table, value)


def _change_column(part: dict[str, Any], heading: str, value: str) -> None:
    part.get("columns", {}).pop(heading, None)
    for table in ("ignore", "taxa"):
        if heading in part.get(table, ()):
            part[table] = [other for other in part[table] if other != heading]
    if value == DATE:
        before = part.get("date", {})
        part["date"] = {"column": heading}
        for other in before.get("columns", [before["column"]] if "column" in before else []):
            _change_column(part, other, IGNORE)
    elif value == IGNORE:
        part.setdefault("ignore", []).append(heading)
    elif value == TAXON:
        part.setdefault("taxa", []).append(heading)
    elif value:
        part.setdefault("columns", {})[heading] = value


def _put(table: dict[str, Any], key: str, value: str) -> None:
    if value:
        table[key] = value
    else:
        table.pop(key, None)


def _first(value: Any) -> str:
    return str(value[0]) if isinstance(value, list) and value else ""
