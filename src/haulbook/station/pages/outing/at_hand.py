"""What every page of an outing needs: the station, its reading, where and when it was; and writing in it, once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from django.http import Http404, HttpRequest
from django.utils.translation import gettext as _

from haulbook.custody.book import Book
from haulbook.custody.closing import OpenThing
from haulbook.custody.entry import Draft, Entry, uuid8
from haulbook.custody.ids import is_id
from haulbook.custody.reading_outing import OutingReading, open_of
from haulbook.exchange.plan_toml import Plan
from haulbook.exchange.station_toml import Site, Station
from haulbook.office.pen import Pen
from haulbook.problems import Refusal
from haulbook.station import clock
from haulbook.station.models import EntryRow
from haulbook.station.store import book, plans, readings, reference
from haulbook.station.store.writing import writing
from haulbook.station.web.route import signed_in
from haulbook.taxa import Pack

MADE = "made"
"""Name of the hidden id that a form was shown with: the entry it writes has it, so that pressing twice writes once."""


@dataclass(frozen=True, slots=True)
class AtHand:
    """An outing that a page is about.

    Attributes
    ----------
    outing : str
    brief : Brief or None
        None while nothing was written in it.
    number : int
        Among the outings of its year that were held.
    day : date or None
    zone : str
    """

    outing: str
    brief: readings.Brief | None
    number: int
    day: date | None
    zone: str
    station: Station
    pack: Pack
    plan: Plan | None
    reading: OutingReading

    @property
    def site(self) -> Site | None:
        """Where it was, or is planned."""
        key = (self.brief.site if self.brief else "") or (self.plan.site if self.plan else "")
        return self.station.sites.get(key)

    @property
    def state(self) -> str:
        """How far it has come, as ``office.signing`` names it."""
        return self.brief.state if self.brief else "planned"

    def things(self) -> tuple[OpenThing, ...]:
        """Return all that stands open, gaps and clocks of its devices too."""
        return open_of(self.reading, readings.chains())

    def instant(self, at: time, on: date | None = None) -> str:
        """Return a local clock time of its day as entries write it."""
        day = on or self.day or clock.now().astimezone(ZoneInfo(self.zone)).date()
        return clock.instant(datetime.combine(day, at, ZoneInfo(self.zone)), self.zone)


def at_hand(outing: str) -> AtHand:
    """Return an outing that was written in or is planned.

    Raises
    ------
    Http404
        Nobody planned or wrote anything of that name.
    """
    reading, briefs = readings.outing(outing), readings.briefs()
    brief = next((one for one in briefs if one.outing == outing), None)
    row = plans.of_outing(outing) if brief is None else None
    if brief is None and row is None:
        raise Http404(_("There is no outing {outing}.").format(outing=outing))
    plan, station = (plans.read(row) if row else None), reference.station()
    day = _day(reading, brief, plan)
    held = [one.outing for one in briefs if day is not None and one.day.startswith(str(day.year))]
    made = AtHand(
        outing=outing,
        brief=brief,
        number=held.index(outing) + 1 if outing in held else 0,
        day=day,
        zone="",
        station=station,
        pack=reference.pack_of_station(),
        plan=plan,
        reading=reading,
    )
    site = made.site
    return replace(made, zone=site.zone if site else reference.settings().zone)


def _day(reading: OutingReading, brief: readings.Brief | None, plan: Plan | None) -> date | None:
    if plan is not None:
        return plan.date
    try:
        return date.fromisoformat(brief.day if brief else "")
    except ValueError:
        told = next((haul.landed or haul.started for haul in reading.account.hauls), None)
        return told.first_day if told else None


def entries_by_id(keys: Iterable[str]) -> dict[str, Entry]:
    """Return the entries of some ids."""
    wanted = sorted(set(keys))[:2_000]
    rows = EntryRow.objects.filter(entry__in=wanted) if wanted else EntryRow.objects.none()
    return {entry.id: entry for entry in book.entries_of(rows)}


def fresh_id() -> str:
    """Return the id that a form is shown with."""
    return book.new_id(clock.now())


def write_once(
    request: HttpRequest, about: AtHand, make: Callable[[Book, Pen], Sequence[Draft]]
) -> tuple[Entry, ...] | None:
    """Write what a form says, unless the same form wrote it before; None then.

    Parameters
    ----------
    request : HttpRequest
        Its form carries the id that it was shown with.
    about : AtHand
    make : callable
        Returns the lines, given the outing's book and a pen; refuses in words.
    """
    shown = request.POST.get(MADE, "")
    if not is_id(shown):
        raise Refusal(_("This form is from another page or too old; load the page again."))
    with writing():
        if EntryRow.objects.filter(entry=shown).exists():
            return None
        pen = Pen(about.outing, signed_in(request).key, clock.instant(clock.now(), about.zone), _ids(shown))
        drafts = make(book.book_of_outing(about.outing), pen)
        return book.write_drafts(drafts)


def _ids(shown: str) -> Callable[[], str]:
    """Return ids: the first is the one shown, those after it follow from it."""
    given: list[str] = []

    def following() -> str:
        given.append(shown if not given else uuid8(f"{shown} {len(given)}".encode()))
        return given[-1]

    return following
