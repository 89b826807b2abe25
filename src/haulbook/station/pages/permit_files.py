"""A permit's file: handed in, looked at, kept as the next version; its versions, their differences, the paper."""

from __future__ import annotations

import difflib
import re
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from haulbook.office.permit_changes import permit_changes
from haulbook.problems import Refusal
from haulbook.station.models import PermitFile
from haulbook.station.pages.permit_forms import HandInForm, KeepForm
from haulbook.station.pages.permit_links import permit_url
from haulbook.station.store import permit_files as files
from haulbook.station.store import permits, proofs
from haulbook.station.web.route import signed_in


def hand_in(request: HttpRequest) -> HttpResponse:
    """Take a permit's file and show what it would change; nothing is kept yet."""
    form = HandInForm(request.POST or None, request.FILES or None, initial=_begun(request))
    if request.method == "POST" and form.is_valid():
        text, name = form.cleaned_data["text"], form.cleaned_data["name"]
        try:
            return _look(request, files.look_at(text, name), KeepForm(initial={"text": text}))
        except Refusal as refusal:
            form = HandInForm({"text": text})  # the text stands in the page, where it can be mended
            form.full_clean()
            for problem in refusal.problems:
                form.add_error("text", str(problem))
    return render(
        request,
        "permits/hand_in.html",
        {"here": "permits", "form": form},
        status=400 if form.is_bound and form.errors else 200,
    )


def _begun(request: HttpRequest) -> dict[str, Any]:
    """Begin with the newest text of a permit where one is to be changed by hand."""
    row = PermitFile.objects.filter(no=request.GET.get("no", "")).order_by("-number").first()
    return {"text": row.text} if row else {}


def _look(request: HttpRequest, coming: files.Coming, form: KeepForm, status: int = 200) -> HttpResponse:
    same = coming.before is not None and coming.changes.none
    return render(
        request,
        "permits/look.html",
        {"here": "permits", "coming": coming, "permit": coming.permit, "form": form, "same": same},
        status=status,
    )


def keep(request: HttpRequest) -> HttpResponse:
    """Keep a file that was looked at."""
    form, by = KeepForm(request.POST, request.FILES), signed_in(request).key
    text = request.POST.get("text", "")
    coming = files.look_at(text)
    if form.is_valid():
        handed = form.cleaned_data["paper"]
        try:
            paper = proofs.keep(handed.name, handed.read(), by) if handed else None
            row = files.keep(text, by, form.cleaned_data["why"], paper)
        except Refusal as refusal:
            for problem in refusal.problems:
                form.add_error("paper", problem.message)
        else:
            messages.success(
                request,
                _("Permit %(no)s is kept, version %(number)s of its file.")
                % {"no": row.no, "number": row.number},
            )
            return redirect(permit_url(row.no))
    return _look(request, coming, form, 400)


def versions(request: HttpRequest, no: str) -> HttpResponse:
    """Show every version of a permit's file, and what differs between two of them."""
    rows = list(
        PermitFile.objects.filter(no=no).order_by("-number").select_related("paper").defer("paper__content")
    )
    if not rows:
        raise Http404(_("There is no permit %(no)s.") % {"no": no})
    by_number = {str(row.number): row for row in rows}
    new = by_number.get(request.GET.get("to", ""), rows[0])
    old = by_number.get(request.GET.get("from", "")) or by_number.get(str(new.number - 1))
    changes = permit_changes(permits.permit_in(old), permits.permit_in(new)) if old else None
    lines = (
        list(
            difflib.unified_diff(
                old.text.splitlines(),
                new.text.splitlines(),
                _("version %(n)s") % {"n": old.number},
                _("version %(n)s") % {"n": new.number},
                lineterm="",
                n=2,
            )
        )
        if old
        else []
    )
    return render(
        request,
        "permits/files.html",
        {
            "here": "permits",
            "no": no,
            "rows": rows,
            "old": old,
            "new": new,
            "changes": changes,
            "lines": lines,
            "may": signed_in(request).access == "lead",
        },
    )


def download(request: HttpRequest, no: str, number: int) -> HttpResponse:
    """Give one version of a permit's file as it was kept."""
    row = _version(no, number)
    return as_file(row.text.encode(), "application/toml; charset=utf-8", f"{no}-{number}.toml")


def add_paper(request: HttpRequest, no: str, number: int) -> HttpResponse:
    """Put the scanned permit to a version that has none."""
    row, handed = _version(no, number), request.FILES.get("paper")
    if handed is None:
        raise Refusal(_("Choose the scanned permit, then hand it in."))
    if row.paper_id is not None:
        raise Refusal(_("This version has its paper already; a new one goes with the next version."))
    paper = proofs.keep(handed.name or "", handed.read(), signed_in(request).key)
    PermitFile.objects.filter(pk=row.pk, paper=None).update(paper=paper)
    messages.success(request, _("The paper is kept with version %(number)s.") % {"number": number})
    return redirect("permit-files", no=no)


def proof(request: HttpRequest, sha256: str) -> HttpResponse:
    """Give a file that proves something: a scanned permit, what was sent, what came back."""
    row = proofs.find(sha256)
    if row is None:
        raise Http404(_("No paper has this digest."))
    return as_file(bytes(row.content), row.media_type, row.name)


def as_file(content: bytes, media_type: str, name: str) -> HttpResponse:
    """Return a file to be saved under a plain name; never shown as a page of the station."""
    plain = re.sub(r"[^A-Za-z0-9._-]+", "-", name).strip("-.") or "file"
    return HttpResponse(
        content,
        content_type=media_type,
        headers={
            "Content-Disposition": f'attachment; filename="{plain}"',
            "X-Content-Type-Options": "nosniff",
        },
    )


def _version(no: str, number: int) -> PermitFile:
    row = PermitFile.objects.filter(no=no, number=number).first()
    if row is None:
        raise Http404(_("Permit %(no)s has no version %(number)s.") % {"no": no, "number": number})
    return row
