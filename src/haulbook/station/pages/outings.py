"""The list of outings: held and planned, newest first."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import date

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import urlencode

from haulbook.station.models import PlanVersion
from haulbook.station.pages.outing.words import state_words
from haulbook.station.people.roles import SIGNED_IN
from haulbook.station.store import plans, readings
from haulbook.station.web.route import route

A_PAGE = 25
OPEN = "open"
"""What is still to be done: open, closed or changed since signing."""
DONE = ("signed",)


@dataclass(frozen=True, slots=True)
class Line:
    """One outing of the list; numbers are None where it is only planned."""

    outing: str
    day: date | None
    site: str
    hauls: int | None
    animals: int | None
    kept: int | None
    dead: int | None
    state: str
    weight: str
    key: str


def outings(request: HttpRequest) -> HttpResponse:
    """Show the outings of a year, or of all."""
    held, planned = readings.briefs(), plans.newest()
    lines = _lines(held, [row for row in planned if row.outing not in {one.outing for one in held}])
    years = sorted({line.key[:4] for line in lines if line.key[:4].isdigit()}, reverse=True)
    year, state = request.GET.get("year", ""), request.GET.get("state", "")
    shown = [line for line in lines if not year or line.key.startswith(year)]
    if state == OPEN:
        shown = [line for line in shown if line.weight == "near"]
    page = Paginator(shown, A_PAGE).get_page(request.GET.get("page"))
    asked = {name: value for name, value in (("year", year), ("state", state)) if value}
    return render(
        request,
        "outing/outings.html",
        {
            "here": "outings",
            "page": page,
            "lines": page.object_list,
            "years": years,
            "year": year,
            "state": state,
            "previous": _query(asked, page.previous_page_number()) if page.has_previous() else "",
            "next": _query(asked, page.next_page_number()) if page.has_next() else "",
        },
    )


def _query(asked: dict[str, str], page: int) -> str:
    return "?" + urlencode({**asked, "page": str(page)})


def _lines(held: tuple[readings.Brief, ...], planned: list[PlanVersion]) -> list[Line]:
    made = [_held(one) for one in held]
    for row in planned:
        plan = plans.read(row)
        words, weight = state_words("planned", 0, 0)
        made.append(
            Line(
                plan.outing,
                plan.date,
                plan.site,
                None,
                None,
                None,
                None,
                words,
                weight,
                plan.date.isoformat(),
            )
        )
    return sorted(made, key=lambda line: (line.key, line.outing), reverse=True)


def _held(one: readings.Brief) -> Line:
    words, weight = state_words(one.state, one.versions, one.blocking)
    day = None
    with suppress(ValueError):
        day = date.fromisoformat(one.day)
    near = "near" if one.state != "signed" else weight
    return Line(
        one.outing, day, one.site, one.hauls, one.animals, one.kept, one.dead, words,
        near if one.state != "planned" else "", one.day or one.outing,
    )  # fmt: skip


ROUTES = [route("outings/", outings, "outings", get=SIGNED_IN)]
