"""Calendar files: events out, and what an older file of ours said, so that a new one updates it.

Source: RFC 5545 (September 2009): 3.1 content lines and folding, 3.3.5 UTC date-times, 3.3.11 escaping of text,
3.6.1 events, 3.6.6 alarms, 3.8.7.4 SEQUENCE. Times are written in UTC with Z, so no time zone component is needed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Literal

from haulbook.problems import Refusal

PRODID = "-//haulbook//plan//EN"
OCTETS = 75
"""Longest line, its end not counted (RFC 5545 3.1)."""

Status = Literal["TENTATIVE", "CONFIRMED", "CANCELLED"]

_FOLD = b"\r\n "
_NOT_TEXT = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")
_WRITTEN = ("DTSTAMP", "SEQUENCE")
"""Properties that tell when and how often an event was written, not what it says."""


@dataclass(frozen=True, slots=True)
class Alarm:
    """A reminder so long before the event starts, or before it ends."""

    before: timedelta
    text: str
    of: Literal["start", "end"] = "start"


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One entry of a calendar.

    Attributes
    ----------
    uid : str
        The same for every version of the same event.
    start, end : datetime
        Zone-aware; the end after the start.
    summary, description : str
        Text; line ends stay.
    status : {"TENTATIVE", "CONFIRMED", "CANCELLED"}
    location : str or None
    position : (latitude, longitude) or None
        Decimal degrees.
    alarms : tuple of Alarm
    """

    uid: str
    start: datetime
    end: datetime
    summary: str
    description: str
    status: Status
    location: str | None = None
    position: tuple[float, float] | None = None
    alarms: tuple[Alarm, ...] = ()

    def __post_init__(self) -> None:
        if self.start.tzinfo is None or self.end.tzinfo is None:
            raise Refusal("a calendar event needs times with their zone")
        if self.end <= self.start:
            raise Refusal("a calendar event ends after it starts")


def calendar(events: Iterable[Event], now: datetime, before: bytes | None = None) -> bytes:
    """Return a calendar file, UTF-8 with CRLF.

    Parameters
    ----------
    events : iterable of Event
    now : datetime
        When it is written; zone-aware.
    before : bytes or None
        The file of ours that this one takes the place of. An event that says the same is left as it was, one that
        changed has its SEQUENCE raised by 1, and events that are not among ``events`` stay.

    Raises
    ------
    Refusal
        ``before`` is no calendar file of haulbook.
    """
    old = _events_of(before) if before is not None else {}
    for event in events:
        old[event.uid] = _renewed(event, now, old.get(event.uid))
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODID}", "CALSCALE:GREGORIAN"]
    for block in old.values():
        lines += block
    lines.append("END:VCALENDAR")
    return b"".join(fold(line) for line in lines)


def fold(line: str) -> bytes:
    """Return one content line in UTF-8, folded at 75 octets with CRLF and a space, no character split."""
    room, lines, here = OCTETS, [], bytearray()
    for character in line:
        encoded = character.encode()
        if len(here) + len(encoded) > room:
            lines.append(bytes(here))
            here, room = bytearray(), OCTETS - 1  # the leading space counts
        here += encoded
    lines.append(bytes(here))
    return _FOLD.join(lines) + b"\r\n"


def unfold(data: bytes) -> list[str]:
    """Return the content lines of a calendar file, each whole."""
    return [line for line in data.replace(_FOLD, b"").decode("utf-8").split("\r\n") if line]


def escape(text: str) -> str:
    """Return a text value: backslash, semicolon, comma and line end escaped, control characters left out."""
    plain = _NOT_TEXT.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))
    for character in ("\\", ";", ","):
        plain = plain.replace(character, f"\\{character}")
    return plain.replace("\n", "\\n")


def _renewed(event: Event, now: datetime, old: Sequence[str] | None) -> list[str]:
    """Return the event's lines: the old ones where they say the same, else the next in sequence."""
    if old is None:
        return list(_lines(event, now, 0))
    last = next((line.removeprefix("SEQUENCE:") for line in old if line.startswith("SEQUENCE:")), "0")
    new = list(_lines(event, now, int(last) + 1 if last.isdigit() else 1))
    return list(old) if _says(old) == _says(new) else new


def _says(lines: Iterable[str]) -> list[str]:
    return [line for line in lines if not line.startswith(_WRITTEN)]


def _lines(event: Event, now: datetime, sequence: int) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{event.uid}"
    yield f"DTSTAMP:{_utc(now)}"
    yield f"SEQUENCE:{sequence}"
    yield f"DTSTART:{_utc(event.start)}"
    yield f"DTEND:{_utc(event.end)}"
    yield f"SUMMARY:{escape(event.summary)}"
    yield f"DESCRIPTION:{escape(event.description)}"
    yield f"STATUS:{event.status}"
    if event.location:
        yield f"LOCATION:{escape(event.location)}"
    if event.position:
        yield f"GEO:{event.position[0]:.6f};{event.position[1]:.6f}"
    for alarm in event.alarms if event.status != "CANCELLED" else ():
        yield from _alarm(alarm)
    yield "END:VEVENT"


def _alarm(alarm: Alarm) -> Iterator[str]:
    seconds = int(alarm.before.total_seconds())
    related = ";RELATED=END" if alarm.of == "end" else ""
    yield "BEGIN:VALARM"
    yield "ACTION:DISPLAY"
    yield f"TRIGGER{related}:-PT{seconds // 60}M" if seconds % 60 == 0 else f"TRIGGER{related}:-PT{seconds}S"
    yield f"DESCRIPTION:{escape(alarm.text)}"
    yield "END:VALARM"


def _utc(at: datetime) -> str:
    """Return the instant to the nearest second, as 20270514T104207Z."""
    whole = (at + timedelta(microseconds=500_000)).astimezone(UTC)
    return f"{whole:%Y%m%dT%H%M%SZ}"


def _events_of(data: bytes) -> dict[str, list[str]]:
    """Return the events of an older file of ours, by UID, each as its content lines."""
    try:
        lines = unfold(data)
    except UnicodeDecodeError:
        lines = []
    if f"PRODID:{PRODID}" not in lines:
        raise Refusal("the file that stands there is no calendar of haulbook; name another, or move it away")
    events: dict[str, list[str]] = {}
    block: list[str] = []
    for line in lines:
        if line == "BEGIN:VEVENT":
            block = []
        block.append(line)
        if line == "END:VEVENT":
            uid = next((one.removeprefix("UID:") for one in block if one.startswith("UID:")), "")
            events[uid], block = block, []
    return events
