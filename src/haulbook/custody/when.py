"""When something happened, as exactly as the source says and no more."""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, tzinfo
from functools import lru_cache

from haulbook.problems import Refusal

_REMEMBERED = 1 << 14
"""Different times that are kept read: a season's; a book asks for each of them again and again."""

_YEAR = re.compile(r"\d{4}")
_MONTH = re.compile(r"\d{4}-\d{2}")
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_INSTANT = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(?::\d{2}(?:\.\d{1,6})?)?(?:Z|[+-]\d{2}:\d{2})?")


@dataclass(frozen=True, slots=True)
class When:
    """An instant with its offset, or a local date, month or year where the source has no more.

    Attributes
    ----------
    text : str
        ISO 8601: ``2027-05-14T06:52:10-04:00``, ``2027-05-14``, ``2027-05`` or ``2027``. An instant without
        offset is refused: nobody can tell afterwards which clock was meant.
    """

    text: str

    def __post_init__(self) -> None:
        _check(self.text)

    @property
    def instant(self) -> datetime | None:
        """The zone-aware instant, or None where the source has only a date, month or year."""
        return _instant(self.text)

    @property
    def first_day(self) -> date:
        """The local calendar day, or the first day of the month or year."""
        return _first_day(self.text)

    @property
    def last_day(self) -> date:
        """The local calendar day, or the last day of the month or year."""
        first = self.first_day
        if _YEAR.fullmatch(self.text):
            return date(first.year, 12, 31)
        if _MONTH.fullmatch(self.text):
            return first.replace(day=calendar.monthrange(first.year, first.month)[1])
        return first

    def days_in(self, zone: tzinfo) -> tuple[date, date]:
        """Return first and last local calendar day in ``zone``: one day, or all of a month or year."""
        instant = self.instant
        if instant is not None:
            day = instant.astimezone(zone).date()
            return day, day
        return self.first_day, self.last_day

    def sort_key(self) -> datetime:
        """Return the instant in UTC; what has no clock time stands at the start of its first day."""
        return _sort_key(self.text)


@lru_cache(_REMEMBERED)
def _check(text: str) -> None:
    try:
        if "T" in text:
            _check_instant(text)
        elif _YEAR.fullmatch(text) or _MONTH.fullmatch(text):
            _first_day(text)  # a month 13 shows here
        elif _DATE.fullmatch(text):
            date.fromisoformat(text)
        else:
            raise ValueError
    except ValueError:
        raise Refusal(
            f"{text!r} is no time; write 2027-05-14T06:52:10-04:00, or 2027-05-14, 2027-05 or 2027"
        ) from None


def _check_instant(text: str) -> None:
    if not _INSTANT.fullmatch(text):
        raise ValueError
    instant = datetime.fromisoformat(text)
    if instant.tzinfo is None:
        raise Refusal(
            f"{text!r} has no offset from UTC; write it as 2027-05-14T06:52:10-04:00 or as a plain date"
        )
    if not date.min.year < instant.year < date.max.year:  # the same instant in UTC has to be a date too
        raise ValueError


@lru_cache(_REMEMBERED)
def _instant(text: str) -> datetime | None:
    return datetime.fromisoformat(text) if "T" in text else None


@lru_cache(_REMEMBERED)
def _first_day(text: str) -> date:
    instant = _instant(text)
    if instant is not None:
        return instant.date()
    parts = [int(part) for part in text.split("-")]
    return date(*[*parts, 1, 1][:3])


@lru_cache(_REMEMBERED)
def _sort_key(text: str) -> datetime:
    instant = _instant(text)
    return instant.astimezone(UTC) if instant else datetime.combine(_first_day(text), time(), UTC)
