"""What each column is: proposed with its reason, and changed by whoever knows better."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from haulbook.exchange.sheet_map import FATES
from haulbook.exchange.toml_keys import parse_toml
from haulbook.office.sheet_map_form import FileSettings, Setting, changed, settings_of
from haulbook.problems import Problem, Refusal
from haulbook.station.models import BringIn
from haulbook.station.pages.bring_in import handed
from haulbook.station.pages.bring_in.looking import looked_through
from haulbook.station.pages.transcribe.words import COLUMNS
from haulbook.station.store import reference
from haulbook.taxa import PACKS

SET, WAS = "set-", "was-"
"""How fields begin: a setting, and what stood in it when the page was made."""


def columns(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what was understood of the files, or change it."""
    row = handed.bring_in_of(pk)
    if row.entered_at is not None or row.progress:
        return redirect("bring-in-check", pk=pk)
    if request.method == "POST":
        return _change(request, row)
    return _page(request, row)


def _change(request: HttpRequest, row: BringIn) -> HttpResponse:
    if request.POST.get("press") == "text":
        text = request.POST.get("map", "").replace("\r\n", "\n")
        try:
            parse_toml(text, handed.MAP)
        except Refusal as refusal:
            return _page(request, row, text=text, told=refusal.problems, status=400)
        row = handed.change(row, map=text)
    else:
        values = {
            name.removeprefix(SET): str(text)
            for name, text in request.POST.items()
            if name.startswith(SET) and text != request.POST.get(f"{WAS}{name.removeprefix(SET)}")
        }
        content = changed(handed.map_content(row), handed.seen_of(row), values)
        row = handed.change(row, map=handed.map_text(content))
    found = looked_through(row)
    if found.brought is None:
        messages.warning(request, _("Kept. Something still has to be said before the sheets can be read."))
        return redirect("bring-in-columns", pk=row.pk)
    return redirect("bring-in-questions" if found.brought.open_questions else "bring-in-check", pk=row.pk)


def _page(
    request: HttpRequest,
    row: BringIn,
    *,
    text: str | None = None,
    told: tuple[Problem, ...] = (),
    status: int = 200,
) -> HttpResponse:
    content = handed.map_content(row)
    settings = settings_of(content, handed.seen_of(row))
    problems = (*told, *looked_through(row).problems)
    wrong = {one.column: one.message for one in problems if one.file == handed.MAP and one.column}
    known = {one.key for part in settings for one in _all_settings(part)} | {"default_fate", "pack"}
    noted = [Problem(**one) for one in row.choices.get("notes", ())]
    context = {
        "here": "bring-in",
        "row": row,
        "settings": settings,
        "default_fate": content.get("default_fate", ""),
        "fates": [
            ("", _("nobody can say: not accounted for")),
            *((fate, COLUMNS.get(fate, fate)) for fate in FATES),
        ],
        "asks_fate": any(one.column == "default_fate" for one in noted),
        "pack": content.get("pack", ""),
        "own_pack": reference.pack_of_station().key,
        "packs": [(pack, pack) for pack in PACKS],
        "fits": row.choices.get("fits", ""),
        "wrong": wrong,
        "problems": [one for one in problems if not (one.file == handed.MAP and one.column in known)],
        "notes": [one for one in noted if one.kind == "note"],
        "asked": [one for one in noted if one.kind == "asked" and one.column != "default_fate"],
        "text": row.map if text is None else text,
        "text_open": text is not None,
    }
    return render(request, "bring_in/columns.html", context, status=status)


def _all_settings(part: FileSettings) -> tuple[Setting, ...]:
    return (*part.settings, *part.columns, *(one for table in part.words.values() for one in table))
