"""Outings with sheets to type, the sheets of one, a day that nobody planned, and the sheets to print."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.office.say import said
from haulbook.office.typed_sheet import USUAL
from haulbook.problems import Refusal
from haulbook.publish import words as printed_words
from haulbook.publish.tally_sheet import TallySheet, tally_sheet
from haulbook.station import clock
from haulbook.station.models import Site
from haulbook.station.pages.transcribe import typings
from haulbook.station.pages.transcribe.context import OutingAtDesk, at_desk
from haulbook.station.people.roles import TALLY
from haulbook.station.store import plans, readings, reference
from haulbook.station.web.route import signed_in

HAULS = 3
"""Sheets that are printed, and offered to be typed, of an outing without a plan."""
MOST_HAULS = 40
SHOWN = 30
"""Entered sheets that are listed."""
PLANNED = timedelta(days=60)
"""Plans older than this are not offered any more."""


class NewDay(forms.Form):
    """Day and site of a sheet whose outing nobody planned."""

    day = forms.DateField(
        label=later("Day on the sheet"),
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text=later("Local day."),
    )
    site = forms.CharField(label=later("Site"), required=False, widget=forms.Select)

    def __init__(self, *said: Any) -> None:
        super().__init__(*said)
        sites = Site.objects.filter(retired=False).order_by("key").values_list("key", "name")
        listed = [("", later("written on no sheet")), *((key, name or key) for key, name in sites)]
        self.fields["site"].widget.choices = listed

    def clean_day(self) -> date:
        """Take a day that has been."""
        day: date = self.cleaned_data["day"]
        if day > clock.now().date() + timedelta(days=1):
            raise forms.ValidationError(_("That day has not come yet; sheets are typed after the outing."))
        return day


@dataclass(frozen=True, slots=True)
class HaulLine:
    """One haul of an outing: its sheet so far, and what the person who asks can do with it.

    ``do``: begin, go-on, take-over, wait, settle or entered; ``n``: animals that the book has of it, None where it has
    no such haul.
    """

    haul: int
    sheet: typings.Sheet
    do: str
    n: int | None


def transcribe(request: HttpRequest) -> HttpResponse:
    """List what is being typed and what is planned; begin a day that nobody planned."""
    person = signed_in(request)
    form = NewDay(request.POST or None)
    there: list[str] = []
    if request.method == "POST" and form.is_valid():
        day = form.cleaned_data["day"]
        there = typings.of_day(day)
        if not there or request.POST.get("another") == day.isoformat():
            row = typings.begin_day(day, form.cleaned_data["site"], person.key)
            return redirect("typing", outing=row.outing, haul=1, number=row.number)
    sheets = typings.all_sheets()
    typed = {sheet.outing for sheet in sheets}
    known = set(readings.outings())
    since = clock.now().date() - PLANNED
    planned = [plans.read(row) for row in plans.newest() if row.outing not in known | typed]
    return render(
        request,
        "transcribe/transcribe.html",
        {
            "here": "transcribe",
            "form": form,
            "day": form.cleaned_data["day"].isoformat() if there else "",
            "there": there,
            "open": [(sheet, _do(sheet, person.key)) for sheet in sheets if sheet.entered is None],
            "entered": [sheet for sheet in sheets if sheet.entered][:SHOWN],
            "planned": [plan for plan in planned if plan.date >= since],
            "may_type": person.access in TALLY,
        },
        status=400 if form.errors else 200,
    )


def outing_sheets(request: HttpRequest, outing: str) -> HttpResponse:
    """Show the sheets of an outing, haul by haul."""
    person = signed_in(request)
    desk = at_desk(outing)
    lines = _hauls(desk, person.key, _whole(request.GET.get("hauls", ""), 0))
    return render(
        request,
        "transcribe/outing.html",
        {
            "here": "transcribe",
            "about": desk,
            "lines": lines,
            "next_haul": (lines[-1].haul + 1) if lines and lines[-1].haul < MOST_HAULS else 0,
            "in_book": outing in readings.outings(),
            "may_type": person.access in TALLY,
        },
    )


def printed(request: HttpRequest, outing: str = "") -> HttpResponse:
    """Give the blank tally sheets of an outing as PDF; without one, sheets whose head is filled in by hand."""
    if outing:
        sheet = _sheet_of(at_desk(outing))
    else:
        own = reference.settings()
        nets = tuple(reference.station().nets)
        sheet = TallySheet(station=own.name, hauls=HAULS, nets=nets, zone=own.zone, invented=own.invented)
    sheet = replace(
        sheet,
        hauls=min(_whole(request.GET.get("hauls", ""), sheet.hauls), MOST_HAULS),
        columns=tuple(request.GET.getlist("column")) or USUAL,
    )
    paper = request.GET.get("paper", "a4")
    response = HttpResponse(tally_sheet(sheet, paper=paper), content_type="application/pdf")
    name = "-".join(part for part in ("tally-sheets", outing, paper) if part)
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def _sheet_of(desk: OutingAtDesk) -> TallySheet:
    plan, day = desk.plan, date.fromisoformat(desk.day)
    return TallySheet(
        station=desk.station.name,
        outing=desk.outing,
        day=f"{printed_words.weekday(day)} {printed_words.day(day)}",
        site=plan.site if plan else "",
        hauls=plan.hauls if plan else HAULS,
        nets=tuple(plan.nets if plan else desk.station.nets),
        buckets=tuple(f"{bucket.place} to {bucket.purpose}" for bucket in (plan.buckets if plan else ())),
        looked_for=tuple(said(taxon, desk.pack) for taxon in (plan.looked_for if plan else ())),
        zone=desk.zone,
        invented=reference.settings().invented,
    )


def _hauls(desk: OutingAtDesk, person: str, wanted: int) -> list[HaulLine]:
    """Return the hauls that were planned, typed or made, and as many more as somebody asked for."""
    sheets = typings.sheets_of(desk.outing)
    n: dict[int, int] = {}
    if desk.outing in readings.outings():
        account = readings.outing(desk.outing).account
        n = {int(haul.key.rpartition("/")[2]): 0 for haul in account.hauls}
        for lot in account.animals:
            number = int(lot.haul.rpartition("/")[2]) if "/" in lot.haul else 0
            if number in n:
                n[number] += lot.n
    most = min(max(wanted, desk.plan.hauls if desk.plan else 1), MOST_HAULS)
    hauls = sorted({*range(1, most + 1), *sheets, *n})
    found = []
    for haul in hauls:
        sheet = sheets.get(haul) or typings.Sheet(desk.outing, haul, {})
        found.append(HaulLine(haul, sheet, _do(sheet, person), n.get(haul)))
    return found


def _do(sheet: typings.Sheet, person: str) -> str:
    """Return what this person can do with a sheet."""
    if sheet.entered:
        return "entered"
    if sheet.both_done:
        return "settle"
    if sheet.going_on(person):
        return "go-on"
    if sheet.may_begin(person):
        return "begin"
    return "take-over" if sheet.to_take_over(person) else "wait"


def _whole(text: str, otherwise: int) -> int:
    if not text:
        return otherwise
    if not text.isdecimal() or not 1 <= int(text) <= MOST_HAULS:
        raise Refusal(_("{text} is no number of hauls; write 1 to {most}").format(text=text, most=MOST_HAULS))
    return int(text)
