"""What is added to an outing at the desk."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from haulbook.problems import Refusal
from haulbook.station.pages.outing import adding, observed
from haulbook.station.pages.outing.at_hand import at_hand, fresh_id, write_once
from haulbook.station.pages.outing.haul_head import HaulHead
from haulbook.station.pages.outing.words import title_of

FORMS: dict[str, type[adding.Adding]] = {
    "line": adding.Line,
    "name": adding.Rename,
    "haul": HaulHead,
    "lengths": observed.LengthsForm,
    "seen": observed.Seen,
    "place": observed.Place,
    "count": observed.Counted,
    "reading": observed.ReadingForm,
    "remark": observed.RemarkForm,
}
FROM_ADDRESS = ("haul", "taxon", "place")
"""Fields that an address may fill in."""


def add(request: HttpRequest, outing: str) -> HttpResponseBase:
    """Offer everything that can be added."""
    about = at_hand(outing)
    return render(
        request,
        "outing/add.html",
        {
            "here": "outings",
            "about": about,
            "title_words": title_of(about),
            "offered": [(what, form.title, form.words) for what, form in FORMS.items()],
        },
    )


def add_one(request: HttpRequest, outing: str, what: str) -> HttpResponseBase:
    """Show one form, or write what it says."""
    kind = FORMS.get(what)
    if kind is None:
        raise Http404(_("There is nothing called %(what)s to add.") % {"what": what})
    about = at_hand(outing)
    given: dict[str, Any] = {name: request.GET[name] for name in FROM_ADDRESS if request.GET.get(name)}
    if what != "haul" and str(given.get("haul", "")).isdecimal():
        given["haul"] = f"{outing}/{given['haul']}"
    form = kind(about, request.POST or None, initial=given)
    if request.method == "POST" and form.is_valid():
        try:
            if write_once(request, about, form.drafts) is None:
                messages.info(request, _("That was written already; nothing more was written."))
            else:
                messages.success(request, _("Written."))
            return redirect("outing", outing=outing)
        except Refusal as refusal:
            form.refused(refusal.problems)
    return render(
        request,
        "outing/add_one.html",
        {
            "here": "outings",
            "about": about,
            "title_words": title_of(about),
            "form": form,
            "made": request.POST.get("made") or fresh_id(),
        },
        status=400 if request.method == "POST" else 200,
    )
