"""Forms of the common kinds of clause; what is off in them the permit file's reader says."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any, ClassVar
from zoneinfo import ZoneInfo

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.permit.measure import plain
from haulbook.permit.model import CLAUSE_BASES, STAGES, Clause, Period, Permit, Scope, Stop
from haulbook.problems import Problem
from haulbook.station.pages.permit_words import basis_words, period_words
from haulbook.taxa import Pack
from haulbook.taxa.names import resolve

_DAY = {"type": "date"}
_ORDER = (
    "id", "text", "page", "taxa", "named_list", "everything", "life_stage", "basis", "limit", "percent", "of", "min_n",
    "period", "lead_h", "to", "receipt", "days_after_end", "month_day", "length_max_m", "height_max_m", "mesh_min_mm",
    "mesh_max_mm", "mesh_as", "hauls_max", "per", "begins", "ends", "stop", "notify", "within_h", "effective_from",
)  # fmt: skip
_NUMBER = re.compile(r"\d{1,9}(\.\d{1,6})?")


class ClauseForm(forms.Form):
    """What every clause says."""

    kind: ClassVar[str] = ""
    renamed: ClassVar[Mapping[str, str]] = {}
    """Key of the permit file -> field of the form, where they differ."""

    id = forms.CharField(
        label=later("Clause"), max_length=40, help_text=later("As the permit numbers it: 4b.")
    )
    text = forms.CharField(
        label=later("The permit's own words"),
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=later("The whole sentence, letter by letter: every finding quotes it."),
    )
    page = forms.CharField(label=later("Page"), max_length=20, required=False)
    effective_from = forms.DateField(
        label=later("Rules from"),
        widget=forms.DateInput(attrs=_DAY),
        required=False,
        help_text=later("Empty: from the permit's first day."),
    )
    why = forms.CharField(label=later("Why it is added"), max_length=400, required=False)

    def __init__(self, pack: Pack, permit: Permit | None, *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        self.pack, self.permit = pack, permit
        self.order_fields(_ORDER)
        for name, field in self.fields.items():
            if type(field) is forms.ChoiceField:
                values = [str(value) for value, _label in field.choices]  # type: ignore[union-attr, misc]
                field.choices = [(value, _shown(name, value)) for value in values]

    def table(self, zone: ZoneInfo) -> dict[str, Any]:
        """Return the clause in the keys of a permit file."""
        said = self.cleaned_data
        source: dict[str, Any] = {}
        if said["page"]:
            source["page"] = int(said["page"]) if said["page"].isdigit() else said["page"]
        versions = self.permit.versions(said["id"]) if self.permit else ()
        table: dict[str, Any] = {"id": said["id"], "version": len(versions) + 1}
        if said["effective_from"]:
            at = said["effective_from"]
            table["effective_from"] = datetime(at.year, at.month, at.day, tzinfo=zone)
        words = " ".join(said["text"].split())
        return {**table, "kind": self.kind, **self.own(), "source": {**source, "text": words}}

    def own(self) -> dict[str, Any]:
        """Return what this kind of clause says of its own."""
        return {}

    def refused(self, problems: Iterable[Problem]) -> None:
        """Put what the reader found on the fields that it is about."""
        for problem in problems:
            name = (problem.column or "").rpartition(".")[2]
            name = self.renamed.get(name, name)
            self.add_error(name if name in self.fields else None, problem.message)


class _Counting(ClauseForm):
    """A clause that counts animals."""

    renamed: ClassVar[Mapping[str, str]] = {
        "list": "named_list",
        "taxon": "taxa",
        "scope": "taxa",
        "all": "taxa",
    }

    taxa = forms.CharField(
        label=later("Which animals"),
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=later("A name a line. A later classification changes nothing in what they mean here."),
    )
    named_list = forms.ChoiceField(label=later("Or a list of this permit"), required=False)
    everything = forms.BooleanField(label=later("Or all animals"), required=False)
    life_stage = forms.MultipleChoiceField(
        label=later("Only of this stage"),
        choices=[(stage, stage) for stage in STAGES],
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    basis = forms.ChoiceField(
        label=later("Counted"), choices=[(str(one), "") for one in CLAUSE_BASES], initial="retained"
    )
    stop = forms.ChoiceField(label=later("Then"), choices=[(str(one), "") for one in Stop], required=False)
    notify = forms.CharField(label=later("Tell"), max_length=200, required=False)
    within_h = forms.DecimalField(label=later("Within hours"), min_value=0, required=False)
    follows: ClassVar[str] = "on_reach"

    def __init__(self, *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        lists = list(self.permit.lists) if self.permit else []
        self.fields["named_list"].choices = [("", _("no list")), *((one, one) for one in lists)]  # type: ignore[attr-defined]
        if not lists:
            del self.fields["named_list"]

    def clean_taxa(self) -> list[str]:
        """Take names that are certain; a name that is not is asked back with what it may be."""
        found, wrong = [], []
        for line in filter(None, map(str.strip, self.cleaned_data["taxa"].splitlines())):
            match = resolve(line, self.pack)
            if match.taxon:
                found.append(match.taxon)
            else:
                near = ", ".join(one.taxon for one in match.candidates) or _("nothing like it")
                wrong.append(_("“%(name)s” is not certain: %(near)s?") % {"name": line, "near": near})
        if wrong:
            raise forms.ValidationError(wrong)
        return list(dict.fromkeys(found))

    def own(self) -> dict[str, Any]:
        """Return its own keys."""
        said = self.cleaned_data
        scope: dict[str, Any] = {}
        if said["everything"]:
            scope["all"] = True
        if said.get("named_list"):
            scope["list"] = said["named_list"]
        if said["taxa"]:
            key = "taxon" if len(said["taxa"]) == 1 else "taxa"
            scope[key] = said["taxa"][0] if key == "taxon" else said["taxa"]
        if said["life_stage"]:
            scope["life_stage"] = said["life_stage"]
        table = {"scope": scope, "basis": said["basis"], **self.number()}
        follows = {"stop": said["stop"]} if said["stop"] not in ("", "none") else {}
        if said["notify"]:
            follows["notify"] = said["notify"]
        if said["within_h"] is not None:
            follows["within_h"] = _figure(str(said["within_h"]))
        return {**table, **({self.follows: follows} if follows else {})}

    def number(self) -> dict[str, Any]:
        """Return what the count is compared with."""
        return {}


class LimitForm(_Counting):
    """At most so many."""

    kind = "limit"
    limit = forms.IntegerField(
        label=later("At most"),
        min_value=0,
        required=False,
        help_text=later("Empty where the permit allows it without a number."),
    )
    period = forms.ChoiceField(
        label=later("In"), choices=[(str(one), "") for one in Period], initial="permit_year"
    )

    def number(self) -> dict[str, Any]:
        """Return the number and its span."""
        limit = self.cleaned_data["limit"]
        return {**({} if limit is None else {"limit": limit}), "period": self.cleaned_data["period"]}


class ProhibitForm(_Counting):
    """None at all."""

    kind = "prohibit"
    follows: ClassVar[str] = "on_any"


class PercentForm(_Counting):
    """At most so many in a hundred."""

    kind = "percent"
    follows: ClassVar[str] = "on_exceed"
    percent = forms.CharField(label=later("Per cent"), max_length=12, help_text=later("As 5 or 2.5."))
    of = forms.ChoiceField(
        label=later("Of those"), choices=[(str(one), "") for one in CLAUSE_BASES], initial="captured"
    )
    min_n = forms.IntegerField(
        label=later("Judged from"),
        min_value=0,
        required=False,
        help_text=later("Animals; fewer are too few to judge."),
    )
    period = forms.ChoiceField(
        label=later("In"), choices=[(str(one), "") for one in Period], initial="permit_year"
    )

    def number(self) -> dict[str, Any]:
        """Return the number and its span."""
        said = self.cleaned_data
        least = {"min_n": said["min_n"]} if said["min_n"] else {}
        return {"percent": said["percent"].rstrip(" %"), "of": said["of"], **least, "period": said["period"]}


class NoticeForm(ClauseForm):
    """Word before going."""

    kind = "notice"
    lead_h = forms.DecimalField(label=later("Hours before the first haul"), min_value=0)
    to = forms.CharField(label=later("To whom"), max_length=200, required=False)
    receipt = forms.BooleanField(label=later("An answer has to come back"), required=False)

    def own(self) -> dict[str, Any]:
        """Return its own keys."""
        said = self.cleaned_data
        rule = {"lead_h": _figure(str(said["lead_h"]))} | ({"to": said["to"]} if said["to"] else {})
        return {"notice": rule | ({"receipt": True} if said["receipt"] else {})}


class ReportForm(ClauseForm):
    """When a report is due."""

    kind = "report"
    period = forms.ChoiceField(
        label=later("About"),
        choices=[(str(one), "") for one in (Period.PERMIT_YEAR, Period.CALENDAR_YEAR, Period.PERMIT_LIFE)],
    )
    days_after_end = forms.IntegerField(label=later("Days after its end"), min_value=0, required=False)
    month_day = forms.CharField(
        label=later("Or on a day of the year"), max_length=5, required=False, help_text=later("As 04-30.")
    )

    def own(self) -> dict[str, Any]:
        """Return its own keys."""
        said = self.cleaned_data
        rule = {key: said[key] for key in ("days_after_end", "month_day") if said[key] not in (None, "")}
        return {"period": said["period"], "report": rule}


class GearForm(ClauseForm):
    """The net, and how often it is set."""

    kind = "gear"
    length_max_m = forms.CharField(
        label=later("Longest net"), max_length=20, required=False, help_text=later("Metres, or as 50 ft.")
    )
    height_max_m = forms.CharField(label=later("Deepest net"), max_length=20, required=False)
    mesh_min_mm = forms.CharField(
        label=later("Smallest mesh"),
        max_length=20,
        required=False,
        help_text=later("Millimetres, or as 1/4 in."),
    )
    mesh_max_mm = forms.CharField(label=later("Largest mesh"), max_length=20, required=False)
    mesh_as = forms.ChoiceField(
        label=later("Mesh measured"), choices=[("", ""), ("stretch", ""), ("bar", "")], required=False
    )
    hauls_max = forms.IntegerField(label=later("Most sets"), min_value=1, required=False)
    per = forms.ChoiceField(label=later("In"), choices=[("outing", ""), ("day", "")])

    def own(self) -> dict[str, Any]:
        """Return its own keys."""
        said = self.cleaned_data
        lengths = ("length_max_m", "height_max_m", "mesh_min_mm", "mesh_max_mm")
        rule: dict[str, Any] = {key: _figure(said[key]) for key in lengths if said[key]}
        if said["mesh_as"]:
            rule["mesh_as"] = said["mesh_as"]
        if said["hauls_max"]:
            rule |= {"hauls_max": said["hauls_max"], "per": said["per"]}
        return {"gear": rule}


class HoursForm(ClauseForm):
    """Hours within which every haul lies."""

    kind = "hours"
    renamed: ClassVar[Mapping[str, str]] = {"from": "begins", "to": "ends"}
    begins = forms.CharField(
        label=later("From"), max_length=20, help_text=later("05:30, sunrise, or sunrise+00:30.")
    )
    ends = forms.CharField(
        label=later("To"), max_length=20, help_text=later("19:00, sunset, or sunset-00:30.")
    )

    def own(self) -> dict[str, Any]:
        """Return its own keys."""
        return {"hours": {"from": self.cleaned_data["begins"], "to": self.cleaned_data["ends"]}}


FORMS: Mapping[str, type[ClauseForm]] = {
    one.kind: one
    for one in (LimitForm, ProhibitForm, PercentForm, NoticeForm, ReportForm, GearForm, HoursForm)
}
"""Kinds of clause that a form can write; the others are written in the file."""


def can_amend(clause: Clause) -> bool:
    """Say whether a form holds everything that a clause says, so that an amendment loses nothing of it."""
    form = FORMS.get(clause.kind)
    if form is None or not issubclass(form, _Counting):
        return False
    scope = clause.scope
    bare = Scope(
        everything=scope.everything, taxa=scope.taxa, list_name=scope.list_name, life_stage=scope.life_stage
    )
    follows = {name: getattr(clause, name) for name in ("on_any", "on_reach", "on_exceed")}
    only = follows.pop(form.follows)
    usual = Clause(
        permit=clause.permit,
        id=clause.id,
        version=clause.version,
        effective_from=clause.effective_from,
        effective_to=clause.effective_to,
        kind=clause.kind,
        source=replace(clause.source, section=None),
        scope=bare,
        basis=clause.basis,
        limit=clause.limit,
        percent=clause.percent,
        of=clause.of,
        min_n=clause.min_n,
        period=clause.period,
        confirmed_by=clause.confirmed_by,
        **{form.follows: only},
    )
    return clause == usual and (only is None or only.written_within_d is None)


def said_of(clause: Clause) -> dict[str, Any]:
    """Return what a clause says in the fields of its form, for an amendment to begin with."""
    scope = clause.scope
    said: dict[str, Any] = {
        "id": clause.id,
        "text": clause.source.text,
        "page": clause.source.page or "",
        "taxa": "" if scope.list_name else "\n".join(scope.taxa),
        "named_list": scope.list_name or "",
        "everything": scope.everything,
        "life_stage": list(scope.life_stage),
        "basis": str(clause.basis),
        "limit": clause.limit,
        "period": str(clause.period),
        "percent": plain(clause.percent) if clause.percent is not None else "",
        "of": str(clause.of),
        "min_n": clause.min_n or None,
    }
    follows = clause.on_any or clause.on_reach or clause.on_exceed
    if follows:
        hours = plain(follows.within_h) if follows.within_h is not None else None
        said |= {"stop": str(follows.stop), "notify": follows.notify or "", "within_h": hours}
    return said


def _shown(name: str, value: str) -> str:
    if name == "period":
        return period_words(value)
    if name in ("basis", "of"):
        return basis_words(value)
    words = {
        "stop": {
            "none": _("work goes on"),
            "taxon": _("no more of these"),
            "haul": _("the haul ends"),
            "outing": _("the outing ends"),
            "permit": _("work under the permit ends"),
        },
        "mesh_as": {
            "": _("the permit does not say"),
            "stretch": _("stretched, knot to opposite knot"),
            "bar": _("bar, knot to next knot"),
        },
        "per": {"outing": _("an outing"), "day": _("a day")},
    }
    return words.get(name, {}).get(value, value)


def _figure(text: str) -> Any:
    """Return a number where it is one; a length with its unit stays text."""
    if not _NUMBER.fullmatch(text.strip()):
        return text
    number = float(text)
    return int(number) if number == int(number) else number
