"""Where every permit stands, kept until an entry, a permit or the station changes it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Max

from haulbook.custody.book import Book
from haulbook.custody.canonical import sha256_of
from haulbook.custody.facts import Paper
from haulbook.custody.papers import papers as papers_in
from haulbook.office.permit_standing import PermitStanding, permit_standings
from haulbook.office.report_to_agency import grounds_of
from haulbook.permit.conditions import Sun
from haulbook.permit.detail import Corner
from haulbook.permit.grounds import Grounds
from haulbook.permit.model import Permit
from haulbook.problems import Refusal
from haulbook.station.models import Change, Confirmation, EntryRow
from haulbook.station.store import book, permits, plans, readings, reference
from haulbook.tide import daylight


def papers() -> tuple[Paper, ...]:
    """Return every act of the correspondence with agencies."""
    rows = EntryRow.objects.filter(kind__in=("paper", "strike")).order_by("position")
    return papers_in(Book.of(book.entries_of(rows)))


def standings(now: datetime, of: Sequence[Permit] | None = None) -> tuple[tuple[PermitStanding, ...], int]:
    """Return where every permit stands today, and how many entries came in since that was reckoned.

    Standings are those of the local day, so that they are reckoned once a day and not at every look.
    """
    day = now.astimezone(ZoneInfo(reference.settings().zone)).date()

    def make() -> list[dict[str, Any]]:
        known = of if of is not None else permits.permits()
        grounds, sun = ground()
        made = permit_standings(
            readings.account(),
            known,
            reference.pack_of_station(),
            now,
            papers=papers(),
            grounds=grounds,
            sun=sun,
        )
        return [one.as_json() for one in made]

    found = readings.derived("standings", marks(), make, on=str(day))
    return tuple(PermitStanding.from_json(one) for one in found.value), found.behind


def marks() -> str:
    """Return a short text that changes with the permits, who confirmed what, and what stays at the station."""
    said = [f"{row.no}:{row.number}" for row in permits.newest_files()]
    confirmed = Confirmation.objects.order_by("pk").values_list("no", "clause", "digest", "by")
    said += [f"{no}/{clause}/{digest[:8]}/{by}" for no, clause, digest, by in confirmed]
    newest = Change.objects.filter(what__in=("site", "net", "settings")).aggregate(n=Max("pk"))["n"]
    return sha256_of(" ".join([*said, str(newest)]))[:16]


def ground() -> tuple[Grounds, Sun]:
    """Return what judging a haul asks of the station: its sites, nets and people, and the sun over a position."""
    zone = ZoneInfo(reference.settings().zone)

    def sun(day: date, position: Corner | None) -> tuple[datetime, datetime] | None:
        try:
            light = daylight(*position, day, zone) if position else None
        except Refusal:  # a year that the sun is not computed for: the hours are then for a person to check
            return None
        return (light.sunrise, light.sunset) if light and light.sunrise and light.sunset else None

    present = {row.outing: row.body.get("people_present") for row in plans.newest()}
    people = {outing: n for outing, n in present.items() if isinstance(n, int)}
    return replace(grounds_of(reference.station()), people_present=people), sun
