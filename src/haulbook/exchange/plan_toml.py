"""The plan file of one outing: who goes, where, with what. See ``docs/reference/station-and-plan.md``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from haulbook.exchange.station_toml import Station
from haulbook.exchange.toml_keys import Keys, load_toml, refuse_problems
from haulbook.problems import Problem, Refusal, unknown

PURPOSES = ("keep", "hold", "release")
ACTS = ("notice-sent", "receipt", "permission", "report-signed", "report-sent", "cleared")

_OUTING = re.compile(r"(\d{4}-\d{2}-\d{2})-[a-z][a-z0-9]*")
_PLACE = re.compile(r"(?:bucket|cooler) [1-9][0-9]*")


@dataclass(frozen=True, slots=True)
class Bucket:
    """A bucket or cooler that goes along.

    Attributes
    ----------
    place : str
        ``bucket 1``, ``cooler 2``.
    purpose : {"keep", "hold", "release"}
    litres : float
        Water in it.
    air_per_h : float or None
        Exchange of oxygen with the air, per hour; None where it has no aeration anybody knows of.
    """

    place: str
    purpose: str
    litres: float
    air_per_h: float | None = None


@dataclass(frozen=True, slots=True)
class PaperDone:
    """Something already done about a permit's papers, until a book holds it."""

    permit: str
    act: str
    at: datetime
    clause: str | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """One outing as planned.

    Attributes
    ----------
    outing : str
        Local date and a letter, ``2027-05-14-a``.
    site : str
        Key of the station file, as ``nets`` and ``crew``.
    date : date
        The same day as in ``outing``.
    hauls : int
        How many are meant to be made, at least 1.
    people_present : int
        All people at the beach, crew included.
    looked_for : tuple of str
        Taxa somebody will look for: not finding them is a true zero.
    keep_device : str or None
        The one phone that says what may still be kept.
    """

    outing: str
    site: str
    date: date
    hauls: int
    permits: tuple[str, ...]
    nets: tuple[str, ...]
    crew: tuple[str, ...]
    people_present: int
    buckets: tuple[Bucket, ...] = ()
    looked_for: tuple[str, ...] = ()
    keep_device: str | None = None
    paper: tuple[PaperDone, ...] = ()


def read_plan(path: Path) -> Plan:
    """Read a plan file.

    Raises
    ------
    Refusal
        With every problem of the file together, each by its dotted key (``buckets.2.litres``).
    """
    return plan_of(load_toml(path), path.name)


def plan_of(content: dict[str, Any], name: str) -> Plan:
    """Read the content of a plan file; otherwise as :func:`read_plan`."""
    problems: list[Problem] = []
    top = Keys(content, "", name, tuple(Plan.__dataclass_fields__), problems)
    outing, day = top.text("outing"), top.day("date")
    if "date" not in top.found:
        top.wrong("date", "is needed: write it without quotes, as 2027-05-14")
    crew = top.texts("crew", needed=True)
    permits = top.texts("permits")
    plan = Plan(
        outing=outing,
        site=top.text("site"),
        date=day or date.min,
        hauls=top.whole("hauls", low=1),
        permits=permits,
        nets=top.texts("nets", needed=True),
        crew=crew,
        people_present=top.whole("people_present", low=len(crew)),
        buckets=_buckets(top),
        looked_for=top.texts("looked_for"),
        keep_device=top.maybe_text("keep_device"),
        paper=tuple(
            _paper(table, permits) for table in top.tables("paper", ("permit", "clause", "act", "at"))
        ),
    )
    _check_outing(top, outing, day)
    refuse_problems(problems)
    return plan


def check_plan(plan: Plan, station: Station, file: str) -> None:
    """Refuse a plan that names a site, net or person the station file doesn't have, all of them together."""
    named = (
        ("site", "site", (plan.site,), station.sites),
        ("nets", "net", plan.nets, station.nets),
        ("crew", "person", plan.crew, station.people),
    )
    problems = [
        Problem("refused", unknown(what, word, known), file=file, column=key)
        for key, what, words, known in named
        for word in words
        if word not in known
    ]
    if problems:
        raise Refusal(problems)


def _buckets(top: Keys) -> tuple[Bucket, ...]:
    buckets: list[Bucket] = []
    for table in top.tables("buckets", ("place", "purpose", "litres", "air_per_h")):
        place = table.text("place")
        if place and not _PLACE.fullmatch(place):
            table.wrong("place", f"is {place!r}; write bucket or cooler and its number, as 'bucket 1'")
        if place in (bucket.place for bucket in buckets):
            table.wrong("place", f"there already is a {place!r}")
        buckets.append(
            Bucket(
                place,
                table.one_of("purpose", PURPOSES),
                table.number("litres", above=0),
                table.maybe_number("air_per_h", low=0),
            )
        )
    return tuple(buckets)


def _paper(table: Keys, permits: tuple[str, ...]) -> PaperDone:
    permit = table.text("permit")
    if permit and permit not in permits:
        table.wrong("permit", unknown("permit of this plan", permit, permits))
    act, at = table.one_of("act", ACTS), table.instant("at")
    return PaperDone(permit, act, at or datetime.min, table.maybe_text("clause"))  # noqa: DTZ901 (refused anyway)


def _check_outing(top: Keys, outing: str, day: date | None) -> None:
    match = _OUTING.fullmatch(outing)
    if outing and match is None:
        top.wrong("outing", f"is {outing!r}; write the local date and a letter, as 2027-05-14-a")
    elif match and day and match[1] != day.isoformat():
        top.wrong("date", f"is {day}, but the outing is called {outing}")
