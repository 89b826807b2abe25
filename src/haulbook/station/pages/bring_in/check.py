"""The balance that would follow, what the book has already, and bringing in."""

from __future__ import annotations

from collections import Counter
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from haulbook.custody.fates import Fate
from haulbook.office.already_here import CHOICES, LEAVE_OUT
from haulbook.office.bring_in import Brought
from haulbook.permit.finding import Finding
from haulbook.permit.model import Permit
from haulbook.problems import Problem
from haulbook.publish.words import FATE_WORDS
from haulbook.station.models import BringIn
from haulbook.station.pages.bring_in import entering, handed
from haulbook.station.pages.bring_in.looking import Meeting, looked_through, meetings
from haulbook.station.store import permits
from haulbook.station.web.route import signed_in

CHOICE = "outing-"
"""How a choice for an outing begins."""
RELOAD_S = 2
MOST_TAXA, MOST_PROBLEMS, MOST_OUTINGS = 60, 200, 60
"""Written out on the page; the rest is counted."""


def check(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what would follow, keep choices, or bring in; while it is being written, how far it is."""
    person = signed_in(request)
    row = handed.bring_in_of(pk)
    if row.entered_at is not None:
        return render(request, "bring_in/entered.html", {"here": "bring-in", "row": row})
    if row.progress and not (entering.stopped(row) and request.method == "POST"):
        return _progress(request, row)
    found = looked_through(row)
    if found.brought is None:
        return redirect("bring-in-columns", pk=pk)
    if request.method == "POST":
        return _press(request, row, found.brought, person.key)
    return _page(request, row, found.brought, found.findings)


def _press(request: HttpRequest, row: BringIn, brought: Brought, person: str) -> HttpResponse:
    if not row.progress:
        row = _choose(request, row, brought)
    if request.POST.get("press") != "enter":
        return redirect("bring-in-check", pk=row.pk)
    met = meetings(brought, row.choices.get("outings", {}))
    if not row.progress and (_open_things(brought) and not row.choices.get("as_is")):
        messages.warning(
            request, _("Nothing is entered yet: look at what stands open, and say that it may stay out.")
        )
        return redirect("bring-in-check", pk=row.pk)
    if not row.progress and len(_left_out(met)) == len(brought.outings):
        messages.info(request, _("Every outing of these sheets is left out: nothing was entered."))
        return redirect("bring-in-check", pk=row.pk)
    entering.begin(row, brought, {one.line.outing: one.choice for one in met}, person)
    row.refresh_from_db()
    if row.entered_at is not None:
        told = ngettext("{n} line is in the book.", "{n} lines are in the book.", row.entries)
        messages.success(request, told.format(n=row.entries))
    return redirect("bring-in-check", pk=row.pk)


def _choose(request: HttpRequest, row: BringIn, brought: Brought) -> BringIn:
    """Keep what was chosen for outings, or for all of them at once, and that the rest was looked at."""
    every = request.POST.get("every", "")
    chosen = {
        line.outing: choice
        for line in brought.outings
        if (choice := request.POST.get(f"{CHOICE}{line.outing}", "")) in CHOICES
    }
    if every in CHOICES:
        chosen = {one.line.outing: every for one in meetings(brought, {})}
    if not chosen and "had-as_is" not in request.POST:
        return row
    outings = {**row.choices.get("outings", {}), **chosen}
    return handed.change(row, outings=outings, as_is=request.POST.get("as_is") == "on")


def _left_out(met: tuple[Meeting, ...]) -> set[str]:
    return {one.line.outing for one in met if one.choice == LEAVE_OUT}


def _open_things(brought: Brought) -> int:
    """How many things stay out of the book, or stay open in it, where nobody does anything about them."""
    refused = sum(problem.kind == "refused" for problem in brought.problems)
    asked = sum(one.answer is None and one.question.about != "name" for one in brought.asked)
    return refused + asked + (brought.by_fate.get(Fate.UNACCOUNTED, 0) > 0)


def _progress(request: HttpRequest, row: BringIn) -> HttpResponse:
    stopped = entering.stopped(row)
    response = render(
        request,
        "bring_in/progress.html",
        {"here": "bring-in", "row": row, "stopped": stopped, "progress": row.progress, "reload_s": RELOAD_S},
    )
    if not stopped:
        response["Refresh"] = str(RELOAD_S)
    return response


def _page(
    request: HttpRequest, row: BringIn, brought: Brought, findings: tuple[Finding, ...] | None
) -> HttpResponse:
    met = meetings(brought, row.choices.get("outings", {}))
    left_out = _left_out(met)
    coming = [line for line in brought.outings if line.outing not in left_out]
    kinds = Counter(problem.kind for problem in brought.problems)
    return render(
        request,
        "bring_in/check.html",
        {
            "here": "bring-in",
            "row": row,
            "brought": brought,
            "met": met,
            "shown": met[:MOST_OUTINGS],
            "outings": brought.outings[:MOST_OUTINGS],
            "coming": coming,
            "n_coming": sum(line.n for line in coming),
            "hauls": sum(len(line.hauls) for line in brought.outings),
            "parts": [
                (FATE_WORDS[fate], n) for fate, n in brought.by_fate.items() if fate is not Fate.UNACCOUNTED
            ],
            "unaccounted": brought.by_fate.get(Fate.UNACCOUNTED, 0),
            "fates": [(fate, FATE_WORDS[fate]) for fate in brought.by_fate],
            "taxa": brought.taxa[:MOST_TAXA],
            "more_taxa": brought.taxa[MOST_TAXA:],
            "open_names": sum(one.answer is None and one.question.about == "name" for one in brought.asked),
            "kinds": kinds,
            "problems": _sorted(brought.problems)[:MOST_PROBLEMS],
            "more_problems": max(0, len(brought.problems) - MOST_PROBLEMS),
            "open_things": 0 if row.choices.get("as_is") else _open_things(brought),
            "stays_out": _open_things(brought),
            "findings": findings,
            "uncovered": _uncovered(brought, permits.permits()),
            "in_parts": brought.rows > entering.AT_ONCE_ROWS,
        },
    )


def _sorted(problems: tuple[Problem, ...]) -> list[Problem]:
    order = {"refused": 0, "asked": 1, "altered": 2, "note": 3}
    return sorted(problems, key=lambda one: order[one.kind])


def _uncovered(brought: Brought, known: tuple[Permit, ...]) -> dict[str, Any]:
    """Return the outings whose day lies in the time of no permit of the station, and the permits that cover others."""
    without, relied = [], set()
    for line in brought.outings:
        day = line.outing[:10]
        covering = [one.no for one in known if _holds(one, day)]
        relied.update(covering)
        if not covering:
            without.append(line.outing)
    return {"without": without, "permits": sorted(relied)}


def _holds(permit: Permit, day: str) -> bool:
    first = permit.valid_from.astimezone(permit.tz).date().isoformat()
    return first <= day <= permit.ends_on.isoformat()
