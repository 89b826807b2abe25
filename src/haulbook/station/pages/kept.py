"""Kept: every tank with what it holds and waits for, cards to hang by them, one lot's story, what kills."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import astuple
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from haulbook.care.cautions import NO_RELEASE, PERMIT, VETERINARIAN, caution_of
from haulbook.care.demand import demand_of
from haulbook.care.tank.quarantine import PRACTICE
from haulbook.care.what_kills import Kept, by_taxon, kept_table
from haulbook.custody.entry import Entry
from haulbook.custody.facts import Account, Animals
from haulbook.office.entry_words import told
from haulbook.office.kept import TankCard, held_under, may_go_back
from haulbook.office.kept_company import food_of
from haulbook.office.kept_story import parts_of, story
from haulbook.office.kept_words import diary_words, tanks_of
from haulbook.office.say import said
from haulbook.station import clock
from haulbook.station.pages.acclimate import acclimate
from haulbook.station.pages.tank_room import RECENT, may_write, room
from haulbook.station.people.roles import SIGNED_IN
from haulbook.station.store import book, permits, readings, reference
from haulbook.station.web.route import route
from haulbook.taxa import Pack

DEMAND_AT_C = 15.0
"""Temperature at which loads of buckets are compared: a summer's beach; the order of kinds hangs little on it."""


def kept(request: HttpRequest) -> HttpResponse:
    """Show every tank."""
    now = room()
    known = permits.permits()
    back, clause = may_go_back(known, now.now)
    words = {
        "here": "kept",
        "cards": now.cards,
        "under": held_under(known, now.now),
        "n": sum(card.n for card in now.cards),
        "died": sum(card.died for card in now.cards),
        "names": _names(now.cards),
        "back": back,
        "clause": clause,
        "cautions": (NO_RELEASE, PERMIT, VETERINARIAN),
        "may": may_write(request),
    }
    return render(request, "kept/kept.html", words)


def _names(cards: Iterable[TankCard]) -> dict[str, str]:
    return {kind.taxon: kind.name for card in cards for kind in card.kinds}


def cards(request: HttpRequest) -> HttpResponse:
    """Show a card for each tank, to print and hang there."""
    now = room()
    back, _clause = may_go_back(permits.permits(), now.now)
    wanted = request.GET.get("tank")
    shown = [card for card in now.cards if wanted in (None, card.key)]
    if wanted and not shown:
        raise Http404(_("There is no tank %(tank)s.") % {"tank": wanted})
    made = [
        (
            card,
            [(kind, _mind(kind.taxon, now.pack), food_of(kind.taxon, now.pack)) for kind in card.kinds],
        )
        for card in shown
    ]
    words = {"here": "kept", "cards": made, "back": back, "practice": PRACTICE, "now": now.now}
    return render(request, "kept/cards.html", words)


def _mind(taxon: str, pack: Pack) -> str:
    """Return hazards and handling of a taxon in sentences."""
    row = pack.taxa.get(taxon)
    caution = caution_of(row, pack.lineage(taxon), pack.taxa) if row else None
    said_of = (caution.hazards, caution.handling) if caution else ()
    return " ".join(f"{words[:1].upper()}{words[1:].rstrip('.')}." for words in said_of if words)


def lot_story(request: HttpRequest) -> HttpResponse:
    """Show one lot from the haul that brought it to what became of it."""
    haul, taxon = request.GET.get("haul", ""), request.GET.get("taxon", "")
    pack, outing = reference.pack_of_station(), haul.rpartition("/")[0]
    found = story(_entries(outing, haul), haul, taxon) if haul and taxon else ()
    if not found:
        raise Http404(_("No animals of that name came out of that haul."))
    account = readings.outing(outing).account if outing else Account((), ())
    words = {
        "here": "kept",
        "name": said(taxon, pack),
        "taxon": taxon,
        "haul": haul,
        "outing": outing,
        "parts": parts_of(account, haul, taxon),
        "held": [one for one in readings.tanks().holdings if (one.haul, one.taxon) == (haul, taxon)],
        "lines": [(entry, _told(entry, pack), struck) for entry, struck in found],
    }
    return render(request, "kept/story.html", words)


def _entries(outing: str, haul: str) -> Iterable[Entry]:
    """Return what a lot's story is told from: its outing, and what was written in tanks."""
    if outing:
        yield from book.entries_of(book.outing_rows(outing))
    else:
        yield from book.entries_of(book.tank_rows().filter(line__contains=haul))
    notes = book.tank_rows().filter(kind__in=("care", "reading", "remark", "counted-again", "strike"))
    yield from book.entries_of(notes.order_by("-position")[:RECENT])


def _told(entry: Entry, pack: Pack) -> str:
    tanks = tanks_of(entry)
    if tanks and entry.kind in ("care", "reading", "remark", "counted-again"):
        return f"{tanks[0]}: {diary_words(entry, tanks[0], pack)}"
    return told(entry, pack)


def what_kills(request: HttpRequest) -> HttpResponse:
    """Show what kept animals went through beside how long they lived; it proves no cause."""
    pack, now = reference.pack_of_station(), clock.now()

    def demand(taxon: str, length_mm: float | None) -> float:
        return demand_of(pack.taxa.get(taxon), DEMAND_AT_C, length_mm=length_mm).mg_h

    def make() -> list[list[Any]]:
        rows: list[Kept] = []
        for outing in readings.outings():
            account = readings.outing(outing).account
            if any(_may_be_kept(lot) for lot in account.animals):
                rows += kept_table(account, book.book_of_outing(outing), now, demand)
        return [list(astuple(one)) for one in by_taxon(rows)]

    found = readings.derived("what-kills", f"{now:%Y-%m-%d}:{pack.key}:{pack.version}", make)
    rows = [(said(row[0], pack), *row) for row in found.value]
    return render(request, "kept/what_kills.html", {"here": "kept", "rows": rows, "behind": found.behind})


def _may_be_kept(lot: Animals) -> bool:
    """Say whether a lot can stand in the table: kept, or dead or lost on the beach."""
    return bool(lot.later) or not lot.fate.value.startswith(("released", "seen"))


ROUTES = [
    route("kept/", kept, "kept", get=SIGNED_IN),
    route("kept/cards/", cards, "tank-cards", get=SIGNED_IN),
    route("kept/story/", lot_story, "lot-story", get=SIGNED_IN),
    route("kept/way-home/", acclimate, "acclimate", get=SIGNED_IN),
    route("kept/what-kills/", what_kills, "what-kills", get=SIGNED_IN),
]
