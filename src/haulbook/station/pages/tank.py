"""One tank: what it holds, what is written about it, what is off in it, its diary and each line of that."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.custody.canonical import canonical
from haulbook.custody.entry import Entry
from haulbook.office.kept import TankCard, may_go_back, unsettled_places
from haulbook.office.kept_company import food_of
from haulbook.office.kept_settle import Off, offs_of, settled_by
from haulbook.office.kept_water import NO_SPECIES
from haulbook.office.kept_words import diary_words
from haulbook.problems import Problem, Refusal
from haulbook.station.pages.outing.forms import NUMBER, WHY
from haulbook.station.pages.tank_care import FORMS
from haulbook.station.pages.tank_form import About, TankForm
from haulbook.station.pages.tank_line import line
from haulbook.station.pages.tank_room import Room, beach, following, may_write, room, write_once
from haulbook.station.people.roles import KEEPING, SIGNED_IN
from haulbook.station.store import book, permits
from haulbook.station.web.route import route

A_PAGE = 40
HAULS_SHOWN = 30
"""Hauls of a kind that the tank's page names before somebody asks for all; the latest."""
TOLD = ("move", "redetermination", "care", "reading", "counted-again", "remark", "place")
"""Kinds of which a diary is made."""
NEEDS_LOT = ("leave", "recount", "rename")
FORM_WORDS = {
    "care": later("Looked at, fed, treated"),
    "leave": later("Move, died, given"),
    "carry": later("From the beach"),
    "read": later("Read the water"),
    "recount": later("Count again"),
    "arrive": later("Births and stock"),
    "rename": later("A better name"),
    "remark": later("Remark"),
}
WAY_WORDS = {
    "lost": later("They are missing: presumed dead"),
    "dead-kept": later("They were found dead, and kept"),
    "dead-back": later("They were found dead, and not kept"),
    "born": later("They were born here"),
    "brought": later("They were brought, and nobody wrote it down"),
    "recount": later("Counted once more"),
    "strike": later("The count was wrong: strike it"),
    "stand": later("It stands as it is"),
}


def tank(request: HttpRequest, tank: str) -> HttpResponse:
    """Show one tank."""
    return _page(request, room(), tank, None)


def write(request: HttpRequest, tank: str, what: str) -> HttpResponseBase:
    """Write one line about a tank."""
    kind = next((form for form in FORMS if form.what == what), None)
    if kind is None:
        raise Http404(_("There is no such line about a tank."))
    form: TankForm | None = None

    def make() -> Sequence[book.Wanted] | None:
        nonlocal form
        form = kind(_about(room(), tank), request.POST)
        return form.wanted()

    try:
        written = write_once(request, request.POST.get(f"{what}-made", ""), make)
    except Refusal as refusal:
        form = form or kind(_about(room(), tank), request.POST)
        form.is_valid()
        form.refused(refusal.problems)
        written = None
    if written is None:
        return _page(request, room(), tank, form)
    if not written:
        messages.info(request, _("That was written already; nothing more was written."))
        return redirect("tank", tank=tank)
    messages.success(request, _("Written down."))
    return redirect("tank-settle" if _is_off(what, written, tank) else "tank", tank=tank)


def _is_off(what: str, written: Iterable[Entry], tank: str) -> bool:
    """Say whether a count that was just written differs from the book: that is settled at once."""
    if what != "recount":
        return False
    found = {one.subject for one in room().card(tank).unsettled}
    return any(entry.id in found for entry in written)


def _about(now: Room, tank: str) -> About:
    card = now.card(tank)
    back, _clause = may_go_back(permits.permits(), now.now)
    return About(
        place=card.place,
        kinds=card.kinds,
        held=now.reading.holdings,
        tanks=tuple(one.place for one in now.cards),
        beach=beach(),
        pack=now.pack,
        instruments=tuple(now.station.instruments.values()),
        zone=now.zone,
        back=back,
        new_id=lambda: book.new_id(now.now),
    )


def _page(request: HttpRequest, now: Room, tank: str, wrong: TankForm | None) -> HttpResponse:
    card, may = now.card(tank), may_write(request)
    about = _about(now, tank) if may else None
    offered = [] if about is None else [form for form in FORMS if _fits(form.what, card, about)]
    made = [wrong if wrong and form.what == wrong.what else form(about) for form in offered if about]
    back, clause = may_go_back(permits.permits(), now.now)
    page = _number(request.GET.get("page", ""))
    lines, more = _diary(now, card.place, page)
    every = request.GET.get("lots") == "all"
    words: dict[str, Any] = {
        "here": "kept",
        "card": card,
        "forms": made,
        "open_form": wrong.what if wrong else request.GET.get("write", ""),
        "words": FORM_WORDS,
        "names": {kind.taxon: kind.name for kind in card.kinds},
        "diary": lines,
        "page": page,
        "more": more,
        "every_lot": every,
        "hauls_shown": max(len(kind.hauls) for kind in card.kinds) if every and card.kinds else HAULS_SHOWN,
        "offs": _offs(now, card),
        "foods": [(kind.name, food) for kind in card.kinds if (food := food_of(kind.taxon, now.pack))],
        "no_species": NO_SPECIES,
        "back": back,
        "clause": clause,
    }
    return render(request, "kept/tank.html", words, status=400 if wrong is not None else 200)


def _fits(what: str, card: TankCard, about: About) -> bool:
    if what == "carry":
        return bool(about.beach)
    return bool(card.kinds) or what not in NEEDS_LOT


def _number(words: str) -> int:
    return min(max(1, int(words)), 10_000) if words.isdecimal() else 1


def _diary(now: Room, place: str, page: int) -> tuple[list[tuple[Entry, str, Entry | None]], bool]:
    """Return a page of the entries about a place, the latest first, each with the strike that took it out."""
    rows = (
        book.tank_rows().filter(kind__in=TOLD, line__contains=canonical(place)).order_by("-at", "-position")
    )
    entries = list(book.entries_of(rows[(page - 1) * A_PAGE : page * A_PAGE + 1]))
    strikes = {
        key: entry for entry in now.notes.entries if entry.kind == "strike" for key in entry.body["entries"]
    }
    shown = sorted(entries[:A_PAGE], key=lambda entry: entry.when.sort_key(), reverse=True)
    lines = [(one, diary_words(one, place, now.pack), strikes.get(one.id)) for one in shown]
    return lines, len(entries) > A_PAGE


def _offs(now: Room, card: TankCard) -> tuple[Off, ...]:
    counts = {entry.id: entry for entry in now.notes.entries if entry.kind == "counted-again"}
    return offs_of(card.unsettled, unsettled_places(now.reading, now.notes), counts, now.pack)


class SettleForm(forms.Form):
    """Which way something is settled, and why."""

    made = forms.UUIDField(widget=forms.HiddenInput)
    key = forms.CharField(widget=forms.HiddenInput)
    way = forms.ChoiceField(label=later("What happened"), widget=forms.RadioSelect)
    n = forms.IntegerField(
        label=later("How many were there"), min_value=0, required=False, widget=forms.NumberInput(attrs=NUMBER),
        help_text=later("Only where they were counted once more."),
    )  # fmt: skip
    why = forms.CharField(
        label=later("Why, or the cause"), max_length=WHY, help_text=later("It stays beside the numbers.")
    )

    def __init__(self, off: Off, made: str, data: Any = None) -> None:
        super().__init__(data, initial={"made": made, "key": off.key})
        self.fields["way"].choices = [(way, WAY_WORDS[way]) for way in off.ways]  # type: ignore[attr-defined]

    def refused(self, problems: Iterable[Problem]) -> None:
        """Put refusals on the fields they are about."""
        for problem in problems:
            words = f"{problem.message[:1].upper()}{problem.message[1:]}"
            self.add_error(problem.column if problem.column in self.fields else None, words)


def settle(request: HttpRequest, tank: str) -> HttpResponseBase:
    """Show what is off in a tank, one thing at a time, or settle it."""
    now = room()
    offs = _offs(now, now.card(tank))
    if request.method == "POST":
        return _settle(request, tank)
    off = next((one for one in offs if one.key == request.GET.get("key")), offs[0] if offs else None)
    form = SettleForm(off, book.new_id(now.now)) if off else None
    return _settle_page(request, now, tank, off, form)


def _settle(request: HttpRequest, tank: str) -> HttpResponseBase:
    made, form, off = request.POST.get("made", ""), None, None

    def make() -> Sequence[book.Wanted] | None:
        nonlocal form, off
        now = room()
        off = next((one for one in _offs(now, now.card(tank)) if one.key == request.POST.get("key")), None)
        if off is None:
            return []
        form = SettleForm(off, made, request.POST)
        if not form.is_valid():
            return None
        said = form.cleaned_data
        lines = settled_by(off, said["way"], said["why"], now.reading.holdings, made, said["n"])
        return [
            book.Wanted(one.kind, one.body, at=one.at, id=following(made, i)) for i, one in enumerate(lines)
        ]

    try:
        written = write_once(request, made, make)
    except Refusal as refusal:
        if form is None:
            messages.warning(request, str(refusal))
            return redirect("tank-settle", tank=tank)
        form.refused(refusal.problems)
        written = None
    if written is None:
        return _settle_page(request, room(), tank, off, form, 400)
    messages.success(
        request, _("Settled.") if written else _("That does not stand open any more; nothing was written.")
    )
    return redirect("tank", tank=tank)


def _settle_page(
    request: HttpRequest, now: Room, tank: str, off: Off | None, form: SettleForm | None, status: int = 200
) -> HttpResponse:
    card = now.card(tank)
    words = {
        "here": "kept", "card": card, "offs": _offs(now, card), "off": off, "form": form, "may": may_write(request),
    }  # fmt: skip
    return render(request, "kept/settle.html", words, status=status)


ROUTES = [
    route("kept/tank/<str:tank>/", tank, "tank", get=SIGNED_IN),
    route("kept/tank/<str:tank>/settle/", settle, "tank-settle", get=SIGNED_IN, post=KEEPING),
    route("kept/tank/<str:tank>/line/<str:key>/", line, "tank-line", get=SIGNED_IN, post=KEEPING),
    route("kept/tank/<str:tank>/<slug:what>/", write, "tank-write", post=KEEPING),
]
