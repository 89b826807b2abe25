"""What only somebody who was there, or who knows the sheet, can say."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from haulbook.exchange.answers import Answer
from haulbook.exchange.date_forms import DATE_FORMS, EXAMPLES
from haulbook.exchange.joins import OWN
from haulbook.exchange.sheet_map import FATES
from haulbook.office.bring_in import Asked, Brought
from haulbook.station.models import BringIn
from haulbook.station.pages.bring_in import handed
from haulbook.station.pages.bring_in.looking import looked_through
from haulbook.station.pages.transcribe.words import COLUMNS
from haulbook.station.store import reference
from haulbook.taxa.names import resolve

A_PAGE = 40
SAY, MORE, KEY = "say-", "more-", "key-"
"""How fields begin: an answer, what goes with it, and which question it is."""
_FOR_FILES = re.compile(r"\s*\bAnswer .*?(?= Until |$)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Shown:
    """A question on the page.

    ``kind``: ``one`` of ``options``, or another text where ``other`` names what; ``fate``: a place and a number.
    """

    number: int
    asked: Asked
    kind: str
    options: tuple[tuple[str, str], ...]
    other: str
    said: str
    more: str
    wrong: str = ""

    @property
    def words(self) -> str:
        """The question without what only somebody needs who answers it in a file."""
        question = self.asked.question
        if question.about == "name":
            told = ngettext(
                "Which animal is “{name}”, on {n} row?",
                "Which animal is “{name}”, on {n} rows?",
                len(question.rows),
            )
            return told.format(name=question.key, n=len(question.rows))
        return _FOR_FILES.sub(" ", question.ask).strip()

    @property
    def mark(self) -> str:
        """Names the question in the form."""
        return f"{self.asked.question.about}|{self.asked.question.key}"


def questions(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask, or keep what was answered."""
    row = handed.bring_in_of(pk)
    if row.entered_at is not None or row.progress:
        return redirect("bring-in-check", pk=pk)
    found = looked_through(row)
    if found.brought is None:
        return redirect("bring-in-columns", pk=pk)
    if request.method == "POST":
        return _keep(request, row, found.brought)
    return _page(request, row, found.brought)


def _keep(request: HttpRequest, row: BringIn, brought: Brought) -> HttpResponse:
    by_mark = {f"{one.question.about}|{one.question.key}": one for one in brought.asked}
    given = {(one.about, one.key): one for one in handed.answers_of(row)}
    wrong: dict[str, str] = {}
    for name, mark in request.POST.items():
        one = by_mark.get(str(mark)) if name.startswith(KEY) else None
        if one is None:
            continue
        n = name.removeprefix(KEY)
        to, told = _answer(one, request.POST.get(f"{SAY}{n}", ""), request.POST.get(f"{MORE}{n}", "").strip())
        if told:
            wrong[str(mark)] = told
        elif to is None:
            given.pop((one.question.about, one.question.key), None)
        else:
            given[one.question.about, one.question.key] = Answer(
                one.question.about, one.question.key, one.question.rows, to
            )
    row = handed.change(row, answers=handed.answers_text(given.values()))
    now = looked_through(row).brought
    if wrong or now is None:
        return _page(request, row, now or brought, wrong, request.POST.dict())
    if n_open := now.open_questions:
        messages.info(
            request,
            ngettext("Kept. {n} question stands open.", "Kept. {n} questions stand open.", n_open).format(
                n=n_open
            ),
        )
        return redirect("bring-in-questions", pk=row.pk)
    return redirect("bring-in-check", pk=row.pk)


def _answer(one: Asked, said: str, more: str) -> tuple[Any, str]:
    """Return an answer as an answers file holds it (None while it is open), or why it can't be."""
    about = one.question.about
    if not said:
        return None, ""
    if about == "fate":
        if not more.isdecimal():
            return None, _("Say of how many animals that holds.")
        return {"fate": said, "n": int(more)}, "" if said in FATES else _("Choose one.")
    text = more if said == "other" else said
    if about == "blank-count":
        if text != "present" and not text.isdecimal():
            return None, _("Write a whole number, or choose that they were seen and not counted.")
        return (text if text == "present" else int(text)), ""
    if about == "name" and text != OWN:
        match = resolve(text, reference.pack_of_station())
        if match.taxon is None:
            return None, _("{name} is no certain animal of the pack.").format(name=text or "?")
        return match.taxon, ""
    return (text, "") if text else (None, _("Choose one, or write the other."))


def _page(
    request: HttpRequest,
    row: BringIn,
    brought: Brought,
    wrong: Mapping[str, str] | None = None,
    typed: Mapping[str, str] | None = None,
) -> HttpResponse:
    page = int(request.GET["page"]) if request.GET.get("page", "").isdecimal() else 1
    first = (max(1, min(page, 10_000)) - 1) * A_PAGE
    typed = typed or {}
    numbers = {mark: name.removeprefix(KEY) for name, mark in typed.items() if name.startswith(KEY)}
    shown = [
        _shown(number, one, wrong or {}, typed, numbers)
        for number, one in enumerate(brought.asked[first : first + A_PAGE], first + 1)
    ]
    context = {
        "here": "bring-in",
        "row": row,
        "brought": brought,
        "shown": shown,
        "first": first + 1,
        "last": first + len(shown),
        "page": page,
        "more": first + A_PAGE < len(brought.asked),
    }
    return render(request, "bring_in/questions.html", context, status=400 if wrong else 200)


def _shown(
    number: int, one: Asked, wrong: Mapping[str, str], typed: Mapping[str, str], numbers: Mapping[str, str]
) -> Shown:
    mark = f"{one.question.about}|{one.question.key}"
    options, other = _options(one)
    said, more = _said(one, dict(options))
    if n := numbers.get(mark):
        said, more = typed.get(f"{SAY}{n}", ""), typed.get(f"{MORE}{n}", "")
    kind = "fate" if one.question.about == "fate" else "one"
    return Shown(number, one, kind, options, other, said, more, wrong.get(mark, ""))


def _said(one: Asked, options: Mapping[str, str]) -> tuple[str, str]:
    if one.answer is None:
        return "", ""
    if isinstance(one.answer, Mapping):
        return str(one.answer["fate"]), str(one.answer["n"])
    text = str(one.answer)
    return (text, "") if text in options else ("other", text)


def _options(one: Asked) -> tuple[tuple[tuple[str, str], ...], str]:
    """Return the choices there are for a question, and what else can be written; empty where nothing can."""
    about, ask = one.question.about, one.question.ask
    if about == "name":
        return (*one.options, (OWN, _("nobody can say: it stays open as it is written"))), _("another animal")
    if about == "fate":
        return tuple((fate, str(COLUMNS.get(fate, fate))) for fate in FATES if fate != "net"), ""
    if about == "repeat":
        return (
            ("once", _("the same animals, told twice: count them once")),
            ("add", _("others: add them")),
        ), ""
    if about == "sum-row":
        return (("sum", _("a sum: leave it out")), ("animals", _("animals: count them"))), ""
    if about == "unit":
        return (("west", _("west of Greenwich: the sign was left out")), ("east", _("east, as written"))), ""
    if about == "date-order":
        forms = [form for form in DATE_FORMS if f"'{form}'" in ask]
        return tuple((form, f"{form}, {_('as')} {EXAMPLES[form]}") for form in forms), ""
    if about == "blank-count":
        seen = (("present", _("seen, not counted")),) if '"present"' in ask else ()
        return seen, _("this many in each row")
    near = re.search(r"the nearest without a partner is '([^']+)'", ask)
    known = ((near[1], near[1]),) if near else ()
    return (*known, (OWN, _("a haul of its own"))), _("the haul with this key")
