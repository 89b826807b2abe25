"""What the page of a sheet being settled shows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from haulbook.exchange.joins import OWN
from haulbook.office.compare_typings import LINE, NOT_THERE, THERE, Difference
from haulbook.office.say import is_open, said
from haulbook.office.sheet_read import AskedName, Line
from haulbook.office.typed_sheet import HEAD, any_text
from haulbook.station.pages.transcribe import words
from haulbook.station.pages.transcribe.settling import PICK, PLACE, THIRD, Settling


@dataclass(frozen=True, slots=True)
class Choice:
    """A difference. ``picked``: first, second, third (of a whole line: there, not there), empty while it is open."""

    difference: Difference
    where: str
    place: str
    picked: str
    third: str


@dataclass(frozen=True, slots=True)
class ToMend:
    """A place that can't be read although both typed the same, what stands in it, and why."""

    key: str
    where: str
    text: str
    told: str


@dataclass(frozen=True, slots=True)
class NameChoice:
    """A name that is asked, and at most four animals: key, common and scientific name."""

    asked: AskedName
    options: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class Shown:
    """A line of the settled sheet as it will be entered; ``read`` is None where it can't be read yet."""

    number: int
    name: str
    animal: str
    read: Line | None

    @property
    def open(self) -> bool:
        """Whether it stays open which animal it is."""
        return self.read is None or is_open(self.read.taxon)


def context(now: Settling, change: str, wrong: Mapping[str, str], typed: Mapping[str, str]) -> dict[str, Any]:
    """Return everything that the template is given.

    Parameters
    ----------
    now : Settling
    change : str
        Number of the line whose every place is to be changed, or ``head``.
    wrong, typed : mapping of field to text
        What is off in a form that was sent, and all that was typed in it.
    """
    lines = len(now.settled.lines)
    return {
        "here": "transcribe",
        "now": now,
        "sheet": now.sheet,
        "choices": [_choice(one, now, typed) for one in now.compared.differences],
        "to_mend": list(_to_mend(now, typed)),
        "names": [_name_choice(asked, now) for asked in now.read.asked],
        "wrong": wrong,
        "typed": typed,
        "preview": list(_preview(now)),
        "columns": [(column, words.line_place_words(column)) for column in now.settled.columns],
        "change": int(change) if change.isdecimal() and 1 <= int(change) <= lines else 0,
        "places": [(place, words.line_place_words(place)) for place in now.settled.places],
        "head": [(place, words.place_words(place)) for place in HEAD] if change == "head" else [],
        "revision": now.body.get("revision", 0),
        "lines": None if now.open_things else now.lines(),
        "THERE": THERE,
        "NOT_THERE": NOT_THERE,
        "LINE": LINE,
        "OWN": OWN,
    }


def _where(line: int | None, name: str, place: str) -> str:
    if line is None:
        return words.place_words(place)
    return _("Line {line}, {name}").format(line=line, name=name or _("without a name"))


def _choice(one: Difference, now: Settling, typed: Mapping[str, str]) -> Choice:
    stands = now.answers.get(one.key)
    picked = {None: "", one.second: "second", one.first: "first"}.get(stands, "third")
    if one.place == LINE:
        picked = stands or ""
    return Choice(
        difference=one,
        where=_where(one.line, one.name, one.place),
        place=words.line_place_words(one.place) if one.line is not None else "",
        picked=typed.get(f"{PICK}{one.key}", picked),
        third=typed.get(f"{THIRD}{one.key}", stands or "" if picked == "third" else ""),
    )


def _to_mend(now: Settling, typed: Mapping[str, str]) -> list[ToMend]:
    open_keys = {one.key for one in now.open}
    found = []
    for problem in now.read.to_mend:
        key = f"{problem.row}.{problem.column}" if problem.row is not None else problem.column or ""
        place = key.partition(".")[2]
        if key in open_keys or f"{problem.row}.{LINE}" in open_keys:
            continue
        name = now.settled.lines[problem.row - 1].get("name", "") if problem.row is not None else ""
        where = _where(problem.row, name, place)
        if problem.row is not None:
            where = f"{where}: {words.line_place_words(place)}"
        found.append(ToMend(key, where, typed.get(f"{PLACE}{key}", now.text_at(key)), problem.message))
    return found


def _name_choice(asked: AskedName, now: Settling) -> NameChoice:
    pack = now.desk.pack
    return NameChoice(
        asked, tuple((one.taxon, said(one.taxon, pack), one.scientific_name) for one in asked.candidates)
    )


def _preview(now: Settling) -> list[Shown]:
    read = {line.number: line for line in now.read.lines}
    return [
        Shown(
            number,
            line.get("name", ""),
            said(read[number].taxon, now.desk.pack) if number in read else "",
            read.get(number),
        )
        for number, line in enumerate(now.settled.lines, 1)
        if any_text(line)
    ]
