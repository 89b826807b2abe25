"""Which one: the key look by look, all of it in the address; one species; look-alikes side by side."""

from __future__ import annotations

from dataclasses import astuple
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.identify import POSSIBLE, SURE, Past, found_in, load_matrix, load_model, lookalikes
from haulbook.identify.lookalike import MOST, UNKNOWN
from haulbook.identify.words import percent
from haulbook.office import species_page as species_verbs
from haulbook.office.say import said
from haulbook.office.which_one import Seen, key_page, look_alikes, seen_of
from haulbook.problems import Refusal
from haulbook.publish.lookalike_card import CAUTIONS, lookalike_card
from haulbook.publish.words import listed
from haulbook.station.pages.bed import MONTHS
from haulbook.station.pages.outing.forms import NameField
from haulbook.station.people.roles import SIGNED_IN
from haulbook.station.store import readings, reference
from haulbook.station.web.route import route
from haulbook.taxa import Pack

COST_WORDS = {
    "easy on the beach": later("easy on the beach"),
    "needs hand lens": later("needs a hand lens"),
    "needs lab": later("needs a lab"),
}
LEVEL_WORDS = {
    "never": later("never"),
    "no": later("no"),
    "by size": later("by size"),
    "short": later("for a short time"),
    "ok": later("yes"),
}
MOST_SHOWN = 30
"""Outings listed on the page of a species; the bed page has every haul."""


class Where(forms.Form):
    """Where and when the animal was caught: what past hauls held there weighs in."""

    site = forms.ChoiceField(label=later("Site"), required=False)
    month = forms.ChoiceField(label=later("Month"), choices=[("", later("any")), *MONTHS], required=False)

    def __init__(self, sites: list[str], *words: Any) -> None:
        super().__init__(*words)
        self.fields["site"].choices = [("", _("any")), *((key, key) for key in sites)]  # type: ignore[attr-defined]


class Beside(forms.Form):
    """One more animal beside those on the card."""

    name = NameField(label=later("Animal"))

    def __init__(self, pack: Pack, *words: Any) -> None:
        super().__init__(*words)
        self.fields["name"].pack = pack  # type: ignore[attr-defined]


def which_one(request: HttpRequest) -> HttpResponseBase:
    """Show the key after the looks in the address; one species where the address names it."""
    if "taxon" in request.GET:
        return species(request, request.GET["taxon"])
    pack = reference.pack_of_station()
    asked, wrong = request.GET, ""
    where = Where(list(reference.station().sites), {key: asked.get(key, "") for key in ("site", "month")})
    where.is_valid()
    site, month = (where.cleaned_data.get(key, "") for key in ("site", "month"))
    seen = seen_of(asked.getlist("saw"), asked.getlist("skip"))
    if "look" in asked:
        several = asked.getlist("one")
        seen = seen.with_answer(asked["look"], several) if several else seen
        return redirect(_address(seen, site, month))
    past = _past(site, int(month)) if site and month else None
    try:
        page = key_page(load_model(pack.key), seen, past.found if past else None)
    except Refusal as refusal:
        wrong, seen = str(refusal), Seen()
        page = key_page(load_model(pack.key), seen, past.found if past else None)
    return render(
        request,
        "which_one/key.html",
        {
            "here": "which-one",
            "page": page,
            "found": page.found,
            "pack": pack,
            "where": where,
            "seen": seen,
            "past": past,
            "wrong": wrong,
            "sure": SURE,
            "possible": POSSIBLE,
            "percent": percent,
            "costs": COST_WORDS,
            "undecided": listed([said(one, pack) for one in page.found.undecided]),
            "named": lambda taxon: said(taxon, pack),
            "answer": lambda character, state: _address(seen.with_answer(character, [state]), site, month),
            "skip": lambda character: _address(seen.skipping(character), site, month),
            "back": lambda character: _address(seen.without(character), site, month),
            "beside": _beside,
        },
        status=400 if wrong else 200,
    )


def _address(seen: Seen, site: str, month: str) -> str:
    asked = [("saw", one) for one in seen.saw] + [("skip", one) for one in seen.skipped]
    asked += [(key, word) for key, word in (("site", site), ("month", month)) if word]
    return f"{reverse('which-one')}?{urlencode(asked)}" if asked else reverse("which-one")


def _beside(taxa: Any) -> str:
    return f"{reverse('look-alikes')}?{urlencode([('taxon', one) for one in list(taxa)[:MOST]])}"


def _past(site: str, month: int) -> Past:
    """Return what past hauls of a site and season held; nothing where the book has none there."""

    def make() -> list[Any]:
        try:
            past = found_in(readings.account(), site, month)
        except Refusal:
            return [0, {}]
        return [past.hauls, dict(past.found)]

    hauls, found = readings.derived("past", f"{site}:{month}", make).value
    return Past(hauls, found)


def species(request: HttpRequest, taxon: str) -> HttpResponse:
    """Show all that is known of one taxon, and where it was found."""
    pack = reference.pack_of_station()
    if taxon.startswith("?") or taxon not in pack.taxa:
        no_name = {"here": "which-one", "name": taxon.removeprefix("?")}
        return render(
            request, "which_one/no_name.html", no_name, status=404 if not taxon.startswith("?") else 200
        )
    page = species_verbs.species_page(taxon, pack)
    within = sorted(pack.below(taxon))
    outings = [one.outing for one in readings.briefs() if not frozenset(one.taxa).isdisjoint(within)]

    def make() -> list[list[Any]]:
        account = readings.account(outings)
        return [list(astuple(one)) for one in species_verbs.found_in(account, within)]

    made = readings.derived("species", f"{pack.version}:{taxon}", make) if outings else None
    found = [species_verbs.Found(*row) for row in made.value] if made else []
    alike = look_alikes(load_matrix(pack.key), taxon)
    words: dict[str, Any] = {
        "here": "which-one",
        "page": page,
        "taxon": page.taxon,
        "pack": pack,
        "name": said(taxon, pack),
        "named": lambda key: said(key, pack),
        "found": found[:MOST_SHOWN],
        "more": len(found) > MOST_SHOWN,
        "n": sum(one.n for one in found),
        "behind": made.behind if made else 0,
        "alike": alike,
        "beside": _beside([taxon, *alike]) if alike else "",
        "at_c": species_verbs.AT_C,
        "levels": LEVEL_WORDS,
    }
    return render(request, "which_one/species.html", words)


def side_by_side(request: HttpRequest) -> HttpResponseBase:
    """Show two to five look-alikes side by side, best look first; or give the card as one page to keep."""
    pack = reference.pack_of_station()
    matrix, taxa = load_matrix(pack.key), list(dict.fromkeys(request.GET.getlist("taxon")))
    form = Beside(pack, request.GET if "name" in request.GET else None)
    if form.is_bound and form.is_valid():
        return redirect(_beside([*taxa, form.cleaned_data["name"][0]]))
    known = [one for one in taxa if one in pack.taxa]
    found, wrong = None, ""
    if len(known) > 1:
        try:
            found = lookalikes(matrix, known)
        except Refusal as refusal:
            wrong = str(refusal)
    if found is not None and request.GET.get("as") == "card":
        return HttpResponse(
            lookalike_card(found),
            content_type="text/html; charset=utf-8",
            headers={"Content-Disposition": 'attachment; filename="look-alikes.html"'},
        )
    words: dict[str, Any] = {
        "here": "which-one",
        "form": form,
        "taxa": [pack[one] for one in known],
        "names": {one: said(one, pack) for one in known},
        "without": {one: _beside([other for other in known if other != one]) for one in known},
        "found": found,
        "wrong": wrong,
        "full": len(known) >= MOST,
        "pack": pack,
        "unknown": UNKNOWN,
        "cautions": CAUTIONS,
        "costs": COST_WORDS,
        "named": lambda key: said(key, pack),
        "card": f"{_beside(known)}&as=card",
    }
    return render(request, "which_one/side_by_side.html", words, status=400 if form.errors or wrong else 200)


ROUTES = [
    route("which-one/", which_one, "which-one", get=SIGNED_IN),
    route("which-one/side-by-side/", side_by_side, "look-alikes", get=SIGNED_IN),
]
