"""One line of the book: what it says, who wrote it when, and mending it by further lines."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, Entry
from haulbook.office import mend
from haulbook.office.entry_words import (
    haul_words,
    kind_words,
    place_words,
    plainly,
    quoted,
    shown_words,
    told,
)
from haulbook.office.pen import Pen
from haulbook.problems import Problem, Refusal
from haulbook.station.pages.outing.at_hand import AtHand, at_hand, fresh_id, write_once
from haulbook.station.pages.outing.forms import Reason
from haulbook.station.pages.outing.words import title_of
from haulbook.station.people.roles import LEAD, TALLY
from haulbook.station.store import book, pictures
from haulbook.station.web.answers import NotYours
from haulbook.station.web.route import signed_in

NOT_STRUCK = ("strike",)
THE_LEADS = ("outing-signed",)
"""Kinds that only the lead strikes."""


def entry(request: HttpRequest, outing: str, key: str) -> HttpResponseBase:
    """Show a line, strike it, or put other numbers in its place."""
    about = at_hand(outing)
    own = book.book_of_outing(outing)
    found = own.by_id().get(key)
    if not found:
        raise Http404(_("There is no such line in this outing."))
    one = found[0]
    if request.method == "POST":
        return _mend(request, about, own, one)
    return _page(request, about, own, one, Reason(about, _lines(one, about)))


def _lines(one: Entry, about: AtHand) -> list[tuple[str, int]]:
    if one.kind != "move":
        return []
    made = []
    for line in one.body["lines"]:
        name = kind_words(line["taxon"], line.get("stage"), about.pack)
        where = f"{haul_words(line['haul'], about.outing)}, {name}, {place_words(line['to'])}"
        made.append((where, line["n"]))
    return made


def _mend(request: HttpRequest, about: AtHand, own: Book, one: Entry) -> HttpResponseBase:
    if one.kind in THE_LEADS and signed_in(request).access not in LEAD:
        raise NotYours(LEAD)
    form = Reason(about, _lines(one, about), request.POST)
    if not form.is_valid():
        return _page(request, about, own, one, form, 400)
    reason, press = form.cleaned_data["reason"], request.POST.get("press", "")

    def make(now: Book, pen: Pen) -> tuple[Draft, ...]:
        if press == "make-it":
            return mend.make_it(now, one.id, form.numbers(), reason, pen)
        return mend.strike(now, [one.id], reason, pen)

    try:
        written = write_once(request, about, make)
    except Refusal as refusal:
        taxa = {line["taxon"] for each in own.entries if each.kind == "move" for line in each.body["lines"]}
        form.refused(
            Problem(problem.kind, plainly(problem.message, about.outing, taxa, about.pack))
            for problem in refusal.problems
        )
        return _page(request, about, own, one, form, 400)
    if written is None:
        messages.info(request, _("That was written already; nothing more was written."))
    else:
        messages.success(request, _("Mended; the line stays readable with its reason."))
    return redirect("outing", outing=about.outing)


def _page(
    request: HttpRequest, about: AtHand, own: Book, one: Entry, form: Reason, status: int = 200
) -> HttpResponse:
    by_id = own.by_id()
    strike = next((e for e in own.entries if e.kind == "strike" and one.id in e.body["entries"]), None)
    named = one.body["entries"] if one.kind == "strike" else ()
    words: dict[str, Any] = {
        "here": "outings",
        "about": about,
        "title_words": title_of(about),
        "entry": one,
        "said": quoted(one),
        "told": told(one, about.pack),
        "strike": strike,
        "photos": [
            (photo, shown_words(photo.of, about.outing, about.pack)) for photo in pictures.photos(own, one)
        ],
        "instead": [_short(by_id, key, about) for key in (strike.body.get("instead", ()) if strike else ())],
        "named": [_short(by_id, key, about) for key in (*named, *one.body.get("instead", ()))],
        "form": form,
        "may": signed_in(request).access in TALLY and strike is None and one.kind not in NOT_STRUCK,
        "made": request.POST.get("made") or fresh_id(),
    }
    return render(request, "outing/entry.html", words, status=status)


def _short(by_id: dict[str, tuple[Entry, ...]], key: str, about: AtHand) -> tuple[str, str]:
    found = by_id.get(key)
    return key, (quoted(found[0]) or told(found[0], about.pack)) if found else _(
        "a line that is not here yet"
    )
