"""Which period something is counted in: keyed by the local calendar of the permit's zone.

Source: A4.3 rules 5 and 15; worked case 7 shows why the day in UTC is the wrong one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from haulbook.custody.facts import Haul
from haulbook.custody.when import When
from haulbook.permit.model import Period, Permit

INSTANT = timedelta(microseconds=1)


@dataclass(frozen=True, slots=True, order=True)
class Key:
    """One period of a clause: its label, and the half-open span of time it takes up."""

    period: Period
    label: str
    start: datetime = field(compare=False)
    end: datetime = field(compare=False)

    def meets(self, start: datetime, end: datetime | None) -> bool:
        """Whether the span touches another half-open span; ``end`` None: for ever."""
        return self.end > start and (end is None or self.start < end)


def midnight(day: date, zone: ZoneInfo) -> datetime:
    """Return the first instant of a local day."""
    return datetime.combine(day, time(), zone)


def span(when: When, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """Return the earliest and the latest instant that ``when`` can mean, in UTC."""
    instant = when.instant
    if instant is not None:
        at = instant.astimezone(UTC)
        return at, at
    first, last = when.days_in(zone)
    end = midnight(last + timedelta(days=1), zone) - INSTANT
    return midnight(first, zone).astimezone(UTC), end.astimezone(UTC)


def clock(haul: Haul) -> When | None:
    """Return the instant by which a haul is counted: landed, or the nearest thing that somebody noted."""
    return haul.landed or haul.started or haul.ended


def keys(
    period: Period, permit: Permit, haul: Haul, of_outing: Iterable[Haul], when: When
) -> tuple[Key, ...]:
    """Return the periods that something of a haul can belong to: one, or several where the date is vague.

    Parameters
    ----------
    haul : Haul
        Where the animals came from.
    of_outing : iterable of Haul
        All hauls of its outing, from which the outing's span is read.
    when : When
        The charged moment: the landing, or the event's own.
    """
    if period is Period.HAUL:
        return (_over(period, haul.key, [haul], permit, when),)
    if period is Period.OUTING:
        return (_over(period, haul.outing, of_outing, permit, when),)
    first, last = when.days_in(permit.tz)
    return tuple(dict.fromkeys(key_of_day(period, permit, day) for day in _days(first, last, period)))


def key_of_day(period: Period, permit: Permit, day: date) -> Key:
    """Return the day, year or permit life in which a local day lies."""
    zone = permit.tz
    if period is Period.DAY:
        return Key(period, day.isoformat(), midnight(day, zone), midnight(day + timedelta(days=1), zone))
    if period is Period.PERMIT_LIFE:
        return Key(period, permit.no, permit.valid_from, permit.valid_to)
    month, first = (1, 1) if period is Period.CALENDAR_YEAR else permit.year_start
    year = day.year if (day.month, day.day) >= (month, first) else day.year - 1
    begins, ends = date(year, month, first), date(year + 1, month, first)
    last = ends - timedelta(days=1)
    label = str(year) if period is Period.CALENDAR_YEAR else f"{begins}/{last}"
    return Key(period, label, midnight(begins, zone), midnight(ends, zone))


def _over(period: Period, label: str, hauls: Iterable[Haul], permit: Permit, when: When) -> Key:
    moments = [span(moment, permit.tz) for haul in hauls if (moment := clock(haul))]
    moments.append(span(when, permit.tz))
    return Key(period, label, min(first for first, _ in moments), max(last for _, last in moments) + INSTANT)


def _days(first: date, last: date, period: Period) -> Iterator[date]:
    """Days to look at: both ends are enough for a year, every day for days."""
    if period is not Period.DAY:
        yield from (first, last)
        return
    for i in range((last - first).days + 1):
        yield first + timedelta(days=i)
