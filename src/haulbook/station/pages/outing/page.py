"""The page of an outing: hauls and balance on the left, what stands open and was said on the right."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time, timedelta
from typing import Any

from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode

from haulbook.custody.entry import Entry
from haulbook.office.entry_words import plainly, quoted, reading_words, told
from haulbook.office.outing_page import BalanceRow, OutingPage, outing_page, put_together
from haulbook.office.outing_water import tide_day
from haulbook.office.permit_standing import ClauseStanding, permit_standings
from haulbook.office.settle import LEADS, Matter, matters, needed
from haulbook.permit.finding import Finding
from haulbook.permit.model import Period, Permit
from haulbook.publish.words import letter
from haulbook.station import clock
from haulbook.station.models import EntryRow
from haulbook.station.pages.outing.at_hand import AtHand, at_hand, entries_by_id, fresh_id
from haulbook.station.pages.outing.words import (
    column_words,
    headline,
    state_words,
    title_of,
    way_words,
    whereabouts,
)
from haulbook.station.people.roles import TALLY, Role
from haulbook.station.store import book, permits, standings
from haulbook.station.web.route import signed_in

SHORT = (Period.HAUL, Period.OUTING, Period.DAY)
"""Spans of which one outing can tell."""
MOST_CALLS = 3
ONE_PRESS = ("back", "dead-back", "dead-kept", "fewer", "arrived", "confirm", "keep", "not-left")
"""Ways that a button on the page takes at once; the others ask something first."""


@dataclass(frozen=True, slots=True)
class Open:
    """A matter as the page shows it: letter, sentence, what is known of it, buttons (way, words, at once)."""

    letter: str
    matter: Matter
    words: str
    more: str
    buttons: tuple[tuple[Any, str, bool], ...]


def outing(request: HttpRequest, outing: str) -> HttpResponseBase:
    """Show an outing."""
    if (asked := request.GET.get("entry", "")).isdecimal():
        return _to_entry(outing, int(asked))
    about = at_hand(outing)
    if about.brief is None:
        return render(request, "outing/planned.html", _planned(request, about))
    return render(request, "outing/outing.html", context(request, about))


def _to_entry(outing: str, position: int) -> HttpResponseBase:
    key = EntryRow.objects.filter(position=position, outing=outing).values_list("entry", flat=True).first()
    return redirect("outing-entry", outing=outing, key=key) if key else redirect("outing", outing=outing)


def context(request: HttpRequest, about: AtHand) -> dict[str, Any]:
    """Return what the page of an outing shows."""
    person, shown = signed_in(request), outing_page(about.reading.account, about.pack, about.station.nets)
    opened = open_matters(about, may_lead=person.access == Role.LEAD)
    said = _said(about, opened)
    state, weight = state_words(about.state, about.brief.versions if about.brief else 0, blocking(opened))
    return {
        "here": "outings",
        "about": about,
        "title_words": title_of(about),
        "state": state,
        "weight": weight,
        "shown": shown,
        "heads": column_words(),
        "water": tide_day(about.site, about.day, about.reading.account.hauls) if about.site and about.day else None,
        "open": opened,
        "blocking": blocking(opened),
        "letters": letters_of(one for one in opened if not one.matter.kept),
        "kept_letters": letters_of(one for one in opened if one.matter.kept),
        "haul_letters": _haul_letters(shown, len(opened)),
        "behind": _behind(about),
        "may": person.access in TALLY,
        "may_sign": person.access == Role.LEAD,
        "made": fresh_id(),
        "crew": _crew(about),
        **said,
        **_permit_side(about),
    }  # fmt: skip


def open_matters(about: AtHand, *, may_lead: bool) -> tuple[Open, ...]:
    """Return what stands open, lettered, each with its buttons."""
    things = about.things()
    found = matters(about.reading, things, entries_by_id(needed(about.reading, things)))
    return tuple(
        Open(
            letter(i),
            matter,
            headline(matter, about),
            whereabouts(matter, about),
            tuple(
                (way, way_words(way, matter), way.kind in ONE_PRESS and not way.needs)
                for way in matter.ways
                if may_lead or way.kind not in LEADS
            ),
        )
        for i, matter in enumerate(found)
    )


def blocking(opened: Iterable[Open]) -> int:
    """Return how many things stop closing."""
    return sum(one.matter.blocks for one in opened)


def letters_of(opened: Iterable[Open]) -> dict[tuple[str, str | None, str], list[str]]:
    """Return the letters of the matters that a kind of animals is in."""
    found: dict[tuple[str, str | None, str], list[str]] = {}
    for one in opened:
        for kind in dict.fromkeys((row.taxon, row.stage, row.unit) for row in one.matter.held):
            found.setdefault(kind, []).append(one.letter)
    return found


def _haul_letters(shown: OutingPage, taken: int) -> dict[str, str]:
    spoken = [row.haul for row in shown.hauls if row.haul.why or row.haul.remarks]
    return {haul.key: letter(taken + i) for i, haul in enumerate(spoken)}


def _behind(about: AtHand) -> Any:
    """Return what gives the address of the calls behind a number."""
    address = reverse("outing-calls", kwargs={"outing": about.outing})

    def behind(row: BalanceRow | None = None, haul: int | None = None, fate: str = "") -> str:
        asked: dict[str, str] = {"haul": str(haul)} if haul else {}
        if row is not None and row.taxon:
            asked |= {"taxon": row.taxon, "stage": row.stage or "-"}
        if fate:
            asked["fate"] = fate
        return f"{address}?{urlencode(asked)}" if asked else address

    return behind


def _crew(about: AtHand) -> dict[str, Any]:
    nets = [
        about.station.nets[key]
        for key in (about.brief.nets if about.brief else ())
        if key in about.station.nets
    ]
    return {"nets": nets, "site": about.brief.site if about.brief else ""}


def _said(about: AtHand, opened: Sequence[Open]) -> dict[str, Any]:
    """Return what was called and read: the calls that something hangs on, readings, remarks."""
    rows = book.outing_rows(about.outing)
    strikes = list(book.entries_of(rows.filter(kind="strike")))
    struck = {key: strike for strike in strikes for key in strike.body["entries"]}
    beside = [
        e for e in book.entries_of(rows.filter(kind__in=("reading", "remark", "paper"))) if e.id not in struck
    ]
    keys = [
        key
        for strike in strikes[-MOST_CALLS:]
        for key in (*strike.body["entries"], *strike.body.get("instead", ()))
    ]
    keys += [key for one in opened for key in one.matter.entries[:MOST_CALLS]]
    calls = [entry for entry in entries_by_id(keys[: 4 * MOST_CALLS]).values() if entry.kind == "move"]
    moves = rows.filter(kind="move", outing=about.outing)
    if not calls:
        calls = list(book.entries_of(moves.order_by("-position")[:MOST_CALLS]))
    calls.sort(key=lambda entry: (entry.when.sort_key(), entry.device, entry.seq))
    return {
        "calls": [(entry, quoted(entry) or told(entry, about.pack), struck.get(entry.id)) for entry in calls],
        "calls_in_all": moves.count(),
        "readings": [(entry, reading_words(entry)) for entry in _in_time(beside, "reading")],
        "remarks_said": [entry for entry in _in_time(beside, "remark") if "haul" not in entry.body],
        "papers": [(entry, told(entry, about.pack)) for entry in _in_time(beside, "paper")],
    }  # fmt: skip


def _in_time(entries: Iterable[Entry], kind: str) -> list[Entry]:
    return sorted((one for one in entries if one.kind == kind), key=lambda one: one.when.sort_key())


def _permit_side(about: AtHand) -> dict[str, Any]:
    """Return what a permit says of this outing alone: its percentages, and whom to tell by when."""
    known = [_short(permit) for permit in permits.permits()]
    if about.day is None or not known or not about.reading.account.hauls:
        return {"percents": [], "owed": []}
    ended = datetime.combine(about.day, time(23, 59), UTC) + timedelta(days=1)
    found = permit_standings(
        put_together(about.reading.account), known, about.pack, ended, papers=standings.papers()
    )
    lots = {lot.taxon for lot in about.reading.account.animals}
    percents: list[tuple[str, ClauseStanding]] = []
    owed: list[tuple[Finding, str, bool]] = []
    for standing in found:
        percents += [
            (standing.permit, one) for one in standing.clauses if one.kind == "percent" and one.now.d
        ]
        for finding in standing.findings:
            if finding.by is not None:
                words = plainly(finding.message, about.outing, lots, about.pack)
                owed.append((finding, words, finding.by < clock.now()))
    return {"percents": percents, "owed": owed}


def _short(permit: Permit) -> Permit:
    """Return a permit with the clauses that one outing can tell of."""
    told_of = tuple(
        one for one in permit.clauses if one.kind == "prohibit" or (one.counts and one.period in SHORT)
    )
    return replace(permit, clauses=told_of)


def _planned(request: HttpRequest, about: AtHand) -> dict[str, Any]:
    person = signed_in(request)
    return {
        "here": "outings",
        "about": about,
        "title_words": title_of(about),
        "water": tide_day(about.site, about.day) if about.site and about.day else None,
        "may": person.access in TALLY,
        "made": fresh_id(),
    }
