"""Between the places of a form and a typed sheet: every place has a field, and every field keeps what was typed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.custody.bodies import GEOMETRY
from haulbook.exchange.station_toml import Station
from haulbook.office.say import said
from haulbook.office.sheet_cells import LENGTH_TYPES
from haulbook.office.sheet_read import SheetRead
from haulbook.office.typed_sheet import (
    ALL,
    BASIS,
    CLOCKS,
    FATES,
    MOST_LINES,
    MOST_TEXT,
    NONE,
    TypedSheet,
    typed_sheet,
)
from haulbook.station.pages.transcribe import words
from haulbook.taxa import Pack

HEAD, LINE, SUM = "h", "l", "s"
"""How the names of fields begin: ``h-landed``, ``l3-back``, ``s-back``."""
LINES, SPARE, MORE = 16, 4, 10
"""Lines of a fresh grid, free ones after what was typed, and those that "More lines" adds."""

Told = Mapping[tuple[int | None, str | None], str]


class HeadForm(forms.Form):
    """The head of the sheet. Every field takes any text: what can't be read is said beside it, not thrown away."""

    def __init__(self, station: Station, looked_for: Mapping[str, str], head: Mapping[str, str]) -> None:
        super().__init__({f"{HEAD}-{place}": text for place, text in head.items()}, prefix=HEAD)
        choices: dict[str, Mapping[str, Any]] = {
            "site": {key: key for key in station.sites},
            "net": {key: key for key in station.nets},
            "set_type": words.SET_TYPES,
            "condition": words.CONDITIONS,
            "instrument": {key: key for key in station.instruments},
            "lengths_are": {letter: f"{letter} {what}" for letter, what in LENGTH_TYPES.items()},
        }
        for place, label in words.HEAD.items():
            self.fields[place] = _field(label, choices.get(place), head.get(place, ""))
        for letter in GEOMETRY:
            self.fields[letter] = _field(words.GEOMETRY[letter])
            self.fields[BASIS[letter]] = _field(later("measured or assumed"), words.MEASURED, blank=False)
        for taxon, name in looked_for.items():
            self.fields[f"{NONE}{taxon}"] = forms.BooleanField(label=name, required=False)
        self.fields["none_of"].widget = forms.Textarea(attrs={"rows": 2})
        for clock in (*CLOCKS, "left_beach"):
            self.fields[clock].widget.attrs |= {"size": 6, "inputmode": "numeric", "placeholder": "05:42"}
        for field in self.fields.values():
            field.widget.attrs |= {"autocomplete": "off"}

    def told(self, read: SheetRead) -> HeadForm:
        """Put what can't be read beside its field."""
        self.is_valid()
        for problem in read.to_mend:
            where, _dot, place = (problem.column or "").partition(".")
            if where == "head" and place in self.fields:
                self.add_error(place, problem.message)
        return self

    def bound(self, *places: str) -> list[forms.BoundField]:
        """Return the fields of some places, in this order."""
        return [self[place] for place in places]

    @property
    def ticks(self) -> list[forms.BoundField]:
        """Return a field for each taxon that was looked for."""
        return [self[place] for place in self.fields if place.startswith(NONE)]


def _field(
    label: Any, choices: Mapping[str, Any] | None = None, stands: str = "", *, blank: bool = True
) -> forms.CharField:
    if choices is None:
        return forms.CharField(label=label, required=False, max_length=MOST_TEXT)
    listed = [*([("", "")] if blank else []), *choices.items()]
    if stands and stands not in choices:
        listed.append((stands, stands))
    return forms.CharField(label=label, required=False, widget=forms.Select(choices=listed))


@dataclass(frozen=True, slots=True)
class Cell:
    """One field of the grid: ``head`` of its column, ``label`` by which it is read out.

    ``told``: why what stands in it can't be read; empty where it can.
    """

    place: str
    name: str
    text: str
    head: str
    label: str
    told: str = ""


@dataclass(frozen=True, slots=True)
class GridLine:
    """One line of the grid; ``understood``: the animal that its name was read as, ``asked`` where that is open."""

    number: int
    cells: tuple[Cell, ...]
    understood: str
    asked: bool


def sheet_of_post(post: QueryDict) -> TypedSheet:
    """Return the sheet that a form holds. A column in which something stands stays, whether it was ticked or not."""
    said = post.dict()
    head, sums = (
        {
            name.removeprefix(f"{where}-"): str(text)
            for name, text in said.items()
            if name.startswith(f"{where}-")
        }
        for where in (HEAD, SUM)
    )
    head = {place: "x" if place.startswith(NONE) and text else text for place, text in head.items()}
    lines: dict[int, dict[str, str]] = {}
    for name, text in said.items():
        where, dash, place = name.partition("-")
        if dash and where.startswith(LINE) and where[1:].isdecimal() and int(where[1:]) < 10 * MOST_LINES:
            lines.setdefault(int(where[1:]), {})[place] = str(text)
    full = {place for line in (*lines.values(), sums) for place, text in line.items() if text.strip()}
    columns = [fate for fate in FATES if fate in full or fate in post.getlist("column")]
    last = max((number for number, line in lines.items() if any(map(str.strip, line.values()))), default=0)
    return typed_sheet(head, columns, [lines.get(number, {}) for number in range(1, last + 1)], sums)


def grid_lines(sheet: TypedSheet, read: SheetRead, pack: Pack, wanted: int) -> list[GridLine]:
    """Return the lines of the grid: those typed, and free ones up to ``wanted``, at least a few."""
    told: Told = {(one.row, one.column): one.message for one in read.to_mend if one.row is not None}
    n = min(max(len(sheet.lines) + SPARE, wanted), MOST_LINES)
    blank: Mapping[str, str] = {}
    return [
        _grid_line(
            number, sheet.lines[number - 1] if number <= len(sheet.lines) else blank, sheet, read, pack, told
        )
        for number in range(1, n + 1)
    ]


def _grid_line(
    number: int,
    line: Mapping[str, str],
    sheet: TypedSheet,
    read: SheetRead,
    pack: Pack,
    told: Told,
) -> GridLine:
    name = line.get("name", "")
    understood, asked = understood_as(name, read, pack)
    cells = tuple(
        Cell(
            place,
            f"{LINE}{number}-{place}",
            line.get(place, ""),
            words.line_place_words(place),
            _("line {number}, {place}").format(number=number, place=words.line_place_words(place)),
            told.get((number, place), ""),
        )
        for place in sheet.places
    )
    return GridLine(number, cells, understood, asked)


def understood_as(name: str, read: SheetRead, pack: Pack) -> tuple[str, bool]:
    """Return the animal that a name was read as, and whether it is open; empty where it says the same as typed."""
    match = read.names.get(name)
    if match is None:
        return "", False
    if match.taxon is None:
        return _("will be asked"), True
    meant = said(match.taxon, pack)
    same = name.casefold() in (meant.casefold(), pack[match.taxon].scientific_name.casefold())
    return ("" if same else meant), False


def sum_cells(sheet: TypedSheet, read: SheetRead) -> list[Cell]:
    """Return the fields of the sheet's own sums, one a column, and the one over all."""
    told = {one.column: one.message for one in read.to_mend}
    return [
        Cell(
            column,
            f"{SUM}-{column}",
            sheet.sums.get(column, ""),
            words.line_place_words(column),
            _("sum of {column}, as written on the sheet").format(column=words.line_place_words(column)),
            told.get(f"sum.{column}", ""),
        )
        for column in (*sheet.columns, ALL)
    ]


def heads_of(sheet: TypedSheet) -> list[tuple[str, str]]:
    """Return place and words of each column of the grid."""
    return [(place, words.line_place_words(place)) for place in sheet.places]


def columns_offered(sheet: TypedSheet) -> Sequence[tuple[str, str, bool]]:
    """Return key and words of each column that a sheet can have, and whether this one has it."""
    return [(fate, str(words.COLUMNS[fate]), fate in sheet.columns) for fate in FATES]
