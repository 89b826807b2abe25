"""When something happened, as exactly as the source says and no more."""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, tzinfo

from haulbook.problems import Refusal

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
        try:
            if "T" in self.text:
                self._check_instant()
            elif _YEAR.fullmatch(self.text) or _MONTH.fullmatch(self.text):
                self.first_day  # noqa: B018 (a month 13 shows here)
            elif _DATE.fullmatch(self.text):
                date.fromisoformat(self.text)
            else:
                raise ValueError
        except ValueError:
            raise Refusal(
                f"{self.text!r} is no time; write 2027-05-14T06:52:10-04:00, or 2027-05-14, 2027-05 or 2027"
            ) from None

    def _check_instant(self) -> None:
        if not _INSTANT.fullmatch(self.text):
            raise ValueError
        instant = datetime.fromisoformat(self.text)
        if instant.tzinfo is None:
            raise Refusal(
                f"{self.text!r} has no offset from UTC; "
                "write it as 2027-05-14T06:52:10-04:00 or as a plain date"
            )
        if not date.min.year < instant.year < date.max.year:  # the same instant in UTC has to be a date too
            raise ValueError

    @property
    def instant(self) -> datetime | None:
        """The zone-aware instant, or None where the source has only a date, month or year."""
        return datetime.fromisoformat(self.text) if "T" in self.text else None

    @property
    def first_day(self) -> date:
        """The local calendar day, or the first day of the month or year."""
        if "T" in self.text:
            return datetime.fromisoformat(self.text).date()
        parts = [int(part) for part in self.text.split("-")]
        return date(*[*parts, 1, 1][:3])

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
        instant = self.instant
        return instant.astimezone(UTC) if instant else datetime.combine(self.first_day, time(), UTC)
