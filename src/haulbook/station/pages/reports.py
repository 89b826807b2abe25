"""Reports to agencies: which are due, one as it would be sent, signing it; the routes of this group."""

from __future__ import annotations

from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from haulbook.office.report_versions import Version, of_days
from haulbook.permit.fields import FIELDS
from haulbook.permit.grounds import Span
from haulbook.permit.layout import Layout
from haulbook.permit.model import Permit
from haulbook.problems import Refusal
from haulbook.station import clock
from haulbook.station.models import LayoutFile
from haulbook.station.pages import report_versions as versions
from haulbook.station.pages.permit import is_lead, permit_of
from haulbook.station.pages.permit_links import report_url
from haulbook.station.pages.report_forms import (
    ChooseForm,
    LayoutForm,
    ReportForm,
    span_words,
    years_of,
)
from haulbook.station.pages.report_tables import seen_tables, sheet_file
from haulbook.station.people.roles import LEAD, SIGNED_IN
from haulbook.station.store import permits, readings, standings
from haulbook.station.store import reports as store
from haulbook.station.store.reference import settings
from haulbook.station.web.route import route, signed_in


def reports(request: HttpRequest) -> HttpResponse:
    """List what was signed and sent, and begin a report."""
    known = permits.permits()
    asked = request.GET.get("permit", "")
    if any(one.no == asked for one in known):
        return redirect(report_url(asked))
    return _list(request, LayoutForm(), ChooseForm(known, initial={}))


def _list(request: HttpRequest, layout: LayoutForm, choose: ChooseForm | None = None) -> HttpResponse:
    known = permits.permits()
    every, _behind = standings.standings(clock.now(), known)
    today = clock.now().astimezone(ZoneInfo(settings().zone)).date()
    signed = store.versions()
    return render(
        request,
        "reports/reports.html",
        {
            "here": "permits",
            "signed": list(reversed(signed)),
            "years": [(one, _years(one, today, signed)) for one in known],
            "loose": store.without_text(signed),
            "due": [(one.permit, one.due) for one in every if one.due],
            "choose": choose or ChooseForm(known),
            "layouts": permits.layouts().values(),
            "own": list(LayoutFile.objects.order_by("name", "-number")),
            "layout_form": layout,
            "may": is_lead(request),
            "span_words": span_words,
        },
        status=400 if layout.errors else 200,
    )


def _years(one: Permit, today: date, signed: tuple[Version, ...]) -> list[tuple[Span, str, str]]:
    """Return each permit year with what became of its report, newest first."""
    found = []
    for days in years_of(one, today):
        last = of_days(signed, one.no, days.first, days.last)
        state = last[-1].state if last else "over" if days.last < today else "running"
        found.append((days, state, report_url(one.no, first=days.first, last=days.last)))
    return found


def report(request: HttpRequest, no: str) -> HttpResponse:
    """Show a report as it would be sent now."""
    own = permit_of(no)
    form = _form(request, own)
    if not form.is_valid():
        return _page(request, own, form, None)
    days, layouts = form.cleaned_data["span"], _layouts(form)
    try:
        seen = store.shown(own, days, layouts)
    except Refusal as refusal:
        form.add_error("layout", str(refusal))
        return _page(request, own, form, None)
    return _page(request, own, form, seen)


def _form(request: HttpRequest, own: Permit) -> ReportForm:
    today = clock.now().astimezone(own.tz).date()
    mine = LayoutFile.objects.values_list("name", flat=True).distinct()
    return ReportForm(own, today, permits.layouts(), request.GET, mine)


def _layouts(form: ReportForm) -> list[Layout]:
    known = permits.layouts()
    return [known[name] for name in known if name in form.cleaned_data["layout"]]


def _page(request: HttpRequest, own: Permit, form: ReportForm, seen: store.Shown | None) -> HttpResponse:
    context: dict[str, Any] = {
        "here": "permits",
        "permit": own,
        "form": form,
        "seen": seen,
        "may": is_lead(request),
    }
    if seen is not None:
        days: Span = form.cleaned_data["span"]
        names = [table.name for table in seen.made.tables]
        signed = of_days(store.versions(), own.no, days.first, days.last)
        last = signed[-1] if signed else None
        context |= {
            "made": seen.made,
            "tables": seen_tables(request, seen.made),
            "days": days,
            "span": span_words(days),
            "signed": signed,
            "last": last,
            "same": last is not None and last.cover.content == seen.digest,
            "was_sent": any(one.sent for one in signed),
            "open": _open(days),
            "running": days.last >= clock.now().astimezone(own.tz).date(),
            "column": lambda name: FIELDS[name].meaning if name in FIELDS else name,
            "query": report_url(own.no, first=days.first, last=days.last, layout=names).partition("?")[2],
            "weights": {"finding": "stop", "question": "near", "note": ""},
        }
    return render(request, "reports/report.html", context, status=400 if form.errors else 200)


def _open(days: Span) -> list[str]:
    """Return outings of these days that are not closed: what comes up there is not in the report yet."""
    return [
        one.outing
        for one in readings.briefs()
        if one.state in ("open", "planned") and str(days.first) <= one.day <= str(days.last)
    ]


def take(request: HttpRequest, no: str, form: str) -> HttpResponse:
    """Give the report as it would be sent now, as CSV (one table) or XLSX (all)."""
    own = permit_of(no)
    asked = _form(request, own)
    if not asked.is_valid():
        raise Refusal(_("Choose days and tables on the report's page first."))
    made = store.shown(own, asked.cleaned_data["span"], _layouts(asked)).made
    return sheet_file(request, made, form, "draft")


def sign(request: HttpRequest, no: str) -> HttpResponse:
    """Sign a report as it was looked at."""
    own = permit_of(no)
    form = _form(request, own)
    if not form.is_valid():
        raise Refusal(_("Choose days and tables on the report's page first."))
    version = store.sign(
        own,
        form.cleaned_data["span"],
        _layouts(form),
        request.POST.get("digest", ""),
        signed_in(request).key,
    )
    messages.success(
        request, _("Version %(n)s is signed. Send it, then mark it as sent.") % {"n": version.cover.number}
    )
    return redirect("report-version", digest=version.cover.digest)


def hand_in_layout(request: HttpRequest) -> HttpResponse:
    """Take an agency's layout file."""
    form = LayoutForm(request.POST, request.FILES)
    if form.is_valid():
        handed = form.cleaned_data["file"]
        try:
            text = handed.read().decode("utf-8-sig")
            row = store.take_layout(handed.name, text, signed_in(request).key)
        except UnicodeDecodeError:
            form.add_error("file", _("This is no text file; a layout is TOML, in UTF-8."))
        except Refusal as refusal:
            for problem in refusal.problems:
                form.add_error("file", str(problem))
        else:
            said = {"name": row.name, "n": row.number}
            messages.success(request, _("Layout %(name)s is kept, version %(n)s.") % said)
            return redirect("reports")
    return _list(request, form)


ROUTES = [
    route("reports/", reports, "reports", get=SIGNED_IN),
    route("reports/layout/", hand_in_layout, "layout-hand-in", post=LEAD),
    route("reports/version/<str:digest>/", versions.version, "report-version", get=SIGNED_IN),
    route("reports/version/<str:digest>/sent/", versions.sent, "report-sent", post=LEAD),
    route("reports/version/<str:digest>/receipt/", versions.receipt, "report-receipt", post=LEAD),
    route("reports/version/<str:digest>/<str:form>/", versions.take, "report-version-file", get=SIGNED_IN),
    route("reports/take/<str:form>/<path:no>/", take, "report-file", get=SIGNED_IN),
    route("reports/sign/<path:no>/", sign, "report-sign", post=LEAD),
    route("report/<path:no>/", report, "report", get=SIGNED_IN),
]
