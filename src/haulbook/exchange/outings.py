"""Hauls of sheets are gathered into outings: one a day and site, each haul with its number."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from haulbook.custody.when import When
from haulbook.exchange.sheet_hauls import SheetHaul
from haulbook.exchange.table import letters
from haulbook.problems import Problem, Refusal

_HAUL_NO = re.compile(r"[0-9]{1,6}")
"""A number called on the beach; a longer one is a key of another kind."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A haul of a sheet with its place in the book.

    Attributes
    ----------
    haul : SheetHaul
    outing : str
        Local day and a letter, ``2027-05-14-a``; the day's sites have theirs in the order of the sheet.
    number : int
        The sheet's own where it is a whole number that the outing doesn't have yet, else the next free one.
    at : str
        As exactly as the sheet says.
    """

    haul: SheetHaul
    outing: str
    number: int
    at: str

    @property
    def key(self) -> str:
        """Key of the haul in the book."""
        return f"{self.outing}/{self.number}"


def place_hauls(hauls: Sequence[SheetHaul]) -> dict[str, Placed]:
    """Return every haul with its outing and number, by the key of the sheet.

    A haul without a day takes the year that all dated hauls share: nothing finer is known of it.

    Raises
    ------
    Refusal
        Where a haul has no day and the dated ones share no year.
    """
    days = {haul.key: haul.day or "" for haul in hauls}
    _lend_years(hauls, days)
    outings: dict[tuple[str, str | None], str] = {}
    per_day: dict[str, int] = {}
    together: dict[str, list[SheetHaul]] = {}
    for haul in hauls:
        day = days[haul.key]
        if (day, haul.site) not in outings:
            outings[day, haul.site] = f"{day}-{letters(per_day.get(day, 0)).lower()}"
            per_day[day] = per_day.get(day, 0) + 1
        together.setdefault(outings[day, haul.site], []).append(haul)
    placed = {
        haul.key: Placed(haul, outing, number, haul.at or days[haul.key])
        for outing, members in together.items()
        for haul, number in zip(members, _numbers(members), strict=True)
    }
    return {haul.key: placed[haul.key] for haul in hauls}


def last_at(placed: Iterable[Placed]) -> str:
    """Return the latest instant (or day) of some hauls."""
    return max((one.at for one in placed), key=lambda at: When(at).sort_key())


def _lend_years(hauls: Sequence[SheetHaul], days: dict[str, str]) -> None:
    dateless = [haul for haul in hauls if not haul.day]
    years = {day[:4] for day in days.values() if day}
    if dateless and len(years) != 1:
        shown = "; ".join(f"{haul.key!r}" for haul in dateless[:5])
        more = f" and {len(dateless) - 5} more" if len(dateless) > 5 else ""
        first = dateless[0]
        message = (
            f"has hauls without a day: {shown}{more}. A book needs at least their year; name the date in the map, "
            "or answer what was asked about it"
        )
        raise Refusal(Problem("refused", message, first.file, first.sheet, first.row))
    for haul in dateless:
        days[haul.key] = next(iter(years))


def _numbers(hauls: Sequence[SheetHaul]) -> list[int]:
    wanted = [int(haul.no) if haul.no and _HAUL_NO.fullmatch(haul.no) else 0 for haul in hauls]
    taken: set[int] = set()
    numbers = []
    for number in wanted:
        numbers.append(number if number and number not in taken else 0)
        taken.add(number)
    free = max(taken, default=0)
    for i, number in enumerate(numbers):
        if not number:
            free += 1
            numbers[i] = free
    return numbers
