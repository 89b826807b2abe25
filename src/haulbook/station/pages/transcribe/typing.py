"""The grid: a sheet is typed as it stands on paper, and kept while it is typed."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from haulbook.office.compare_typings import compare_typings
from haulbook.office.say import said
from haulbook.office.typed_sheet import TypedSheet
from haulbook.problems import Problem, Refusal
from haulbook.station import clock
from haulbook.station.models import Typing
from haulbook.station.pages.transcribe import grid as form
from haulbook.station.pages.transcribe import typings, words
from haulbook.station.pages.transcribe.context import OutingAtDesk, at_desk
from haulbook.station.pages.transcribe.lists import MOST_HAULS
from haulbook.station.web.answers import json_problems, wants_json
from haulbook.station.web.route import signed_in


def begin(request: HttpRequest, outing: str, haul: int) -> HttpResponse:
    """Begin a typing of a haul's sheet, or go on with one's own."""
    at_desk(outing)
    if not 1 <= haul <= MOST_HAULS:
        raise Refusal(_("Hauls are numbered from 1 to {most}.").format(most=MOST_HAULS))
    row = typings.begin(outing, haul, signed_in(request).key)
    return redirect("typing", outing=outing, haul=haul, number=row.number)


def take_over(request: HttpRequest, outing: str, haul: int) -> HttpResponse:
    """Go on with what somebody else left undone."""
    row = typings.take_over(outing, haul, signed_in(request).key)
    return redirect("typing", outing=outing, haul=haul, number=row.number)


def grid(request: HttpRequest, outing: str, haul: int, number: int) -> HttpResponseBase:
    """Show the grid, or keep what was typed in it."""
    row = typings.own(outing, haul, number, signed_in(request).key)
    desk = at_desk(outing)
    if request.method == "POST":
        return _keep(request, row, desk)
    if row.done:
        messages.info(request, _("Typing {number} of haul {haul} is done.").format(number=number, haul=haul))
        return redirect("transcribe-outing", outing=outing)
    wanted = request.GET.get("lines", "")
    return _page(request, row, desk, typings.typed(row), int(wanted) if wanted.isdecimal() else form.LINES)


def _keep(request: HttpRequest, row: Typing, desk: OutingAtDesk) -> HttpResponseBase:
    if request.POST.get("press") == "reopen":
        typings.reopen(row)
        return redirect("typing", outing=row.outing, haul=int(row.sheet), number=row.number)
    sheet = form.sheet_of_post(request.POST)
    revision = int(request.POST["revision"]) if request.POST.get("revision", "").isdecimal() else -1
    press = request.POST.get("press", "save")
    done = press == "done" and not sheet.blank
    lines = _lines_asked(request, press)
    try:
        row = typings.save(row, sheet, revision, done=done)
    except typings.SavedElsewhere as elsewhere:
        if wants_json(request):
            return json_problems(409, _("This sheet was saved in another window since; load the page again."))
        return _page(request, elsewhere.row, desk, sheet, lines, elsewhere=typings.typed(elsewhere.row))
    if wants_json(request):
        return JsonResponse(_told(row, desk, sheet))
    if done:
        messages.success(request, _done_words(row))
        return redirect("transcribe-outing", outing=row.outing)
    if press == "done":
        messages.warning(request, _("Nothing is typed yet; the sheet stays open."))
    response = redirect("typing", outing=row.outing, haul=int(row.sheet), number=row.number)
    response["Location"] += f"?lines={lines}" + ("#grid" if press in ("more", "columns") else "")
    return response


def _lines_asked(request: HttpRequest, press: str) -> int:
    said_lines = request.POST.get("lines", "")
    lines = int(said_lines) if said_lines.isdecimal() and len(said_lines) < 5 else form.LINES
    return lines + (form.MORE if press == "more" else 0)


def _page(
    request: HttpRequest,
    row: Typing,
    desk: OutingAtDesk,
    sheet: TypedSheet,
    wanted: int,
    elsewhere: TypedSheet | None = None,
) -> HttpResponse:
    read = desk.read(sheet)
    looked_for = {taxon: said(taxon, desk.pack) for taxon in (desk.plan.looked_for if desk.plan else ())}
    lines = form.grid_lines(sheet, read, desk.pack, wanted)
    differ = compare_typings(sheet, elsewhere, desk.pack).differences if elsewhere is not None else ()
    context = {
        "here": "transcribe",
        "row": row,
        "haul": int(row.sheet),
        "about": desk,
        "head": form.HeadForm(desk.station, looked_for, sheet.head).told(read),
        "heads": form.heads_of(sheet),
        "lines": lines,
        "sums": form.sum_cells(sheet, read),
        "columns": form.columns_offered(sheet),
        "read": read,
        "revision": row.body.get("revision", 0),
        "elsewhere": [(one, words.place_words(one.place)) for one in differ]
        if elsewhere is not None
        else None,
        "now": clock.now(),
    }
    return render(request, "transcribe/typing.html", context, status=409 if elsewhere is not None else 200)


def _told(row: Typing, desk: OutingAtDesk, sheet: TypedSheet) -> dict[str, Any]:
    """Return what a script shows beside the places once they are kept."""
    read = desk.read(sheet)
    understood = {
        str(number): {"words": found, "asked": asked}
        for number, line in enumerate(sheet.lines, 1)
        if (told := form.understood_as(line.get("name", ""), read, desk.pack)) and (found := told[0])
        for asked in (told[1],)
    }
    return {
        "revision": row.body["revision"],
        "n": read.n,
        "understood": understood,
        "problems": {_field_of(problem): problem.message for problem in read.to_mend},
    }


def _field_of(problem: Problem) -> str:
    """Return the name of the field that a problem is about."""
    if problem.row is not None:
        return f"{form.LINE}{problem.row}-{problem.column}"
    where, _dot, place = (problem.column or "").partition(".")
    return f"{form.SUM if where == 'sum' else form.HEAD}-{place}"


def _done_words(row: Typing) -> str:
    sheet = typings.sheet_of(row.outing, int(row.sheet))
    if sheet.both_done:
        return _("Haul {haul} is typed twice: settle what differs.").format(haul=row.sheet)
    return _("Haul {haul} is typed once. It is typed a second time before it is entered.").format(
        haul=row.sheet
    )
