"""Dates, clocks, counts and fates as they stand on paper."""

from __future__ import annotations

from datetime import date

from haulbook.custody.fates import Fate
from haulbook.custody.when import When

_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")

FATE_WORDS: dict[Fate, str] = {
    Fate.RELEASED_ALIVE: "back alive",
    Fate.RELEASED_IN_NET: "let go in the net",
    Fate.RETAINED_ALIVE: "kept alive",
    Fate.RETAINED_DEAD: "killed and kept",
    Fate.KILLED_NOT_KEPT: "killed and not kept",
    Fate.DIED_RELEASED: "back dead",
    Fate.DIED_RETAINED: "kept dead",
    Fate.SEEN_ESCAPED: "escaped",
    Fate.FATE_UNKNOWN: "lost",
    Fate.UNACCOUNTED: "not placed",
}
"""Column headings, in the order in which they stand."""

UNIT_WORDS = {"egg_mass": "egg masses", "colony": "colonies", "blade": "blades", "gram": "grams"}


def day(when: date) -> str:
    """Return a day as ``14 May 2027``."""
    return f"{when.day} {_MONTHS[when.month - 1]} {when.year}"


def weekday(when: date) -> str:
    """Return the name of the day."""
    return _DAYS[when.weekday()]


def day_of(when: When) -> str:
    """Return as much of a date as the source had: ``14 May 2027``, ``May 2027`` or ``2027``."""
    first, last = when.first_day, when.last_day
    if first == last:
        return day(first)
    return str(first.year) if last.month != first.month else f"{_MONTHS[first.month - 1]} {first.year}"


def clock(when: When) -> str | None:
    """Return the local clock as ``05:42``, None where the source has no time."""
    instant = when.instant
    return f"{instant:%H:%M}" if instant else None


def grouped(n: int) -> str:
    """Return a count with a narrow no-break space between thousands, from 10 000 up."""
    return f"{n:,}".replace(",", "\u202f") if abs(n) >= 10_000 else str(n)


def several(n: int, one: str, many: str | None = None) -> str:
    """Return ``1 haul`` or ``3 hauls``."""
    return f"{grouped(n)} {one if n == 1 else many or one + 's'}"


def listed(parts: list[str]) -> str:
    """Return ``a``, ``a and b``, or ``a, b and c``."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}" if parts else ""


def letter(i: int) -> str:
    """Return the letter of the i-th remark: a ... z, aa ..."""
    return (letter(i // 26 - 1) if i >= 26 else "") + chr(ord("a") + i % 26)
