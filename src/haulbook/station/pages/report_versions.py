"""One signed version of a report: as it was, what it changed, whether it was sent and answered."""

from __future__ import annotations

from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from haulbook.office.report_versions import Version, delta, of_days
from haulbook.permit.fields import FIELDS
from haulbook.permit.grounds import Span
from haulbook.problems import Refusal
from haulbook.station import clock
from haulbook.station.pages.permit import is_lead, permit_of
from haulbook.station.pages.permit_files import as_file
from haulbook.station.pages.permit_links import report_url
from haulbook.station.pages.report_forms import ProofForm, span_words
from haulbook.station.pages.report_tables import seen_tables, sheet_file
from haulbook.station.store import reports as store
from haulbook.station.store.reference import settings
from haulbook.station.web.route import signed_in


def version(request: HttpRequest, digest: str) -> HttpResponse:
    """Show a signed version."""
    return _page(request, _of(digest), {})


def sent(request: HttpRequest, digest: str) -> HttpResponse:
    """Mark a version as sent."""
    told = _("Written down: the report is sent.")
    return _proved(request, digest, "sent", told)


def receipt(request: HttpRequest, digest: str) -> HttpResponse:
    """Write down that the agency's receipt came."""
    told = _("Written down: the receipt came.")
    return _proved(request, digest, "receipt", told)


def take(request: HttpRequest, digest: str, form: str) -> HttpResponse:
    """Give a signed version as it was: CSV, XLSX, or the text that the digest is of."""
    one = _of(digest)
    stem = f"report-{one.cover.permit}-{one.cover.first}-{one.cover.number}"
    if form == "cover":
        return as_file(one.cover.text().encode(), "application/json", f"{stem}-cover.json")
    made = store.content_of(one.cover)
    if form == "json":
        return as_file(made.text().encode(), "application/json", f"{stem}.json")
    return sheet_file(request, made, form, str(one.cover.number))


def _of(digest: str) -> Version:
    try:
        return store.version_of(digest)
    except Refusal as refusal:
        raise Http404(str(refusal)) from None


def _proved(request: HttpRequest, digest: str, act: str, told: str) -> HttpResponse:
    one, by = _of(digest), signed_in(request).key
    form = _form(act, one, request.POST, request.FILES)
    if form.is_valid():
        handed, at = form.cleaned_data["proof"], form.cleaned_data["at"].isoformat(timespec="seconds")
        keep = store.sent if act == "sent" else store.received
        try:
            keep(one, permit_of(one.cover.permit), handed.name, handed.read(), by, at)
        except Refusal as refusal:
            if act == "receipt" and not one.sent:
                raise  # there is no such form on the page yet
            for problem in refusal.problems:
                form.add_error("proof", problem.message)
        else:
            messages.success(request, told)
            return redirect("report-version", digest=digest)
    return _page(request, one, {act: form}, 400)


def _page(request: HttpRequest, one: Version, forms: dict[str, ProofForm], status: int = 200) -> HttpResponse:
    cover, made = one.cover, store.content_of(one.cover)
    every = of_days(store.versions(), cover.permit, cover.first, cover.last)
    before = next((each for each in every if each.cover.digest == cover.amends), None)
    following = [each for each in every if each.cover.number > cover.number]
    context: dict[str, Any] = {
        "here": "permits",
        "one": one,
        "cover": cover,
        "made": made,
        "span": span_words(Span(cover.first, cover.last)),
        "tables": seen_tables(request, made),
        "before": before,
        "changes": delta(store.content_of(before.cover), made) if before else (),
        "following": following,
        "forms": {act: forms.get(act) or _form(act, one) for act in ("sent", "receipt")},
        "may": is_lead(request),
        "column": lambda name: FIELDS[name].meaning if name in FIELDS else name,
        "now": report_url(
            cover.permit, first=cover.first, last=cover.last, layout=[name for name, _n in cover.layouts]
        ),
    }
    return render(request, "reports/version.html", context, status=status)


def _form(act: str, one: Version, *said: Any) -> ProofForm:
    return ProofForm(clock.now(), ZoneInfo(settings().zone), one.signed.at.instant, *said, prefix=act)
