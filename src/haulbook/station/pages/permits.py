"""Permits: which there are, whether they hold, what is near its limit; the routes of this group."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from haulbook.office.permit_standing import PermitStanding
from haulbook.permit.model import Permit
from haulbook.station import clock
from haulbook.station.pages import permit_add, permit_files
from haulbook.station.pages import permit_words as words
from haulbook.station.pages.permit import clause, confirm, is_lead, permit
from haulbook.station.pages.permit_links import permit_url
from haulbook.station.people.roles import CREW, LEAD, SIGNED_IN
from haulbook.station.store import permit_files as files
from haulbook.station.store import permits as store
from haulbook.station.store import standings
from haulbook.station.web.route import route


@dataclass(frozen=True, slots=True)
class Line:
    """One permit in the list. ``close``: clauses that are near or full, with what is left."""

    permit: Permit
    standing: PermitStanding
    number: int
    holds: str
    weight: str
    close: tuple[str, ...]
    findings: int
    unconfirmed: int
    href: str


def permits(request: HttpRequest) -> HttpResponse:
    """List the permits."""
    now = clock.now()
    known = store.permits()
    numbers = {row.no: row.number for row in store.newest_files()}
    every, behind = standings.standings(now, known)
    found = {one.permit: one for one in every}
    lines = [_line(one, found[one.no], numbers[one.no]) for one in known]
    return render(
        request,
        "permits/permits.html",
        {"here": "permits", "lines": lines, "behind": behind, "may": is_lead(request), "words": words},
    )


def _line(one: Permit, standing: PermitStanding, number: int) -> Line:
    if standing.in_force:
        holds, weight = "holds", ""
    else:
        holds, weight = ("ahead", "") if standing.as_of < one.valid_from else ("ended", "near")
    close = tuple(
        clause.clause
        for clause in standing.clauses
        if clause.kind != "prohibit" and words.state_of(clause.now)[0]
    )
    ruling = one.ruling(standing.as_of)
    return Line(
        one,
        standing,
        number,
        holds,
        weight,
        close,
        sum(finding.grade == "finding" for finding in standing.findings),
        sum(not files.confirmed(clause) for clause in ruling),
        permit_url(one.no),
    )


ROUTES = [
    route("permits/", permits, "permits", get=SIGNED_IN),
    route("permits/hand-in/", permit_files.hand_in, "permit-hand-in", get=LEAD, post=LEAD),
    route("permits/keep/", permit_files.keep, "permit-keep", post=LEAD),
    route("permits/new/", permit_add.new_permit, "new-permit", get=LEAD, post=LEAD),
    route("permits/add/<path:no>/", permit_add.new_clause, "new-clause", get=LEAD, post=LEAD),
    route("permits/files/<path:no>/", permit_files.versions, "permit-files", get=SIGNED_IN),
    route("permits/file/<int:number>/<path:no>/", permit_files.download, "permit-file", get=SIGNED_IN),
    route("permits/paper/<int:number>/<path:no>/", permit_files.add_paper, "permit-paper", post=LEAD),
    route("permits/clause/<path:no>/", clause, "permit-clause", get=SIGNED_IN),
    route("permits/confirm/<path:no>/", confirm, "permit-confirm", post=CREW),
    route("permits/proof/<str:sha256>/", permit_files.proof, "proof", get=SIGNED_IN),
    route("permit/<path:no>/", permit, "permit", get=SIGNED_IN),
]
