"""A permit, or one more clause of it, by form: what is typed becomes the next version of the permit's file."""

from __future__ import annotations

from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from haulbook.permit.model import Permit
from haulbook.problems import Refusal
from haulbook.station.models import PermitFile
from haulbook.station.pages import permit_words as words
from haulbook.station.pages.clause_forms import FORMS, ClauseForm, can_amend, said_of
from haulbook.station.pages.permit import permit_of
from haulbook.station.pages.permit_forms import HeadingForm
from haulbook.station.pages.permit_links import clause_url, permit_url
from haulbook.station.store import permit_files
from haulbook.station.store.reference import pack_of_station, settings
from haulbook.station.web.route import signed_in

UNITS = {"length_max_m": "m", "height_max_m": "m", "mesh_min_mm": "mm", "mesh_max_mm": "mm", "percent": "%"}


def new_clause(request: HttpRequest, no: str) -> HttpResponse:
    """Add a clause to a permit, or a new version of one that stands."""
    own = permit_of(no)
    before = own.versions(request.GET.get("amend", ""))
    amended = before[-1] if before and can_amend(before[-1]) else None
    kind = amended.kind if amended else _kind(request)
    initial = said_of(amended) if amended else {}
    form = FORMS[kind](pack_of_station(), own, request.POST or None, initial=initial)
    if amended:
        form.fields["effective_from"].required = True
        form.fields["effective_from"].help_text = _("The day from which the amended words rule.")
        form.fields["why"].label = _("Why it is amended")
    if request.method == "POST" and form.is_valid():
        if not amended and own.versions(form.cleaned_data["id"]):
            form.add_error("id", _("There is a clause of this number; amend it on its own page."))
        elif _kept(request, form, _text(no), own.tz):
            return redirect(clause_url(no, form.cleaned_data["id"]))
    title = (
        _("Amend clause %(id)s of permit %(no)s") % {"id": amended.id, "no": no}
        if amended
        else _("Add a clause to permit %(no)s") % {"no": no}
    )
    return _page(request, form, None, title, own, kind, amended is not None)


def new_permit(request: HttpRequest) -> HttpResponse:
    """Begin a permit with its heading and its first clause."""
    taken = PermitFile.objects.values_list("no", flat=True).distinct()
    heading = HeadingForm(request.POST or None, taken=taken, initial={"zone": settings().zone})
    kind = _kind(request)
    form = FORMS[kind](pack_of_station(), None, request.POST or None)
    if request.method == "POST" and heading.is_valid() and form.is_valid():
        text = permit_files.heading_text(heading.table())
        if _kept(request, form, text, ZoneInfo(heading.cleaned_data["zone"]), heading):
            return redirect(permit_url(heading.cleaned_data["no"]))
    return _page(request, form, heading, _("A new permit"), None, kind, False)


def _kind(request: HttpRequest) -> str:
    asked = request.GET.get("kind", "limit")
    return asked if asked in FORMS else "limit"


def _text(no: str) -> str:
    return PermitFile.objects.filter(no=no).order_by("-number").values_list("text", flat=True)[0]


def _kept(
    request: HttpRequest, form: ClauseForm, text: str, zone: ZoneInfo, heading: HeadingForm | None = None
) -> bool:
    try:
        coming = permit_files.with_clause(text, form.table(zone))
        row = permit_files.keep(coming, signed_in(request).key, form.cleaned_data["why"])
    except Refusal as refusal:
        in_heading = heading.fields if heading else {}
        form.refused([one for one in refusal.problems if one.column not in in_heading])
        for problem in refusal.problems:
            if heading and problem.column in in_heading:
                heading.add_error(problem.column, problem.message)
        return False
    said = {"id": form.cleaned_data["id"], "number": row.number}
    told = _(
        "Clause %(id)s is kept, version %(number)s of the file. Two people compare it with the paper "
        "before its first use."
    )
    messages.success(request, told % said)
    return True


def _page(
    request: HttpRequest,
    form: ClauseForm,
    heading: HeadingForm | None,
    title: str,
    own: Permit | None,
    kind: str,
    amending: bool,
) -> HttpResponse:
    bad = bool(form.errors) or bool(heading and heading.errors)
    context: dict[str, Any] = {
        "here": "permits",
        "form": form,
        "heading": heading,
        "title_words": title,
        "permit": own,
        "kind": kind,
        "kinds": [] if amending else [(one, words.kind_words(one)) for one in FORMS],
        "units": UNITS,
    }
    return render(request, "permits/add.html", context, status=400 if bad else 200)
