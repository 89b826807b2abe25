"""The lines of an outing in order, or those behind one number of its page."""

from __future__ import annotations

from dataclasses import dataclass

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import render
from django.utils.http import urlencode
from django.utils.translation import gettext as _

from haulbook.custody.book import Book, in_time
from haulbook.custody.entry import Entry
from haulbook.custody.facts import Animals
from haulbook.office.entry_words import kind_words, quoted, told
from haulbook.office.outing_page import COLUMNS, OPEN, lots_behind
from haulbook.station.pages.outing.at_hand import AtHand, at_hand
from haulbook.station.pages.outing.words import column_words, title_of
from haulbook.station.store import book

A_PAGE = 50
KINDS = ("move", "lengths", "haul", "place", "reading", "strike", "other")
OF_KIND = {
    "haul-started": "haul", "haul-landed": "haul", "haul-ended": "haul", "move": "move", "redetermination": "move",
    "lengths": "lengths", "place": "place", "counted-again": "place", "reading": "reading", "strike": "strike",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Asked:
    """What the list is narrowed to; empty where it is not."""

    haul: str
    taxon: str
    stage: str
    fate: str
    kind: str

    @property
    def about_animals(self) -> bool:
        """Whether a number of the page is asked for."""
        return bool(self.haul or self.taxon or self.fate)

    def query(self, **more: object) -> str:
        """Return it as the end of an address."""
        said = {name: getattr(self, name) for name in ("haul", "taxon", "stage", "fate", "kind")}
        return "?" + urlencode({name: value for name, value in (said | more).items() if value})


@dataclass(frozen=True, slots=True)
class Shown:
    """One line: the call in its own words, what was understood, and the strike that names it."""

    entry: Entry
    said: str
    told: str
    strike: Entry | None
    late: bool


def calls(request: HttpRequest, outing: str) -> HttpResponseBase:
    """Show lines of an outing."""
    about = at_hand(outing)
    own = book.book_of_outing(outing)
    asked = _asked(request)
    wanted = _wanted(own, about, asked)
    pages = Paginator(wanted, A_PAGE)
    page = pages.get_page(request.GET.get("page"))
    return render(
        request,
        "outing/calls.html",
        {
            "here": "outings",
            "about": about,
            "title_words": title_of(about),
            "asked": asked,
            "narrowed": _narrowed(asked, about),
            "animals": sum(lot.n for lot in _lots(asked, about)) if asked.about_animals else None,
            "lines": _shown(list(page.object_list), own, about),
            "page": page,
            "previous": asked.query(page=page.previous_page_number()) if page.has_previous() else "",
            "next": asked.query(page=page.next_page_number()) if page.has_next() else "",
            "hauls": [haul.key.rpartition("/")[2] for haul in about.reading.account.hauls],
            "taxa": sorted(
                {
                    (lot.taxon, kind_words(lot.taxon, None, about.pack))
                    for lot in about.reading.account.animals
                },
                key=lambda pair: pair[1],
            ),
            "fates": [(name, words) for name, words in column_words().items()],
            "kinds": _kind_words(),
        },
    )


def _kind_words() -> dict[str, str]:
    return {
        "move": _("calls"), "lengths": _("lengths"), "haul": _("hauls"), "place": _("places"),
        "reading": _("readings"), "strike": _("strikes"), "other": _("the rest"),
    }  # fmt: skip


def _asked(request: HttpRequest) -> Asked:
    said = request.GET
    haul, fate, kind = said.get("haul", ""), said.get("fate", ""), said.get("kind", "")
    return Asked(
        haul if haul.isdecimal() else "",
        said.get("taxon", ""),
        said.get("stage", ""),
        fate if fate in COLUMNS or fate == OPEN else "",
        kind if kind in KINDS else "",
    )


def _lots(asked: Asked, about: AtHand) -> tuple[Animals, ...]:
    return lots_behind(
        about.reading.account,
        f"{about.outing}/{asked.haul}" if asked.haul else None,
        asked.taxon or None,
        asked.stage or None,
        asked.fate or None,
    )


def _wanted(own: Book, about: AtHand, asked: Asked) -> list[Entry]:
    """Return the lines asked for, oldest first. A struck line stands where it stood, its strike beside it."""
    entries = sorted((one for one in own.entries), key=in_time)
    if asked.kind:
        entries = [one for one in entries if OF_KIND.get(one.kind, "other") == asked.kind]
    if not asked.about_animals:
        return entries
    behind = {key for lot in _lots(asked, about) for key in lot.entries}
    struck = own.struck()
    return [
        one
        for one in entries
        if one.id in behind or (one.id in struck and not asked.fate and _speaks(one, asked, about))
    ]


def _speaks(one: Entry, asked: Asked, about: AtHand) -> bool:
    haul = f"{about.outing}/{asked.haul}" if asked.haul else None
    return one.kind == "move" and any(
        haul in (None, line["haul"])
        and asked.taxon in ("", line["taxon"])
        and asked.stage in ("", line.get("stage") or "-")
        for line in one.body["lines"]
    )


def _shown(entries: list[Entry], own: Book, about: AtHand) -> list[Shown]:
    strikes = {key: one for one in own.entries if one.kind == "strike" for key in one.body["entries"]}
    day = about.day.isoformat() if about.day else ""
    return [
        Shown(one, quoted(one), told(one, about.pack), strikes.get(one.id), _is_late(one, day))
        for one in entries
    ]


def _is_late(one: Entry, day: str) -> bool:
    """Say whether a line was written on a later day than it speaks of."""
    return bool(day) and one.at[:10] == day and one.made_at[:10] > day


def _narrowed(asked: Asked, about: AtHand) -> str:
    parts = []
    if asked.haul:
        parts.append(_("haul %(n)s") % {"n": asked.haul})
    if asked.taxon:
        stage = asked.stage if asked.stage not in ("", "-") else None
        parts.append(kind_words(asked.taxon, stage, about.pack))
    if asked.fate:
        parts.append(column_words()[asked.fate])
    if asked.kind:
        parts.append(_kind_words()[asked.kind])
    return ", ".join(parts)
