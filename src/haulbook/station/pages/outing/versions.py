"""Signed versions of an outing side by side: what became other, and because of what."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import render
from django.utils.translation import gettext as _

from haulbook.custody.fates import Fate
from haulbook.office.difference import Change, difference
from haulbook.office.entry_words import haul_words, kind_words
from haulbook.office.say import said
from haulbook.office.signing import Signed, versions
from haulbook.publish.words import FATE_WORDS
from haulbook.station.pages.outing.at_hand import AtHand, at_hand
from haulbook.station.pages.outing.words import title_of
from haulbook.station.people.roles import Role
from haulbook.station.store import book
from haulbook.station.web.route import signed_in

NOW = "now"


def differences(request: HttpRequest, outing: str) -> HttpResponseBase:
    """Show what became other between two versions, or since the last one."""
    about = at_hand(outing)
    own = book.book_of_outing(outing)
    known = versions(own, outing)
    a, b = _chosen(request, known, about)
    changes = difference(own, outing, a, b, lambda taxon: said(taxon, about.pack)) if a else ()
    return render(
        request,
        "outing/differences.html",
        {
            "here": "outings",
            "about": about,
            "title_words": title_of(about),
            "versions": known,
            "a": a,
            "b": b,
            "rows": [row for change in changes for row in _rows(change, about)],
            "may": signed_in(request).access == Role.LEAD and about.state == "changed since signing",
        },
    )


def _chosen(
    request: HttpRequest, known: tuple[Signed, ...], about: AtHand
) -> tuple[Signed | None, Signed | None]:
    """Return the versions asked for; else the last one and what stands now, or the last two where nothing changed."""
    by_number = {str(one.number): one for one in known}
    if not known:
        return None, None
    a, b = by_number.get(request.GET.get("a", "")), request.GET.get("b", "")
    if a is not None and (b == NOW or b in by_number):
        return a, by_number.get(b)
    if about.state == "signed" and len(known) > 1:
        return known[-2], known[-1]
    return known[-1], None


def _rows(change: Change, about: AtHand) -> list[dict[str, Any]]:
    """Return one row a number or fact that became other; the reasons stand in the first."""
    haul = haul_words(change.haul, about.outing)
    what = kind_words(change.taxon, change.stage, about.pack, change.unit) if change.taxon else _("the haul")
    numbers = [(FATE_WORDS[w] if isinstance(w, Fate) else w, was, now) for w, was, now in change.numbers]
    parts: list[tuple[str, Any, Any]] = [*numbers, *change.facts]
    return [
        {
            "haul": haul,
            "what": what,
            "fate": words,
            "was": was,
            "now": now,
            "because": change.because if i == 0 else (),
            "entries": change.entries if i == 0 else (),
        }
        for i, (words, was, now) in enumerate(parts)
    ]
