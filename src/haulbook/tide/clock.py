"""Between a station's local clock and UTC: hours that happen twice or not at all are refused."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from haulbook.problems import Refusal, unknown

_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")


def zone_of(key: str) -> ZoneInfo:
    """Return the IANA zone, or refuse and name the nearest."""
    try:
        return ZoneInfo(key)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise Refusal(unknown("time zone", key, available_timezones())) from None


def date_of(text: str) -> date:
    """Return the date written as 2027-05-14."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Refusal(f"{text!r} is no date; write it as 2027-05-14") from None


def day_start(day: date, zone: ZoneInfo) -> datetime:
    """Return the first instant of a local day, in UTC; days have 23, 24 or 25 hours."""
    return datetime.combine(day, time(), zone).astimezone(UTC)


def instant_of(text: str, zone: ZoneInfo, *, end: bool = False) -> datetime:
    """Return the instant, in UTC, that somebody wrote.

    Parameters
    ----------
    text : str
        ISO 8601: with offset or Z it is taken as written; without, it is the local clock of ``zone``; a date
        alone is the start of that local day.
    zone : ZoneInfo
        Of the station.
    end : bool
        A date alone is the end of that local day.

    Raises
    ------
    Refusal
        Not a time, or a local hour that happens twice or not at all at a change of the clocks.
    """
    try:
        if _DATE.fullmatch(text):
            day = date.fromisoformat(text)
            return day_start(day + timedelta(days=1) if end else day, zone)
        written = datetime.fromisoformat(text)
        return written.astimezone(UTC) if written.tzinfo else _local(written, zone)
    except (ValueError, OverflowError):
        raise Refusal(
            f"{text!r} is no time; write 2027-05-14T06:30 (local), 2027-05-14T06:30-04:00, or 2027-05-14"
        ) from None


def check_order(start: datetime, end: datetime, zone: ZoneInfo) -> None:
    """Refuse a stretch that does not end after it begins."""
    if end <= start:
        begins = f"{say_clock(start, zone)} on {say_day(start.astimezone(zone).date())}"
        raise Refusal(f"{_say_end(end, zone)} is not after {begins}; swap --from and --to")


def _say_end(at: datetime, zone: ZoneInfo) -> str:
    """The end of a stretch: midnight belongs to the day that it closes, as the person wrote it."""
    local = at.astimezone(zone)
    if local.time() == time():
        return f"the end of {say_day(local.date() - timedelta(days=1))}"
    return f"{say_clock(at, zone)} on {say_day(local.date())}"


def _local(written: datetime, zone: ZoneInfo) -> datetime:
    once, again = written.replace(tzinfo=zone, fold=0), written.replace(tzinfo=zone, fold=1)
    words = f"{written:%H:%M} on {say_day(written.date())}"
    if once.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != written:
        before, after = (
            one.astimezone(UTC).astimezone(zone).isoformat("T", "minutes") for one in (again, once)
        )
        raise Refusal(
            f"{words} does not exist in {zone.key}: the clocks are put forward over it; "
            f"write {before} or {after}"
        )
    if once.utcoffset() != again.utcoffset():
        raise Refusal(
            f"{words} happens twice in {zone.key}: the clocks are put back over it; write "
            f"{once.isoformat('T', 'minutes')} ({once.tzname()}) or "
            f"{again.isoformat('T', 'minutes')} ({again.tzname()})"
        )
    return once.astimezone(UTC)


def say_day(day: date) -> str:
    """Return the day as the project writes it: 14 May 2027."""
    return f"{day.day} {day:%B %Y}"


def say_clock(at: datetime, zone: ZoneInfo) -> str:
    """Return the local clock time to the minute with the name of the offset: 05:42 EDT."""
    local = to_minute(at, zone)
    return f"{local:%H:%M} {local.tzname()}"


def to_minute(at: datetime, zone: ZoneInfo) -> datetime:
    """Return the instant on the local clock, to the nearest minute."""
    return (at + timedelta(seconds=30)).astimezone(zone).replace(second=0, microsecond=0)


def utc_text(at: datetime) -> str:
    """Return the instant to the second in UTC, as 2027-05-14T10:42:07Z."""
    whole = (at.astimezone(UTC) + timedelta(microseconds=500_000)).replace(microsecond=0, tzinfo=None)
    return f"{whole.isoformat()}Z"


def position_of(text: str) -> tuple[float, float]:
    """Return latitude and longitude written as 41.46,-71.31, degrees north and east."""
    try:
        latitude, longitude = (float(part) for part in text.split(","))
    except ValueError:
        raise Refusal(
            f"{text!r} is no position; write latitude,longitude in degrees, as 41.46,-71.31"
        ) from None
    check_position(latitude, longitude)
    return latitude, longitude


def check_position(latitude: float, longitude: float) -> None:
    """Refuse a position that is not on the globe."""
    if not (abs(latitude) <= 90 and abs(longitude) <= 180):
        raise Refusal(
            f"{latitude:g},{longitude:g} is no position; write latitude,longitude in degrees, as 41.46,-71.31"
        )


def dates_of(text: str) -> tuple[date, date]:
    """Return first and last day written as 2027-05-14 or 2027-05-14:2027-05-20."""
    first, _, last = text.partition(":")
    return date_of(first), date_of(last or first)


def hours_of(text: str) -> tuple[time, time]:
    """Return the two clock times written as 07:00-16:00; 24:00 is the end of the day, given as 00:00."""
    try:
        opens, closes = (
            time.fromisoformat(part.strip()) for part in text.replace("24:00", "00:00").split("-")
        )
    except ValueError:
        raise Refusal(f"{text!r} are no hours; write them as 07:00-16:00") from None
    return opens, closes
