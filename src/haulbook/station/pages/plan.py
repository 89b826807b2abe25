"""Plan: a month of tides with its windows, and one outing as planned, with go or no-go and the reasons."""

from __future__ import annotations

import calendar
import string
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from haulbook.custody.canonical import canonical, sha256_of
from haulbook.exchange import ics
from haulbook.exchange.plan_toml import Plan
from haulbook.exchange.station_toml import Site, Station
from haulbook.office.kit_water import water_of
from haulbook.office.plan_outing import Planned, plan_outing
from haulbook.office.planning.asked import Asked
from haulbook.office.planning.calendar import plan_event
from haulbook.office.planning.page import plan_page
from haulbook.permit.detail import NoticeRule
from haulbook.permit.model import Permit
from haulbook.problems import Problem, Refusal
from haulbook.publish import month_strip
from haulbook.publish.plan_page import CHIPS, SHOWN_HAULS
from haulbook.publish.plan_parts import PlanPage, in_per_cent
from haulbook.publish.tide_chart import description, tide_chart
from haulbook.station import clock
from haulbook.station.models import Device, EntryRow, PlanVersion
from haulbook.station.pages.plan_forms import MonthForm, PlanForm, buckets_form, plan_body
from haulbook.station.people.roles import LEAD, SIGNED_IN
from haulbook.station.store import book, permits, plans, readings, reference
from haulbook.station.store.past import past
from haulbook.station.web.route import person_of, route, signed_in
from haulbook.tide import Work, load_catalog

SEED = 1
"""Chances are drawn; the same question gets the same answer."""
ACTS = ("notice-sent", "receipt", "permission")


def month(request: HttpRequest) -> HttpResponse:
    """Show a month of tides at a site: windows, and what stands against each."""
    station = reference.station()
    now = clock.now()
    own = [plans.read(row) for row in plans.newest()]
    usable = [key for key, site in station.sites.items() if site.tide and site.bed_m is not None]
    if not usable:
        return render(request, "plan/nothing.html", {"here": "plan", "sites": list(station.sites)})
    asked = {"site": usable[0], "month": f"{now:%Y-%m}", "hauls": "3"} | {
        key: value for key, value in request.GET.items() if key in MonthForm.base_fields
    }
    form = MonthForm(usable, asked)
    page, status = None, 200
    if form.is_valid():
        site, first = station.sites[form.cleaned_data["site"]], form.cleaned_data["month"]
        last = first.replace(day=calendar.monthrange(first.year, first.month)[1])
        known = permits.permits()
        try:
            page = _page(station, site, known, first, last, None, form.cleaned_data["hauls"], now)
        except Refusal as refusal:
            form.add_error(None, str(refusal))
    if form.errors:
        status = 400
    return render(
        request,
        "plan/month.html",
        {
            "here": "plan",
            "form": form,
            "page": page,
            "plans": own,
            "may": _is_lead(request),
            "site": form.cleaned_data.get("site", ""),
            **(_drawn(page) if page else {}),
            **(_months_beside(form.cleaned_data["month"]) if page else {"before": "", "after": ""}),
        },
        status=status,
    )


def new_plan(request: HttpRequest) -> HttpResponse:
    """Plan an outing: when, who, with what."""
    station, known, pack = reference.station(), permits.permits(), reference.pack_of_station()
    devices = list(Device.objects.filter(revoked_at__isnull=True).values_list("key", flat=True))
    form = PlanForm(
        station, known, devices, pack, request.POST or None, initial=_begun(request, station, known)
    )
    buckets = buckets_form(request.POST or None, before=_buckets_before())
    if request.method == "POST" and form.is_valid() and buckets.is_valid():
        outing = _free_outing(form.cleaned_data["date"])
        if _kept(form, buckets, outing, [], signed_in(request).key):
            messages.success(request, _("%(outing)s is planned.") % {"outing": outing})
            return redirect("plan-outing", outing=outing)
    return _plan_form(request, form, buckets, _("Plan an outing"), "")


def change_plan(request: HttpRequest, outing: str) -> HttpResponse:
    """Change a plan; every version stays."""
    row = _row(outing)
    station, known, pack = reference.station(), permits.permits(), reference.pack_of_station()
    devices = list(Device.objects.filter(revoked_at__isnull=True).values_list("key", flat=True))
    initial = {**row.body, "looked_for": "\n".join(row.body.get("looked_for", []))}
    form = PlanForm(station, known, devices, pack, request.POST or None, initial=initial)
    buckets = buckets_form(request.POST or None, before=row.body.get("buckets", []))
    if request.method == "POST" and form.is_valid() and buckets.is_valid():
        if form.cleaned_data["date"].isoformat() != row.body["date"]:
            form.add_error("date", _("An outing's key holds its day: drop this plan and plan the other day."))
        elif _kept(form, buckets, outing, row.body.get("paper", []), signed_in(request).key):
            messages.success(request, _("The changed plan is kept; the one before stays readable."))
            return redirect("plan-outing", outing=outing)
    return _plan_form(request, form, buckets, _("Change the plan of %(outing)s") % {"outing": outing}, outing)


def _plan_form(request: HttpRequest, form: PlanForm, buckets: Any, title: str, outing: str) -> HttpResponse:
    wrong = bool(form.errors) or any(buckets.errors)
    words = {"here": "plan", "form": form, "buckets": buckets, "title_words": title, "outing": outing}
    return render(request, "plan/form.html", words, status=400 if wrong else 200)


def _kept(form: PlanForm, buckets: Any, outing: str, papers: list[Any], by: str) -> bool:
    try:
        plans.keep(plan_body(outing, form, buckets, papers), by, form.cleaned_data["note"])
    except Refusal as refusal:
        for problem in refusal.problems:
            name = (problem.column or "").partition(".")[0]
            form.add_error(name if name in form.fields else None, problem.message)
        return False
    return True


def plan_of_outing(request: HttpRequest, outing: str) -> HttpResponse:
    """Show one plan: go or no-go, what limits it, who goes with what."""
    row = _row(outing)
    page = _page_of(row)
    return render(
        request,
        "plan/outing.html",
        {
            "here": "plan",
            "page": page,
            "outing": outing,
            "row": row,
            "plan": plans.read(row),
            "versions": PlanVersion.objects.filter(outing=outing).order_by("-number"),
            "opened": EntryRow.objects.filter(outing=outing).exists(),
            "notices": _notices(row),
            "may": _is_lead(request),
            "acts": ACTS,
            **_drawn(page),
        },
    )


def drop_plan(request: HttpRequest, outing: str) -> HttpResponse:
    """Drop a plan; it stays readable in the history."""
    row = _row(outing)
    if EntryRow.objects.filter(outing=outing).exists():
        raise Refusal(_("%(outing)s was opened; close it instead.") % {"outing": outing})
    plans.keep(dict(row.body), signed_in(request).key, request.POST.get("note", "")[:400], dropped=True)
    messages.success(request, _("The plan of %(outing)s is dropped.") % {"outing": outing})
    return redirect("plan")


def paper_done(request: HttpRequest, outing: str) -> HttpResponse:
    """Write down that a notice was sent, or that a receipt or permission came."""
    row = _row(outing)
    act, no, clause = (request.POST.get(name, "") for name in ("act", "permit", "clause"))
    if act not in ACTS or no not in row.body["permits"]:
        raise Refusal(_("Say what was sent or came, and under which permit of this plan."))
    body = {"permit": no, "act": act} | ({"clause": clause} if clause else {})
    book.write([book.Wanted("paper", body)], signed_in(request).key, reference.settings().zone)
    messages.success(request, _("Written down."))
    return redirect("plan-outing", outing=outing)


def calendar_file(request: HttpRequest, outing: str) -> HttpResponse:
    """Give the outing as an entry of a calendar."""
    planned = _planned_of(_row(outing))
    event = plan_event(planned)
    if event is None:
        raise Refusal(_("There is no window on that day, so there is nothing to put into a calendar."))
    content = ics.calendar([event], planned.asked.now, None)
    return _file(content, "text/calendar; charset=utf-8", f"{outing}.ics")


def printed(request: HttpRequest, outing: str) -> HttpResponse:
    """Give the plan on paper."""
    from haulbook.publish.plan_paper import plan_paper

    paper = "letter" if request.GET.get("paper") == "letter" else "a4"
    return _file(plan_paper(_page_of(_row(outing)), paper=paper), "application/pdf", f"plan-{outing}.pdf")


def _file(content: bytes, media_type: str, name: str) -> HttpResponse:
    return HttpResponse(
        content, content_type=media_type, headers={"Content-Disposition": f'attachment; filename="{name}"'}
    )


def _row(outing: str) -> PlanVersion:
    row = plans.of_outing(outing)
    if row is None:
        raise Http404(_("There is no plan of %(outing)s.") % {"outing": outing})
    return row


def _is_lead(request: HttpRequest) -> bool:
    person = person_of(request)
    return person is not None and person.access in LEAD


def _page_of(row: PlanVersion) -> PlanPage:
    return _as_page(_planned_of(row))


def _planned_of(row: PlanVersion) -> Planned:
    station, plan = reference.station(), plans.read(row)
    if plan.site not in station.sites:
        raise Refusal(
            _("The plan's site, %(site)s, is not a site of the station any more.") % {"site": plan.site}
        )
    first = plan.date - timedelta(days=3)
    site = station.sites[plan.site]
    return _planned(
        station, site, permits.permits(), first, plan.date + timedelta(days=10), plan, plan.hauls, clock.now()
    )


def _page(
    station: Station,
    site: Site,
    known: tuple[Permit, ...],
    first: date,
    last: date,
    plan: Plan | None,
    hauls: int,
    now: datetime,
) -> PlanPage:
    return _as_page(_planned(station, site, known, first, last, plan, hauls, now))


def _as_page(planned: Planned) -> PlanPage:
    pack = reference.pack_of_station()
    facts = [(_("taxon pack"), f"{pack.key}, {pack.version}"), (_("drawn with seed"), str(SEED))]
    return plan_page(planned, pack, facts, invented=reference.settings().invented)


def _planned(
    station: Station,
    site: Site,
    known: tuple[Permit, ...],
    first: date,
    last: date,
    plan: Plan | None,
    hauls: int,
    now: datetime,
) -> Planned:
    """Return a plan; one worked out from the same book, permits and question is taken again."""
    hour = now.replace(minute=0, second=0, microsecond=0)  # notices count by the hour
    question = [repr(site), repr(plan), str(first), str(last), str(hauls), str(hour), *map(repr, known)]
    inputs = sha256_of(
        canonical([*question, repr(sorted(station.nets.items())), repr(sorted(station.people))])
    )

    def make() -> Planned:
        at = water_of(site, None)
        if at is None:
            raise Refusal(Problem("refused", _("site %(site)s names no tide station") % {"site": site.key}))
        asked = Asked(
            station=station,
            site=site,
            tide_station=at.station,
            tide_stations=load_catalog().stations,
            permits=known,
            first=first,
            last=last,
            now=hour.astimezone(ZoneInfo(site.zone)),
            plan=plan,
            work=replace(Work(), hauls=hauls),
        )
        before, _behind = readings.remembered("past", "", past)
        return plan_outing(asked, before, reference.pack_of_station(), np.random.default_rng(SEED))

    made, _behind = readings.remembered("plan", inputs, make)
    return made


def _drawn(page: PlanPage) -> dict[str, Any]:
    hours = month_strip.hours_of(page.days, page.tide.zone)
    return {
        "chart": tide_chart(page.tide),
        "chart_words": description(page.tide),
        "hours": hours,
        "months": month_strip.months(page.days),
        "strip": month_strip.strip,
        "low_to_name": month_strip.low_to_name,
        "local": lambda at: month_strip.local_clock(at, page.tide.zone),
        "hauls_ahead": range(1, SHOWN_HAULS + 1),
        "chips": CHIPS,
        "share": in_per_cent,
    }


def _months_beside(first: date) -> dict[str, str]:
    before = first - timedelta(days=1)
    after = (first.replace(day=28) + timedelta(days=4)).replace(day=1)
    return {"before": f"{before:%Y-%m}", "after": f"{after:%Y-%m}"}


def _begun(request: HttpRequest, station: Station, known: tuple[Permit, ...]) -> dict[str, Any]:
    """Return what a new plan begins with: the day that was pressed, and what the plan before had."""
    before = PlanVersion.objects.order_by("-pk").first()
    said = dict(before.body) if before else {}
    said.pop("keep_device", None)
    now = clock.now()
    day = request.GET.get("date", "")
    people = [key for key, one in station.people.items() if one.role != "viewer"]
    usual = {
        "site": next(iter(station.sites), ""),
        "hauls": 3,
        "permits": [one.no for one in known if one.valid_from <= now < one.valid_to],
        "nets": list(station.nets)[:1],
        "crew": people,
        "people_present": len(people),
    }
    asked = {name: request.GET[name] for name in ("site", "hauls") if name in request.GET}
    return {**usual, **said, "looked_for": "\n".join(said.get("looked_for", [])), "date": day, **asked}


def _buckets_before() -> list[dict[str, Any]]:
    before = PlanVersion.objects.order_by("-pk").first()
    usual = [
        {"place": "bucket 1", "purpose": "keep", "litres": 14, "air_per_h": 3.0},
        {"place": "bucket 2", "purpose": "hold", "litres": 14},
        {"place": "bucket 3", "purpose": "release", "litres": 14},
    ]
    return before.body.get("buckets") or usual if before else usual


def _free_outing(day: date) -> str:
    """Return the first key of a day that no plan and no entry has."""
    taken = set(PlanVersion.objects.filter(outing__startswith=str(day)).values_list("outing", flat=True))
    opened = EntryRow.objects.filter(outing__startswith=str(day)).values_list("outing", flat=True)
    taken |= {key for key in opened.distinct() if key}
    return next(key for key in (f"{day}-{letter}" for letter in string.ascii_lowercase) if key not in taken)


def _notices(row: PlanVersion) -> list[tuple[str, str, str]]:
    """Return (permit, clause, to whom) of every notice that a permit of the plan asks for."""
    return list(_asked_notices(row))


def _asked_notices(row: PlanVersion) -> Iterator[tuple[str, str, str]]:
    now = clock.now()
    for permit in permits.permits():
        if permit.no in row.body["permits"]:
            for clause in permit.ruling(now):
                if isinstance(clause.detail, NoticeRule):
                    yield permit.no, clause.id, clause.detail.to or _("the agency")


ROUTES = [
    route("plan/", month, "plan", get=SIGNED_IN),
    route("plan/new/", new_plan, "new-plan", get=LEAD, post=LEAD),
    route("plan/<str:outing>/", plan_of_outing, "plan-outing", get=SIGNED_IN),
    route("plan/<str:outing>/change/", change_plan, "change-plan", get=LEAD, post=LEAD),
    route("plan/<str:outing>/drop/", drop_plan, "drop-plan", post=LEAD),
    route("plan/<str:outing>/paper/", paper_done, "plan-paper", post=LEAD),
    route("plan/<str:outing>/calendar.ics", calendar_file, "plan-calendar", get=SIGNED_IN),
    route("plan/<str:outing>/plan.pdf", printed, "plan-print", get=SIGNED_IN),
]
