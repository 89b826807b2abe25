"""The looks that catch trouble early: 24, 48 and 72 hours after every arrival, and days of refused food."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from haulbook.care.planning import HOUSE, PlanningDefaults
from haulbook.care.tank.diary import Note, arrivals, notes_of
from haulbook.custody.book import Book

AFTER_H = (24, 48, 72)
"""Acute trouble mostly shows 48 to 72 h after a transfer (fish research guidelines, 2014, section 7.3)."""


@dataclass(frozen=True, slots=True)
class Check:
    """A look that is due, was done, or is late."""

    after_h: int
    due: datetime
    done: datetime | None
    late: bool


def checks(
    arrived: datetime, looked: Iterable[datetime], now: datetime, planning: PlanningDefaults = HOUSE
) -> tuple[Check, ...]:
    """Return the three looks after an arrival; late once the time of grace after it has passed undone."""
    looks = sorted(looked)
    grace = timedelta(hours=planning.check_grace_h)
    found = []
    for hours in AFTER_H:
        due = arrived + timedelta(hours=hours)
        done = next((look for look in looks if due - grace <= look < due + grace and look <= now), None)
        found.append(Check(hours, due, done, done is None and now >= due + grace))
    return tuple(found)


def checks_of(book: Book, place: str, now: datetime, planning: PlanningDefaults = HOUSE) -> tuple[Check, ...]:
    """Return the looks after the last arrival in a place; empty where nothing came in by ``now``."""
    arrived = [instant for instant, _ in arrivals(book, place) if instant <= now]
    if not arrived:
        return ()
    looked = (note.at for note in notes_of(book, place) if note.act == "checked")
    return checks(arrived[-1], looked, now, planning)


@dataclass(frozen=True, slots=True)
class Refusals:
    """Days on which food was refused since any was eaten, and what to do about it."""

    taxon: str | None
    days: int
    escalate: bool
    advice: str


def refused_days(notes: Iterable[Note], planning: PlanningDefaults = HOUSE) -> tuple[Refusals, ...]:
    """Return each taxon's refusal days up to its last note about food; one that ate last is left out.

    Days are local days of the notes. A day with both ate and refused counts as eaten.
    A note without taxon stands for the whole tank.
    """
    by_taxon: dict[str | None, dict[date, bool]] = {}
    for note in notes:
        if note.act in ("ate", "refused"):
            days = by_taxon.setdefault(note.taxon, {})
            days[note.at.date()] = days.get(note.at.date(), False) or note.act == "ate"
    found = []
    for taxon, days in by_taxon.items():
        row = 0
        for day in sorted(days, reverse=True):
            if days[day]:
                break
            row += 1
        if row:
            found.append(_refusals(taxon, row, planning))
    return tuple(found)


def _refusals(taxon: str | None, days: int, planning: PlanningDefaults) -> Refusals:
    who = taxon or "the tank"
    if days >= planning.refusal_days:
        return Refusals(
            taxon,
            days,
            escalate=True,
            advice=f"{who} refused food on {days} days: offer live food, tell the lead, ask the veterinarian",
        )
    return Refusals(
        taxon, days, escalate=False, advice=f"{who} refused food on {days} day(s): offer less, and live"
    )
