"""The list of what was handed in, and handing in more."""

from __future__ import annotations

from pathlib import PurePosixPath, PureWindowsPath
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.problems import Refusal
from haulbook.station.models import BringIn, Site
from haulbook.station.pages.bring_in.handed import HandedFile, hand_in
from haulbook.station.people.roles import TALLY
from haulbook.station.store import reference
from haulbook.station.web.route import signed_in

SHOWN = 50


class ManyFiles(forms.ClearableFileInput):
    """A field that takes several files."""

    allow_multiple_selected = True


class HandIn(forms.Form):
    """Files that belong together."""

    sheets = forms.Field(
        label=later("Files that belong together"),
        widget=ManyFiles(attrs={"accept": ".csv,.tsv,.txt,.xlsx,.xlsm,.xls,.ods"}),
        required=False,
        help_text=later(
            "Hauls, catch, lengths, readings, code lists: CSV, XLSX or ODS. Nothing is entered yet."
        ),
    )
    name = forms.CharField(
        label=later("What it is"),
        required=False,
        max_length=200,
        help_text=later("As season 2023; else the names of the files."),
    )
    zone = forms.CharField(
        label=later("Zone of the clock on the sheets"),
        required=False,
        widget=forms.Select,
        help_text=later("Without it hauls have a day and no time."),
    )

    def __init__(self, *said: Any) -> None:
        super().__init__(*said)
        zones = [reference.settings().zone, *Site.objects.order_by("key").values_list("zone", flat=True)]
        listed = [("", later("nobody can say")), *((zone, zone) for zone in dict.fromkeys(zones))]
        self.fields["zone"].widget.choices = listed


def bring_in(request: HttpRequest) -> HttpResponse:
    """List what was handed in, or take files in."""
    person = signed_in(request)
    form = HandIn(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        sent = [HandedFile(_bare(str(one.name)), one.read()) for one in request.FILES.getlist("sheets")]
        try:
            row = hand_in(
                form.cleaned_data["name"],
                sent,
                reference.pack_of_station(),
                form.cleaned_data["zone"] or None,
                person.key,
            )
            return redirect("bring-in-columns", pk=row.pk)
        except Refusal as refusal:
            for problem in refusal.problems:
                form.add_error("sheets", str(problem))
            if sent:
                form.add_error(
                    None, _("A browser forgets chosen files: choose them again once that is mended.")
                )
    rows = list(BringIn.objects.order_by("-at").defer("map", "answers")[:SHOWN])
    return render(
        request,
        "bring_in/bring_in.html",
        {
            "here": "bring-in",
            "form": form,
            "open": [row for row in rows if row.entered_at is None],
            "entered": [row for row in rows if row.entered_at is not None],
            "may": person.access in TALLY,
        },
        status=400 if form.errors else 200,
    )


def _bare(name: str) -> str:
    """Return a file's name without folders, as some browsers send them."""
    bare = PureWindowsPath(PurePosixPath(name).name).name
    return bare[-120:] if bare.strip(". ") else "sheet"
