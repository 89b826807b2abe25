"""One permit: its clauses with what is left over the year, the chosen one in the permit's own words beside its data."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from haulbook.office.permit_standing import ClauseStanding, PeriodStanding, PermitStanding
from haulbook.office.say import said
from haulbook.permit.finding import Finding
from haulbook.permit.model import CONFIRMING, Clause, Permit
from haulbook.permit.period import INSTANT
from haulbook.permit.scope import Meant, Scoper
from haulbook.permit.state import States
from haulbook.permit.take import Take
from haulbook.station import clock
from haulbook.station.models import Confirmation, EntryRow, PermitFile
from haulbook.station.pages import permit_words as words
from haulbook.station.pages.clause_forms import can_amend
from haulbook.station.pages.permit_links import clause_url, permit_url
from haulbook.station.pages.permit_steps import Point, steps, strokes
from haulbook.station.people.roles import CREW, LEAD
from haulbook.station.store import permit_files, permits, readings, standings
from haulbook.station.store.reference import pack_of_station
from haulbook.station.web.route import person_of, signed_in
from haulbook.taxa import Pack

MOST_FINDINGS = 12
"""Findings that stand open on the page; the others in a part that opens."""
WEIGHTS = {"finding": "stop", "question": "near", "note": ""}


@dataclass(frozen=True, slots=True)
class Row:
    """One clause in the list. ``standing`` is None for those that count nothing."""

    clause: Clause
    standing: ClauseStanding | None
    whom: str
    asks: str
    weight: str
    state: str
    confirmed: bool
    href: str
    chosen: bool = False


def permit(request: HttpRequest, no: str) -> HttpResponse:
    """Show where a permit stands, and one clause of it."""
    own, now = permit_of(no), clock.now()
    standing, behind = standing_of(own, now)
    pack = pack_of_station()
    asked = request.GET.get("clause", "")
    at = min(max(now, own.valid_from), own.valid_to - INSTANT)
    rows = _rows(own, standing, at, pack, asked)
    chosen = next((row for row in rows if row.chosen), None)
    file = PermitFile.objects.filter(no=no).order_by("-number").defer("text").first()
    return render(
        request,
        "permits/permit.html",
        {
            "here": "permits",
            "permit": own,
            "standing": standing,
            "behind": behind,
            "counting": [row for row in rows if row.standing],
            "conditions": [row for row in rows if not row.standing],
            "possible": any(line.now.possible for line in standing.clauses),
            "coming": [one for one in own.clauses if one.effective_from > at],
            "unconfirmed": sum(not row.confirmed for row in rows),
            "chosen": chosen,
            "chart": _chart(chosen.standing, now, own) if chosen and chosen.standing else None,
            "left": words.left_sentence(chosen.standing, own) if chosen and chosen.standing else "",
            "findings": _findings(standing),
            "most": MOST_FINDINGS,
            "file": file,
            "words": words,
            "need": CONFIRMING,
            "may": is_lead(request),
            "year_report": _year_query(standing),
            "ends": own.ends_on,
        },
    )


def clause(request: HttpRequest, no: str) -> HttpResponse:
    """Show one clause whole: its words, what it says here, what counts in it, who compared it, its versions."""
    own, now = permit_of(no), clock.now()
    known = own.versions(request.GET.get("id", ""))
    if not known:
        raise Http404(_("Permit %(no)s has no clause %(id)s.") % {"no": no, "id": request.GET.get("id", "")})
    ruling = next((one for one in known if one.in_force(now)), known[-1])
    asked = request.GET.get("version", "")
    one = next((each for each in known if str(each.version) == asked), ruling)
    standing, behind = standing_of(own, now)
    line = next(
        (each for each in standing.clauses if (each.clause, each.version) == (one.id, one.version)), None
    )
    haul = request.GET.get("haul", "")
    period = _period(line, request.GET.get("period", ""), haul) if line else None
    person = person_of(request)
    file = PermitFile.objects.filter(no=no).order_by("-number").first()
    pack = pack_of_station()
    return render(
        request,
        "permits/clause.html",
        {
            "here": "permits",
            "permit": own,
            "clause": one,
            "versions": [(each, words.in_force_words(each, own.tz), each.in_force(now)) for each in known],
            "line": line,
            "period": period,
            "behind": behind,
            "chart": _chart(line, now, own) if line else None,
            "counted": _counted(own, one, haul, pack),
            "haul": haul,
            "hanging": _outings_of(period.hangs_on) if period else [],
            "whom": words.animals(one, pack, all_names=True) if one.counts else "",
            "possible": _possible(one, pack) if one.counts else [],
            "typed": permit_files.clause_text(file.text, one.id, one.version) if file else "",
            "confirmed": _confirmations(own.no, one),
            "is_confirmed": permit_files.confirmed(one),
            "digest": permits.clause_digest(one),
            "mine": person is not None and person.key in one.confirmed_by,
            "may_confirm": person is not None and person.access in CREW,
            "may_amend": is_lead(request) and one == known[-1] and can_amend(one),
            "may": is_lead(request),
            "file": file,
            "words": words,
            "need": CONFIRMING,
            "href": lambda **more: clause_url(no, one.id, one.version, **more),
        },
    )


def confirm(request: HttpRequest, no: str) -> HttpResponse:
    """Write down that this person compared a clause with the paper."""
    own = permit_of(no)
    key, version = request.POST.get("id", ""), request.POST.get("version", "")
    one = next((each for each in own.versions(key) if str(each.version) == version), None)
    if one is None:
        raise Http404(_("Permit %(no)s has no clause %(id)s.") % {"no": no, "id": key})
    n = permit_files.confirm(no, one, request.POST.get("digest", ""), signed_in(request).key)
    told = {"id": key, "n": n, "need": CONFIRMING}
    if n >= CONFIRMING:
        messages.success(request, _("Clause %(id)s is confirmed by %(n)s people.") % told)
    else:
        messages.success(
            request, _("Written down. Clause %(id)s needs another person: %(n)s of %(need)s.") % told
        )
    return redirect(clause_url(no, key, one.version))


def permit_of(no: str) -> Permit:
    """Return a permit by its number."""
    found = next((one for one in permits.permits() if one.no == no), None)
    if found is None:
        raise Http404(_("There is no permit %(no)s.") % {"no": no})
    return found


def standing_of(own: Permit, now: datetime) -> tuple[PermitStanding, int]:
    """Return where a permit stands, and how many lines came in since."""
    every, behind = standings.standings(now)
    return next(one for one in every if one.permit == own.no), behind


def is_lead(request: HttpRequest) -> bool:
    """Say whether the one who asks is a lead."""
    person = person_of(request)
    return person is not None and person.access in LEAD


def _rows(own: Permit, standing: PermitStanding, at: datetime, pack: Pack, asked: str) -> list[Row]:
    lines = {(line.clause, line.version): line for line in standing.clauses}
    ruling = own.ruling(at)
    known = {one.id for one in ruling}
    chosen = asked if asked in known else _most_urgent(standing) or next(iter(known), "")
    rows = []
    for one in ruling:
        line = lines.get((one.id, one.version))
        weight, state = words.state_of(line.now) if line else ("", "")
        rows.append(
            Row(
                one,
                line,
                words.animals(one, pack) if one.counts else "",
                words.asks(one),
                weight,
                state,
                permit_files.confirmed(one),
                permit_url(own.no, clause=one.id),
                one.id == chosen,
            )
        )
    return rows


def _most_urgent(standing: PermitStanding) -> str:
    """Return the clause to look at first: over, then near, then the first that counts."""
    order = {"stop": 0, "near": 1, "": 2}
    lines = sorted(standing.clauses, key=lambda line: order[words.state_of(line.now)[0]])
    return lines[0].clause if lines else ""


def _findings(standing: PermitStanding) -> list[tuple[str, Finding, list[str]]]:
    """Return (weight, finding, outings behind it)."""
    ids = [entry for finding in standing.findings for entry in finding.entries]
    outings = dict(_entry_outings(ids))
    return [
        (
            WEIGHTS[finding.grade],
            finding,
            sorted({outing for entry in finding.entries if (outing := outings.get(entry))})[:4],
        )
        for finding in standing.findings
    ]


def _entry_outings(ids: Iterable[str]) -> Iterable[tuple[str, str | None]]:
    wanted = list(dict.fromkeys(ids))
    for i in range(0, len(wanted), 500):
        yield from EntryRow.objects.filter(entry__in=wanted[i : i + 500]).values_list("entry", "outing")


def _outings_of(ids: tuple[str, ...]) -> list[tuple[str, str | None]]:
    """Return entries with their outings, in their order."""
    outings = dict(_entry_outings(ids[:50]))
    return [(entry, outings[entry]) for entry in ids[:50] if entry in outings]


def _year_query(standing: PermitStanding) -> str:
    return f"first={standing.first}&last={standing.last}"


def _period(line: ClauseStanding, asked: str, haul: str) -> PeriodStanding:
    """Return the period that is asked for, or the one of a haul; the running one otherwise."""
    of_haul = (one for one in line.periods if any(share.haul == haul for share in one.hauls))
    return next((one for one in line.periods if one.label == asked), None) or next(of_haul, line.now)


def _chart(line: ClauseStanding, now: datetime, own: Permit) -> Any:
    """Return the clause over its year, drawn; None where nothing counted yet."""
    zone = own.tz
    if line.period in ("haul", "outing", "day"):
        return _strokes(line, own)
    hauls = line.now.hauls
    if not hauls:
        return None
    days = {one.outing: one.day for one in readings.briefs()}
    sums: dict[str, list[int]] = {}
    for share in hauls:
        outing = share.haul.rpartition("/")[0]
        added = sums.setdefault(outing, [0, 0])
        added[0] += share.n
        added[1] += share.possible
    points = sorted(
        (
            Point(_day(days.get(outing, ""), line.now.first), n, n + possible, outing)
            for outing, (n, possible) in sums.items()
        ),
        key=lambda point: point.on,
    )
    told = _("%(n)s counted in %(outings)s outings, %(words)s") % {
        "n": line.now.n,
        "outings": len(points),
        "words": line.now.words,
    }
    return steps(points, line.limit, line.now.first, line.now.last, now.astimezone(zone).date(), told)


def _strokes(line: ClauseStanding, own: Permit) -> Any:
    if not line.periods:
        return None
    percent = line.kind == "percent"
    limit = float(line.percent) if percent and line.percent else line.limit
    points = []
    for one in line.periods:
        if percent:
            d = one.d or 0
            n, worst = (100 * one.n / d, 100 * (one.n + one.possible) / d) if d else (0.0, 0.0)
        else:
            n, worst = one.n, one.n + one.possible
        points.append(Point(one.first, n, worst, one.label))
    first, last = min(point.on for point in points), max(point.on for point in points)
    told = _("the highest of %(n)s is %(most)s") % {
        "n": len(points),
        "most": f"{max(point.n for point in points):.3g}",
    }
    begin = min(first, max(own.valid_from.astimezone(own.tz).date(), date(last.year, 1, 1)))
    return strokes(points, limit, begin, max(last, date(last.year, 12, 31)), told, " %" if percent else "")


def _day(text: str, otherwise: date) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return otherwise


@dataclass(frozen=True, slots=True)
class Counted:
    """One line of a haul that counts in a clause."""

    animal: str
    stage: str
    n: int
    fate: str
    surely: bool
    outing: str
    entries: tuple[str, ...]


def _counted(own: Permit, one: Clause, haul: str, pack: Pack) -> list[Counted]:
    """Return the lines of one haul behind a clause's number, from that outing's reading alone."""
    outing = haul.rpartition("/")[0]
    if not outing or not one.counts or outing not in readings.outings():
        return []
    take = Take(readings.account([outing]), permits.permits(), pack)
    charges = States(take).charges(own, one)
    return [
        Counted(
            said(charge.animals.taxon, pack),
            charge.animals.stage or "",
            charge.n,
            words.fate_words(charge.animals.fate),
            charge.meant is Meant.CERTAINLY,
            outing,
            charge.animals.entries,
        )
        for some in charges.values()
        for charge in some
        if charge.animals.haul == haul
    ]


def _possible(one: Clause, pack: Pack) -> list[str]:
    """Return the names above the clause's own whose animals may be meant by it."""
    scoper = Scoper(pack, {})
    found = [key for key in pack.taxa if scoper.by_taxon(one.scope, key) is Meant.POSSIBLY]
    return [said(key, pack) for key in found]


def _confirmations(no: str, one: Clause) -> list[tuple[str, datetime | None]]:
    """Return who compared a clause with the paper, and when; no instant where the file says so."""
    digest = permits.clause_digest(one)
    at = dict(Confirmation.objects.filter(no=no, clause=one.id, digest=digest).values_list("by", "at"))
    return [(by, at.get(by)) for by in one.confirmed_by]
