"""The season: what is coming, what is open, what is owed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from haulbook.custody.book import Book
from haulbook.exchange.plan_toml import Plan
from haulbook.exchange.station_toml import Site, Station
from haulbook.office.owed import Owed, owed
from haulbook.office.permit_standing import ClauseStanding, PermitStanding
from haulbook.office.say import said
from haulbook.office.season_water import daylight_lows
from haulbook.permit.model import Clause, Permit
from haulbook.publish.season_strip import DayLow, season_strip
from haulbook.publish.words import letter
from haulbook.station import clock
from haulbook.station.pages.outing.words import state_words
from haulbook.station.people.roles import SIGNED_IN
from haulbook.station.store import book, permits, plans, readings, reference, standings
from haulbook.station.web.route import route
from haulbook.taxa import Pack

MONTHS = (4, 9)
"""April to September are always in the picture; the months of other outings join."""
OF_OUTINGS = ("settle", "close", "sign", "amend")
"""What is owed of an outing that was held."""
SHORT = ("haul", "outing", "day")
"""Periods that begin anew with each outing: nothing of them is left to look after."""
NEAR = ("near", "reached", "exceeded", "over-since-amendment")
MOST_TAXA = 3


@dataclass(frozen=True, slots=True)
class Line:
    """One outing in the table, held or planned. ``number`` counts the outings of the year."""

    number: int
    outing: str
    day: date | None
    site: str
    low: datetime | None
    low_m: float | None
    hauls: int | None
    animals: int | None
    kept: int | None
    dead: int | None
    state: str
    weight: str
    href: str


@dataclass(frozen=True, slots=True)
class Due:
    """One thing that is owed: its letter, what it is about, where it is done and what that is called."""

    one: Owed
    letter: str
    about: str
    href: str
    button: str


@dataclass(frozen=True, slots=True)
class Left:
    """What a clause leaves to keep: ``left`` of ``limit``, ``n`` kept so far."""

    words: str
    href: str
    left: int
    n: int
    limit: int
    near: bool


def season(request: HttpRequest) -> HttpResponse:
    """Show one year."""
    now = clock.now()
    own = reference.settings()
    station = reference.station()
    held = readings.briefs()
    planned = [plans.read(row) for row in plans.newest()]
    known = permits.permits()
    standing, behind = standings.standings(now, known)
    due = owed(
        now.astimezone(ZoneInfo(own.zone)),
        outings=held,
        plans=planned,
        permits=known,
        standings=standing,
        papers=standings.papers(),
        tanks=tuple(station.tanks),
        tank_book=Book.of(book.entries_of(book.tank_rows())),
    )
    years = sorted({one.day[:4] for one in held if one.day} | {str(plan.date.year) for plan in planned})
    year = _year(request, years, now.astimezone(ZoneInfo(own.zone)).year)
    lines = _lines(year, held, planned, station)
    listed = _due([one for one in due if one.kind != "limit"], lines)
    return render(
        request,
        "season/season.html",
        {
            "here": "season",
            "year": year,
            "years": years,
            "lines": lines,
            "letters": {each.one.subject: each.letter for each in listed},
            "strip": _strip(year, lines, station),
            "one_site": len({line.site for line in lines if line.site}) < 2,
            "zone": own.zone,
            "owed": listed,
            "standings": [
                (one, _left(one, known, reference.pack_of_station())) for one in standing if one.in_force
            ],
            "behind": behind,
            "totals": [
                sum(getattr(line, name) or 0 for line in lines)
                for name in ("hauls", "animals", "kept", "dead")
            ],
            "held": sum(line.hauls is not None for line in lines),
        },
    )


def _year(request: HttpRequest, years: list[str], this: int) -> int:
    asked = request.GET.get("year", "")
    if asked.isdecimal() and len(asked) == 4 and int(asked):
        return int(asked)
    return this if str(this) in years or not years else int(years[-1])


def _lines(year: int, held: tuple[readings.Brief, ...], planned: list[Plan], station: Station) -> list[Line]:
    known = {one.outing for one in held}
    coming = [plan for plan in planned if plan.outing not in known and plan.date.year == year]
    every = sorted(
        [(one.day, one.outing, one) for one in held if one.day.startswith(f"{year:04}")]
        + [(plan.date.isoformat(), plan.outing, plan) for plan in coming],
        key=lambda each: each[:2],
    )
    return [_line(i, day, one, station) for i, (day, _key, one) in enumerate(every, 1)]


def _line(number: int, day: str, one: readings.Brief | Plan, station: Station) -> Line:
    on = date.fromisoformat(day) if len(day) == 10 else None
    low = _low(station.sites.get(one.site), on)
    href = reverse("outing", kwargs={"outing": one.outing})
    if isinstance(one, Plan):
        return Line(number, one.outing, on, one.site, *low, None, None, None, None, _("planned"), "", href)
    words, weight = state_words(one.state, one.versions, one.blocking)
    counts = (one.hauls, one.animals, one.kept, one.dead)
    near = weight if weight == "near" else ""
    return Line(number, one.outing, on, one.site, *low, *counts, words, near, href)


def _low(site: Site | None, on: date | None) -> tuple[datetime | None, float | None]:
    if site is None or on is None:
        return None, None
    low = daylight_lows(site, date(on.year, 1, 1), date(on.year, 12, 31)).get(on)
    return (low.time.astimezone(ZoneInfo(site.zone)), low.height_m) if low else (None, None)


def _strip(year: int, lines: list[Line], station: Station) -> object:
    """Draw the year's lows at the site that most outings went to."""
    sites = [line.site for line in lines if line.site in station.sites] or list(station.sites)[:1]
    if not sites:
        return None
    site = station.sites[max(sorted(set(sites)), key=sites.count)]
    lows = daylight_lows(site, date(year, 1, 1), date(year, 12, 31))
    months = [line.day.month for line in lines if line.day]
    first, last = min([*months, MONTHS[0]]), max([*months, MONTHS[1]])
    shown = [DayLow(day, low.height_m) for day, low in lows.items() if first <= day.month <= last]
    if not shown:
        return None
    words = _(
        "Lowest water by daylight of each day, in metres above mean lower low water; outings are ringed."
    )
    return season_strip(shown, [(line.day, str(line.number)) for line in lines if line.day], words)


def _due(due: Sequence[Owed], lines: Iterable[Line]) -> list[Due]:
    """Letter what is owed, and call outings by their number where they stand in the table."""
    numbered = {line.outing: line for line in lines}
    return [
        Due(one, letter(i), _about(one, numbered.get(one.subject)), _way(one), _button(one))
        for i, one in enumerate(due)
    ]


def _about(one: Owed, line: Line | None) -> str:
    if line is not None:
        return _("Outing %(n)s:") % {"n": line.number}
    if one.kind in OF_OUTINGS or _of_outing(one):
        return _("Outing %(outing)s:") % {"outing": one.subject}
    if one.kind == "check":
        return f"{one.subject[:1].upper()}{one.subject[1:]}:"
    return _("Permit %(no)s:") % {"no": one.subject}


def _of_outing(one: Owed) -> bool:
    """Say whether a notice is owed for a planned outing, whose key starts with its day."""
    return one.kind == "notice" and one.subject[:4].isdigit() and one.subject.count("-") == 3


def _way(one: Owed) -> str:
    """Return where something owed is done."""
    if one.kind == "settle":
        return reverse("settle", kwargs={"outing": one.subject})
    if one.kind == "sign":
        return reverse("sign-outing", kwargs={"outing": one.subject})
    if one.kind == "amend":
        return reverse("outing-differences", kwargs={"outing": one.subject})
    if one.kind == "close":
        return reverse("outing", kwargs={"outing": one.subject})
    if one.kind == "check":
        return reverse("tank", kwargs={"tank": one.subject.removeprefix("tank ")})
    if _of_outing(one):
        return reverse("plan-outing", kwargs={"outing": one.subject})
    return reverse("permit", kwargs={"no": one.subject})


def _button(one: Owed) -> str:
    return {
        "settle": _("Settle"), "close": _("Close"), "sign": _("Read and sign"), "amend": _("Look at the difference"),
        "check": _("To the tank"), "notice": _("Give notice"), "report": _("To the report"),
    }.get(one.kind, _("To the permit"))  # fmt: skip


def _left(standing: PermitStanding, known: Iterable[Permit], pack: Pack) -> list[Left]:
    """Return what a permit leaves to keep, clause by clause."""
    clauses = {
        (clause.id, clause.version): clause
        for permit in known
        if permit.no == standing.permit
        for clause in permit.clauses
    }
    return [
        _left_of(one, clauses[one.clause, one.version], standing.permit, pack)
        for one in standing.clauses
        if one.limit and one.basis == "retained" and one.period not in SHORT
    ]


def _left_of(one: ClauseStanding, clause: Clause, permit: str, pack: Pack) -> Left:
    left = one.now.left if one.now.left is not None else one.limit or 0
    return Left(
        f"{_animals(clause, pack)} ({one.clause})",
        f"{reverse('permit', kwargs={'no': permit})}#clause-{one.clause}",
        left,
        one.now.n,
        one.limit or 0,
        one.now.status in NEAR or left == 0,
    )


def _animals(clause: Clause, pack: Pack) -> str:
    """Return what a clause is about, in the names people use."""
    scope = clause.scope
    if scope.list_name:
        return scope.list_name.replace("-", " ")
    names = [said(taxon, pack) for taxon in scope.taxa]
    if not names:
        return _("all animals")
    return ", ".join(names[:MOST_TAXA]) + (_(" and more") if len(names) > MOST_TAXA else "")


ROUTES = [route("season/", season, "season", get=SIGNED_IN)]
