"""Opening an outing, closing it, opening it again, signing it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from haulbook.custody.book import Book
from haulbook.custody.closing import last_of_each, signoff_digest
from haulbook.custody.entry import Draft
from haulbook.office import mend, signing
from haulbook.office.pen import Pen
from haulbook.problems import Problem, Refusal
from haulbook.station.pages.outing.at_hand import AtHand, at_hand, fresh_id, write_once
from haulbook.station.pages.outing.page import blocking, open_matters
from haulbook.station.pages.outing.words import title_of
from haulbook.station.pages.transcribe.context import at_desk
from haulbook.station.people.roles import Role
from haulbook.station.store import book, readings
from haulbook.station.web.route import signed_in


def open_outing(request: HttpRequest, outing: str) -> HttpResponseBase:
    """Open an outing from its plan, at the desk."""
    about = at_hand(outing)

    def make(own: Book, pen: Pen) -> tuple[Draft, ...]:
        if any(entry.kind == "outing-opened" for entry in own.standing()):
            raise Refusal(_("%(outing)s is open already.") % {"outing": outing})
        return (pen.line("outing-opened", at_desk(outing).opening()),)

    return _do(request, about, make, _("The outing is open."))


def close(request: HttpRequest, outing: str) -> HttpResponseBase:
    """Close an outing; where something stands in the way, show the first thing."""
    about = at_hand(outing)
    opened = open_matters(about, may_lead=True)
    if blocking(opened):
        return redirect(reverse("outing", kwargs={"outing": outing}) + "#first")
    remark = " ".join(request.POST.get("remark", "").split())[:400]
    chains = readings.chains()

    def make(own: Book, pen: Pen) -> tuple[Draft, ...]:
        draft = signing.close(
            own,
            outing,
            entry_id=pen.ids(),
            at=pen.now,
            by=pen.by,
            remark=remark or None,
            within=about.pack.is_within,
            of_devices=chains,
        )
        return (draft,)

    return _do(request, about, make, _("Closed. The lead reads it and signs."))


def reopen(request: HttpRequest, outing: str) -> HttpResponseBase:
    """Open a closed outing again: the line that closed it is struck."""
    about = at_hand(outing)
    why = " ".join(request.POST.get("reason", "").split())[:400] or _("opened again")

    def make(own: Book, pen: Pen) -> tuple[Draft, ...]:
        closing = [e.id for e in own.standing() if e.kind == "outing-closed" and e.outing == outing]
        if not closing:
            raise Refusal(_("%(outing)s is open already.") % {"outing": outing})
        return mend.strike(own, closing, why, pen)

    return _do(request, about, make, _("The outing is open again."))


def sign(request: HttpRequest, outing: str) -> HttpResponseBase:
    """Show what a sign-off covers, or sign."""
    about = at_hand(outing)
    person = signed_in(request)
    own = book.book_of_outing(outing)
    problems: tuple[Problem, ...] = ()
    if request.method == "POST":
        shown, chains = request.POST.get("digest", ""), readings.chains()

        def make(now: Book, pen: Pen) -> tuple[Draft, ...]:
            if shown != signoff_digest(now, outing, last_of_each(now, outing)):
                raise Refusal(_("A line came in since you read this. Read it once more, then sign."))
            draft = signing.sign(
                now,
                outing,
                entry_id=pen.ids(),
                at=pen.now,
                by=pen.by,
                role=person.access,
                within=about.pack.is_within,
                of_devices=chains,
            )
            return (draft,)

        try:
            if write_once(request, about, make) is None:
                messages.info(request, _("It was signed already; nothing more was written."))
            else:
                messages.success(request, _("Signed. What comes in from now on makes an amendment."))
            return redirect("outing", outing=outing)
        except Refusal as refusal:
            problems = refusal.problems
    return render(
        request, "outing/sign.html", _to_sign(request, about, own, problems), status=400 if problems else 200
    )


def _to_sign(request: HttpRequest, about: AtHand, own: Book, problems: tuple[Problem, ...]) -> dict[str, Any]:
    covers = last_of_each(own, about.outing)
    entries = [entry for entry in own.entries if entry.outing == about.outing]
    return {
        "here": "outings",
        "about": about,
        "title_words": title_of(about),
        "covers": sorted(covers.items()),
        "digest": signoff_digest(own, about.outing, covers),
        "lines": sum(entry.seq <= covers.get(entry.device, 0) for entry in entries),
        "versions": signing.versions(own, about.outing),
        "open": open_matters(about, may_lead=True),
        "problems": problems,
        "may": signed_in(request).access == Role.LEAD,
        "made": fresh_id(),
    }


def _do(request: HttpRequest, about: AtHand, make: Any, done: str) -> HttpResponseBase:
    try:
        if write_once(request, about, make) is None:
            messages.info(request, _("That was written already; nothing more was written."))
        else:
            messages.success(request, done)
    except Refusal as refusal:
        for problem in refusal.problems:
            messages.warning(request, f"{problem.message[:1].upper()}{problem.message[1:]}.")
    return redirect("outing", outing=about.outing)
