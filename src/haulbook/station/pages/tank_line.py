"""One line of a tank's diary: what it says, and mending it by further lines."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, Entry
from haulbook.office import mend
from haulbook.office.entry_words import kind_words, place_words, told
from haulbook.office.kept_words import diary_words, tanks_of
from haulbook.office.pen import Pen
from haulbook.problems import Refusal
from haulbook.station import clock
from haulbook.station.pages.outing.forms import NUMBER, WHY
from haulbook.station.pages.tank_room import following, may_write, write_once
from haulbook.station.store import book, reference
from haulbook.station.web.route import signed_in
from haulbook.taxa import Pack

PARTS = ("move", "redetermination", "counted-again", "strike")
"""Kinds that numbers of animals hang on: what a strike is checked against."""


def takes_numbers(entry: Entry) -> bool:
    """Say whether a line can be put in another's place: those that came out of no haul are named by their own line."""
    return entry.kind == "move" and not any(
        line["from"] in ("born", "brought") for line in entry.body["lines"]
    )


class Mend(forms.Form):
    """A strike, and the numbers that stand in a line's place."""

    made = forms.UUIDField(widget=forms.HiddenInput)
    reason = forms.CharField(
        label=later("Why"), max_length=WHY, help_text=later("Another tank, typed twice: it stays readable.")
    )

    def __init__(self, entry: Entry, pack: Pack, made: str, data: Any = None) -> None:
        super().__init__(data, initial={"made": made})
        self.was = [line["n"] for line in entry.body["lines"]] if takes_numbers(entry) else []
        for i, line in enumerate(entry.body["lines"] if self.was else ()):
            name = kind_words(line["taxon"], line.get("stage"), pack)
            label = f"{name}, {place_words(line['from'])} – {place_words(line['to'])}"
            self.fields[f"n{i}"] = forms.IntegerField(
                label=label, min_value=0, initial=line["n"], required=False, widget=forms.NumberInput(attrs=NUMBER)
            )  # fmt: skip

    @property
    def number_fields(self) -> list[Any]:
        """The fields of the numbers."""
        return [self[f"n{i}"] for i in range(len(self.was))]

    def numbers(self) -> list[int]:
        """Return the number of each part; those left empty stay."""
        said = [self.cleaned_data.get(f"n{i}") for i in range(len(self.was))]
        return [was if n is None else n for n, was in zip(said, self.was, strict=True)]


def line(request: HttpRequest, tank: str, key: str) -> HttpResponseBase:
    """Show one line of a tank, strike it, or put other numbers in its place."""
    place, pack = f"tank {tank}", reference.pack_of_station()
    one = next(iter(book.entries_of(book.tank_rows().filter(entry=key))), None)
    if one is None or place not in tanks_of(one):
        raise Http404(_("There is no such line about this tank."))
    if request.method == "POST" and one.outing is None:
        return _mend(request, tank, one, pack)
    return _page(request, tank, one, Mend(one, pack, book.new_id(clock.now())))


def _mend(request: HttpRequest, tank: str, one: Entry, pack: Pack) -> HttpResponseBase:
    made, press = request.POST.get("made", ""), request.POST.get("press", "")
    form = Mend(one, pack, made, request.POST)

    def make() -> Sequence[book.Wanted] | None:
        if not form.is_valid():
            return None
        reason, pen = form.cleaned_data["reason"], _pen(request, made)
        own = Book.of(book.entries_of(book.tank_rows().filter(kind__in=PARTS)))
        if one.kind not in PARTS:
            own = Book.of([*own.entries, one])
        if press == "make-it" and form.was:
            drafts = mend.make_it(own, one.id, form.numbers(), reason, pen)
        else:
            drafts = mend.strike(own, [one.id], reason, pen)
        return [_wanted(draft) for draft in drafts]

    try:
        written = write_once(request, made, make)
    except Refusal as refusal:
        for problem in refusal.problems:
            form.add_error(None, f"{problem.message[:1].upper()}{problem.message[1:]}")
        written = None
    if written is None:
        return _page(request, tank, one, form, 400)
    messages.success(request, _("Mended; the line stays readable with its reason."))
    return redirect("tank", tank=tank)


def _pen(request: HttpRequest, made: str) -> Pen:
    numbers, now = count(), clock.instant(clock.now(), reference.settings().zone)
    outing: Any = None  # what is written about tanks belongs to no outing
    return Pen(outing, signed_in(request).key, now, lambda: following(made, next(numbers)))


def _wanted(draft: Draft) -> book.Wanted:
    return book.Wanted(draft.kind, draft.body, draft.outing, draft.at, draft.id)


def _page(request: HttpRequest, tank: str, one: Entry, form: Mend, status: int = 200) -> HttpResponse:
    rows = book.tank_rows().filter(kind="strike", line__contains=one.id)
    strike = next((each for each in book.entries_of(rows) if one.id in each.body["entries"]), None)
    pack = reference.pack_of_station()
    words = {
        "here": "kept",
        "tank": tank,
        "entry": one,
        "said": diary_words(one, f"tank {tank}", pack),
        "told": told(one, pack) if one.kind in ("move", "redetermination") else "",
        "lots": _lots(one),
        "strike": strike,
        "out_of_no_haul": one.kind == "move" and not takes_numbers(one),
        "form": form,
        "may": may_write(request) and strike is None and one.outing is None,
    }
    return render(request, "kept/line.html", words, status=status)


def _lots(one: Entry) -> list[tuple[str, str]]:
    """Return the lots that a line moves: haul and taxon, for their stories."""
    if one.kind != "move":
        return []
    return list(dict.fromkeys((line["haul"], line["taxon"]) for line in one.body["lines"]))
