"""What two typings of a sheet differ in, place by place; settled, the sheet is entered, once."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from haulbook.station import clock
from haulbook.station.models import Typing
from haulbook.station.pages.transcribe import settle_page, typings
from haulbook.station.pages.transcribe.settling import Settling, settling_of, with_answers
from haulbook.station.store import book
from haulbook.station.store.writing import writing
from haulbook.station.web.route import signed_in


def settle(request: HttpRequest, outing: str, haul: int) -> HttpResponse:
    """Show what differs, keep what was chosen, or enter the sheet."""
    person = signed_in(request).key
    if request.method == "POST" and request.POST.get("press") == "enter":
        return _enter(request, outing, haul, person)
    sheet = typings.sheet_of(outing, haul)
    if sheet.entered or not sheet.both_done:
        return _nothing_to_settle(request, sheet)
    if request.method == "POST":
        return _keep(request, sheet, person)
    return _page(request, settling_of(sheet))


def _nothing_to_settle(request: HttpRequest, sheet: typings.Sheet) -> HttpResponse:
    if not sheet.typed:
        raise Http404(_("Nobody typed a sheet of haul {haul}.").format(haul=sheet.haul))
    told = _("Haul {haul} is compared once both typings are done.")
    if sheet.entered:
        told = _("Haul {haul} was entered already; nothing more was written.")
    messages.info(request, told.format(haul=sheet.haul))
    return redirect("transcribe-outing", outing=sheet.outing)


def _keep(request: HttpRequest, sheet: typings.Sheet, person: str) -> HttpResponse:
    body, wrong = with_answers(settling_of(sheet), request.POST.dict())
    revision = int(request.POST["revision"]) if request.POST.get("revision", "").isdecimal() else -1
    elsewhere = None
    try:
        typings.keep_answers(sheet.outing, sheet.haul, person, body, revision)
    except typings.SavedElsewhere as saved:
        elsewhere = saved.row
    kept = settling_of(typings.sheet_of(sheet.outing, sheet.haul))
    if wrong or elsewhere:
        return _page(request, kept, wrong, request.POST.dict(), elsewhere)
    if n := kept.open_things:
        told = ngettext("Kept. {n} thing stands open.", "Kept. {n} things stand open.", n)
        messages.info(request, told.format(n=n))
    address = reverse("settle-sheet", kwargs={"outing": sheet.outing, "haul": sheet.haul})
    return redirect(f"{address}#{'open' if kept.open_things else 'enter'}")


def _enter(request: HttpRequest, outing: str, haul: int, person: str) -> HttpResponse:
    """Write the sheet's lines, all of them or none, and only once."""
    with writing():
        sheet = typings.sheet_of(outing, haul, lock=True)
        if sheet.entered or not sheet.both_done:
            return _nothing_to_settle(request, sheet)
        now = settling_of(sheet)
        if now.open_things:
            return _page(request, now)
        wanted = [book.Wanted(kind=one.kind, body=one.body, outing=outing, at=one.at) for one in now.lines()]
        entries = book.write(wanted, person, now.desk.zone)
        _note_entered(sheet, person, len(entries), now.read.n)
    told = ngettext(
        "Haul {haul}: {n} line is in the book, {animals} animals.",
        "Haul {haul}: {n} lines are in the book, {animals} animals.",
        len(entries),
    )
    messages.success(request, told.format(haul=haul, n=len(entries), animals=now.read.n))
    return redirect("transcribe-outing", outing=outing)


def _note_entered(sheet: typings.Sheet, person: str, lines: int, animals: int) -> None:
    row = sheet.rows.get(typings.SETTLED) or Typing(
        outing=sheet.outing, sheet=str(sheet.haul), number=typings.SETTLED, body={"revision": 0}
    )
    row.by, row.at, row.entered_at, row.done = person, clock.now(), clock.now(), True
    row.body = {**row.body, "lines": lines, "animals": animals}
    row.save()


def _page(
    request: HttpRequest,
    now: Settling,
    wrong: dict[str, str] | None = None,
    typed: dict[str, str] | None = None,
    elsewhere: Typing | None = None,
) -> HttpResponse:
    shown = settle_page.context(now, request.GET.get("change", ""), wrong or {}, typed or {})
    status = 409 if elsewhere is not None else 400 if wrong else 200
    return render(request, "transcribe/settle.html", {**shown, "elsewhere": elsewhere}, status=status)
