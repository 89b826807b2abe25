"""Settling: what stands open, one thing at a time, and every way out of it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _

from haulbook.custody.book import Book, in_time
from haulbook.custody.entry import Draft
from haulbook.custody.reading_outing import read_outing
from haulbook.office.entry_words import quoted, told
from haulbook.office.pen import Pen
from haulbook.office.settle import LEADS, Matter, matters
from haulbook.office.settled_by import settled_by
from haulbook.problems import Refusal
from haulbook.station.pages.outing.at_hand import AtHand, at_hand, entries_by_id, fresh_id, write_once
from haulbook.station.pages.outing.forms import Settle
from haulbook.station.pages.outing.page import Open, blocking, open_matters
from haulbook.station.pages.outing.words import title_of, way_words
from haulbook.station.people.roles import LEAD, TALLY, Role
from haulbook.station.web.answers import NotYours
from haulbook.station.web.route import signed_in

MOST_LINES = 12
"""Lines that are shown behind a matter; all of them stand in the list of lines."""


def settle(request: HttpRequest, outing: str) -> HttpResponseBase:
    """Show what stands open, or settle one thing."""
    about = at_hand(outing)
    person = signed_in(request)
    opened = open_matters(about, may_lead=person.access == Role.LEAD)
    if request.method == "POST":
        return _settle(request, about, opened)
    wanted = request.GET.get("key", "")
    one = next((each for each in opened if each.matter.key == wanted), opened[0] if opened else None)
    way = request.GET.get("way", "")
    return _page(request, about, opened, one, way, Settle(about, one.matter if one else None))


def _settle(request: HttpRequest, about: AtHand, opened: tuple[Open, ...]) -> HttpResponseBase:
    key, pressed = request.POST.get("key", ""), request.POST.get("way", "")
    one = next((each for each in opened if each.matter.key == key), None)
    way = one.matter.way(pressed) if one else None
    if one is None or way is None:
        return _gone(request, about)
    if way.kind in LEADS and signed_in(request).access != Role.LEAD:
        raise NotYours(LEAD)
    if way.kind == "name":
        return redirect(_name_address(about, one.matter))
    if way.kind == "sign":
        return redirect("outing-differences", outing=about.outing)
    form = Settle(about, one.matter, request.POST)
    if not form.is_valid():
        return _page(request, about, opened, one, pressed, form, 400)

    def make(own: Book, pen: Pen) -> tuple[Draft, ...]:
        now = _now(own, about, one.matter)
        return settled_by(own, now, way, form.told(), pen)

    try:
        written = write_once(request, about, make)
    except Refusal as refusal:
        form.refused(refusal.problems)
        return _page(request, about, opened, one, pressed, form, 400)
    if written is None:
        messages.info(request, _("That was settled already; nothing more was written."))
    else:
        messages.success(request, _("Settled: %(way)s.") % {"way": way_words(way, one.matter)})
    return redirect("outing", outing=about.outing)


def _now(own: Book, about: AtHand, matter: Matter) -> Matter:
    """Return the matter as it stands at the moment of writing; somebody may have settled a part of it."""
    if matter.kind not in ("animals", "below-zero", "count-differs"):
        return matter
    reading = read_outing(own.entries, about.outing, about.pack.is_within)
    by_id = {entry.id: entry for entry in own.entries}
    found = next((one for one in matters(reading, reading.open, by_id) if one.key == matter.key), None)
    if found is None:
        raise Refusal(_("This was settled meanwhile; nothing more was written."))
    return found


def _gone(request: HttpRequest, about: AtHand) -> HttpResponse:
    messages.info(request, _("That does not stand open any more; nothing was written."))
    return redirect("outing", outing=about.outing)


def _name_address(about: AtHand, matter: Matter) -> str:
    name = matter.key.partition(":")[2].partition(" ")[2]
    address = reverse("outing-add-one", kwargs={"outing": about.outing, "what": "name"})
    return f"{address}?{urlencode({'taxon': name})}"


def _behind(about: AtHand, matter: Matter) -> list[tuple[str, str]]:
    """Return the lines behind a matter, the first of them, as they were called."""
    found = entries_by_id(matter.entries[:MOST_LINES]).values()
    return [
        (one.id, f"{one.at[11:16] or one.at} {quoted(one) or told(one, about.pack)}")
        for one in sorted(found, key=in_time)
    ]


def _page(
    request: HttpRequest,
    about: AtHand,
    opened: tuple[Open, ...],
    one: Open | None,
    way: str,
    form: Settle,
    status: int = 200,
) -> HttpResponse:
    words: dict[str, Any] = {
        "here": "outings",
        "about": about,
        "title_words": title_of(about),
        "open": opened,
        "blocking": blocking(opened),
        "one": one,
        "chosen": way,
        "form": form,
        "behind": _behind(about, one.matter) if one else [],
        "may": signed_in(request).access in TALLY,
        "made": request.POST.get("made") or fresh_id(),
    }
    return render(request, "outing/settle.html", words, status=status)
