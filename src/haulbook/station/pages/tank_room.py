"""What every page of the holding room needs: the tanks as they stand, and writing in them, once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.http import Http404, HttpRequest
from django.utils.translation import gettext as _

from haulbook.custody.book import Book
from haulbook.custody.entry import Entry, uuid8
from haulbook.custody.ids import is_id
from haulbook.custody.ledger import Holding
from haulbook.custody.reading_tanks import TankReading
from haulbook.exchange.station_toml import Station
from haulbook.office.kept import TankCard, tank_cards
from haulbook.office.kept_lines import on_the_beach
from haulbook.problems import Refusal
from haulbook.station import clock
from haulbook.station.models import EntryRow, Tank
from haulbook.station.people.roles import KEEPING
from haulbook.station.store import book, readings, reference
from haulbook.station.store.writing import writing
from haulbook.station.web.route import person_of, signed_in
from haulbook.taxa import Pack

RECENT = 2_000
"""Of care and of readings so many lines are looked at for what is due today: weeks of a busy room."""
SETTLED_STATES = ("closed", "signed")
"""States of an outing whose buckets and coolers are empty."""


@dataclass(frozen=True, slots=True)
class Room:
    """The holding room as it stands."""

    reading: TankReading
    notes: Book
    cards: tuple[TankCard, ...]
    station: Station
    pack: Pack
    zone: str
    now: datetime

    def card(self, tank: str) -> TankCard:
        """Return one tank's card.

        Raises
        ------
        Http404
            Neither the station nor the book names such a tank.
        """
        card = next((one for one in self.cards if one.key == tank), None)
        if card is None:
            raise Http404(_("There is no tank %(tank)s.") % {"tank": tank})
        return card


def room() -> Room:
    """Return the holding room: a constant number of queries, whatever stands in the book."""
    station, own = reference.station(), reference.settings()
    reading, pack, now = readings.tanks(), reference.pack_of_station(), clock.now()
    notes = Book.of(_notes(reading))
    zone = ZoneInfo(own.zone)
    cards = tank_cards(reading, notes, station, pack, now.astimezone(zone))
    retired = set(Tank.objects.filter(retired=True).values_list("key", flat=True))
    shown = tuple(card for card in cards if card.kinds or card.key not in retired)
    return Room(reading, notes, shown, station, pack, own.zone, now)


def _notes(reading: TankReading) -> Iterable[Entry]:
    rows = book.tank_rows()
    for kind in ("care", "reading", "strike"):
        yield from book.entries_of(rows.filter(kind=kind).order_by("-position")[:RECENT])
    off = [one for one in reading.discrepancies if one.settled is None]
    named = sorted({key for one in off for key in one.entries})[:RECENT]
    if named:
        yield from book.entries_of(EntryRow.objects.filter(entry__in=named))


def beach() -> list[Holding]:
    """Return what stands in buckets and coolers of outings that are not closed yet."""
    open_ones = [one.outing for one in readings.briefs() if one.state not in SETTLED_STATES]
    return on_the_beach(readings.account(open_ones)) if open_ones else []


def may_write(request: HttpRequest) -> bool:
    """Say whether who asks may write about tanks."""
    person = person_of(request)
    return person is not None and person.access in KEEPING


def write_once(
    request: HttpRequest, shown: str, make: Callable[[], Sequence[book.Wanted] | None]
) -> tuple[Entry, ...] | None:
    """Write what a form says; nothing where the same form wrote it before, or has something to mend.

    Parameters
    ----------
    request : HttpRequest
    shown : str
        The id that the form was shown with: its first line has it.
    make : callable
        Returns the lines, read from the book as it is now; None where something is to be mended.

    Returns
    -------
    tuple of Entry or None
        Empty where they were written before.

    Raises
    ------
    Refusal
        A form without its id; lines that can't be.
    """
    if not is_id(shown):
        raise Refusal(_("This form is from another page or too old; load the page again."))
    with writing():
        if EntryRow.objects.filter(entry=shown).exists():
            return ()
        wanted = make()
        return (
            None if wanted is None else book.write(wanted, signed_in(request).key, reference.settings().zone)
        )


def following(shown: str, n: int) -> str:
    """Return the id of the n-th line of a form, counted from 0: the first is the one it was shown with."""
    return shown if n == 0 else uuid8(f"{shown} {n}".encode())
