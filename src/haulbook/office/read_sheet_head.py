"""The head of a typed sheet: when, where and with what the haul was made."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from haulbook.custody.bodies import GEOMETRY, MEASURED
from haulbook.custody.facts import Measure
from haulbook.exchange.cells import CellTrouble
from haulbook.exchange.station_toml import Station
from haulbook.gear import SET_TYPES, Net, swept_area
from haulbook.office.sheet_cells import (
    read_clock,
    read_condition,
    read_length,
    read_length_type,
    read_measure,
)
from haulbook.office.typed_sheet import BASIS, CLOCKS
from haulbook.problems import Problem, Refusal, unknown

KEEP = "bucket 1"
"""Where kept animals are where nobody said."""
NOT_STATED = "not stated"
"""Instrument of a reading where the sheet names none."""
WITHOUT_LENGTHS = ("given", "polygon")
"""Set types whose area does not come from lengths of the sheet."""
_BUCKET = re.compile(r"(?:(bucket|cooler)\s*)?([1-9]\d{0,2})", re.IGNORECASE)
_ACROSS_MIDNIGHT = timedelta(hours=12)
"""A clock that is behind the one before it by more than this is taken as of the next day."""


@dataclass(frozen=True, slots=True)
class Head:
    """What the head of a sheet says; None where it says nothing.

    Attributes
    ----------
    at : str
        The landing as entries write it: an instant, or the day where the sheet has no time.
    started, ended, left_beach : str or None
        Instants with their offset.
    measures : mapping of letter to Measure
    given_m2 : float or None
        Area that the sheet itself names, for the set type ``given``.
    area_m2, area_words : float or None, str
        Swept by the haul; what it rests on, or why there is none.
    keep_place : str or None
        Bucket or cooler of what was kept.
    """

    at: str
    started: str | None = None
    ended: str | None = None
    left_beach: str | None = None
    site: str | None = None
    net: str | None = None
    set_type: str | None = None
    measures: Mapping[str, Measure] = field(default_factory=dict)
    depth_m: float | None = None
    condition: int | None = None
    why: str = ""
    readings: Mapping[str, float] = field(default_factory=dict)
    instrument: str = NOT_STATED
    keep_place: str | None = None
    remark: str = ""
    given_m2: float | None = None
    area_m2: float | None = None
    area_words: str = ""


def read_head(
    said: Mapping[str, str], station: Station, day: str, zone: str
) -> tuple[Head, tuple[Problem, ...]]:
    """Return what a head says, and what is off in it (``column`` is ``head.`` and the place).

    Parameters
    ----------
    said : mapping of place to text
        As :class:`haulbook.office.typed_sheet.TypedSheet` has it.
    station : Station
    day : str
        Local day of the outing.
    zone : str
        IANA zone where no site is named.
    """
    reader = _Reader(said)
    site = reader.one_of("site", station.sites)
    clocks = reader.clocks(date.fromisoformat(day), ZoneInfo(station.sites[site].zone if site else zone))
    landed = clocks["landed"] or clocks["started"] or clocks["ended"]
    net, set_type = reader.one_of("net", station.nets), reader.one_of("set_type", SET_TYPES)
    measures = reader.measures()
    given_m2 = reader.value("area_m2", read_length)
    area_m2, area_words = reader.area(set_type, measures, station.nets.get(net or ""), given_m2)
    reader.value("lengths_are", read_length_type)
    readings = {place: reader.value(place, read_measure) for place in MEASURED if place in said}
    head = Head(
        at=landed or day,
        started=clocks["started"],
        ended=clocks["ended"],
        left_beach=clocks["left_beach"],
        site=site,
        net=net,
        set_type=set_type,
        measures=measures,
        depth_m=reader.value("depth_m", read_measure),
        condition=reader.value("condition", read_condition),
        why=said.get("why", ""),
        readings={place: value for place, value in readings.items() if value is not None},
        instrument=reader.one_of("instrument", station.instruments) or NOT_STATED,
        keep_place=reader.bucket(),
        remark=said.get("remark", ""),
        given_m2=given_m2,
        area_m2=area_m2,
        area_words=area_words,
    )
    return head, tuple(reader.problems)


class _Reader:
    """Reads places of a head, and gathers what is off."""

    def __init__(self, said: Mapping[str, str]) -> None:
        self.said = said
        self.problems: list[Problem] = []

    def off(self, place: str, message: str, *, note: bool = False) -> None:
        """Note what is off in a place."""
        self.problems.append(Problem("note" if note else "asked", message, column=f"head.{place}"))

    def value(self, place: str, read: Callable[[str], Any]) -> Any:
        """Return what a place says; None where that can't be read."""
        found = read(self.said.get(place, ""))
        if isinstance(found, CellTrouble):
            self.off(place, found.message)
            return None
        return found

    def one_of(self, place: str, known: Collection[str]) -> str | None:
        """Return a word that has to be known."""
        word = self.said.get(place, "")
        if word and word not in known:
            self.off(place, unknown(place.replace("_", " "), word, known))
        return word if word in known else None

    def bucket(self) -> str | None:
        """Return the bucket or cooler of what was kept: ``1`` and ``Bucket 1`` are bucket 1."""
        said = self.said.get("keep_place", "")
        match = _BUCKET.fullmatch(said)
        if said and match is None:
            self.off("keep_place", f"{said!r} is no bucket or cooler; write bucket 1")
        return f"{(match[1] or 'bucket').lower()} {match[2]}" if match else None

    def clocks(self, day: date, zone: ZoneInfo) -> dict[str, str | None]:
        """Return the instants of the sheet, each not before the one before it."""
        found: dict[str, str | None] = {}
        before: tuple[str, datetime] | None = None
        for place in (*CLOCKS, "left_beach"):
            clock = self.value(place, read_clock)
            if clock is None:
                found[place] = None
                continue
            at = self._instant(place, day, clock, zone)
            if before is not None and at < before[1]:
                if before[1] - at > _ACROSS_MIDNIGHT:
                    at = self._instant(place, day + timedelta(days=1), clock, zone)
                else:
                    self.off(
                        place, f"{clock:%H:%M} is before {before[1]:%H:%M}, when the haul {_SAID[before[0]]}"
                    )
            found[place] = at.isoformat(timespec="seconds")
            before = (place, at)
        if not found["landed"] and (found["started"] or found["ended"]):
            self.off("landed", "no landing stands on the sheet; taken as the nearest time it has", note=True)
        return found

    def _instant(self, place: str, day: date, clock: time, zone: ZoneInfo) -> datetime:
        first = datetime.combine(day, clock, zone)
        if first.utcoffset() != first.replace(fold=1).utcoffset():
            after = first.astimezone(UTC).astimezone(zone)
            words = "came twice that day; taken as the first of the two"
            if after.time() != clock:
                words, first = f"was left out by the clocks that day; taken as {after:%H:%M}", after
            self.off(place, f"{clock:%H:%M} {words}", note=True)
        return first

    def measures(self) -> dict[str, Measure]:
        """Return the lengths of the set."""
        found: dict[str, Measure] = {}
        for letter in GEOMETRY:
            metres, basis = self.value(letter, read_length), self.said.get(BASIS[letter]) or "measured"
            if metres is not None:
                found[letter] = Measure(metres, "assumed" if basis == "assumed" else "measured")
        return found

    def area(
        self, set_type: str | None, measures: Mapping[str, Measure], net: Net | None, given_m2: float | None
    ) -> tuple[float | None, str]:
        """Return the area swept and what it rests on; what the net can't do is off unless the sheet says why."""
        if set_type is None:
            return None, "no area: the sheet says not how the net was set" if measures else ""
        try:
            area = swept_area(
                set_type, measures, net, given_m2=given_m2, said_by="the sheet", override=self.said.get("why")
            )
        except Refusal as refusal:
            for problem in refusal.problems:
                missing = problem.column in GEOMETRY and problem.column not in measures
                place = problem.column if problem.column in GEOMETRY else "set_type"
                self.off(str(place), problem.message, note=missing or set_type in WITHOUT_LENGTHS)
            return None, ""
        return area.m2, "; ".join(area.notes)


_SAID = {"started": "started", "landed": "landed", "ended": "ended", "left_beach": "left the beach"}
