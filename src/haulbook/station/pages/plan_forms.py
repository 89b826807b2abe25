"""Forms of a plan: what a month is looked at for, and one outing as planned."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from django import forms
from django.forms import BaseFormSet, formset_factory
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.exchange.plan_toml import PURPOSES
from haulbook.exchange.station_toml import Station
from haulbook.permit.model import Permit
from haulbook.taxa import Pack
from haulbook.taxa.names import resolve

PURPOSE_WORDS = {"keep": later("to keep"), "hold": later("to hold"), "release": later("to let go")}


class MonthForm(forms.Form):
    """Which site and month to look at, for how many hauls."""

    site = forms.ChoiceField(label=later("Site"))
    month = forms.CharField(label=later("Month"), widget=forms.TextInput(attrs={"type": "month"}))
    hauls = forms.IntegerField(label=later("Hauls"), min_value=1, max_value=12)

    def __init__(self, sites: Iterable[str], *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        self.fields["site"].choices = [(key, key) for key in sites]  # type: ignore[attr-defined]

    def clean_month(self) -> date:
        """Take a year and a month."""
        try:
            return date.fromisoformat(f"{self.cleaned_data['month']}-01")
        except ValueError:
            raise forms.ValidationError(_("Write the month as 2027-05.")) from None


class PlanForm(forms.Form):
    """One outing."""

    site = forms.ChoiceField(label=later("Site"))
    date = forms.DateField(label=later("Day"), widget=forms.DateInput(attrs={"type": "date"}))
    hauls = forms.IntegerField(label=later("Hauls"), min_value=1, max_value=12)
    permits = forms.MultipleChoiceField(
        label=later("Under which permits"), widget=forms.CheckboxSelectMultiple, required=False
    )
    nets = forms.MultipleChoiceField(label=later("Nets"), widget=forms.CheckboxSelectMultiple)
    crew = forms.MultipleChoiceField(label=later("Crew"), widget=forms.CheckboxSelectMultiple)
    people_present = forms.IntegerField(
        label=later("People at the beach in all"),
        min_value=1,
        max_value=500,
        help_text=later("Crew included."),
    )
    looked_for = forms.CharField(
        label=later("Looked for"),
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=later("A name a line: not finding these is then a true zero."),
    )
    keep_device = forms.ChoiceField(
        label=later("The device that says what may be kept"),
        required=False,
        help_text=later("The others say: ask the keeper."),
    )
    note = forms.CharField(label=later("Why it is changed, or a note"), max_length=400, required=False)

    def __init__(
        self,
        station: Station,
        permits: Iterable[Permit],
        devices: Iterable[str],
        pack: Pack,
        *words: Any,
        **named: Any,
    ) -> None:
        super().__init__(*words, **named)
        self.pack = pack
        choices = {
            "site": [(key, key) for key in station.sites],
            "permits": [(one.no, one.no) for one in permits],
            "nets": [
                (net.key, f"{net.key}: {net.length_m:g} m, {net.mesh_mm:g} mm")
                for net in station.nets.values()
            ],
            "crew": [(one.key, f"{one.name or one.key}, {one.role}") for one in station.people.values()],
            "keep_device": [("", _("not chosen yet")), *((key, key) for key in devices)],
        }
        for name, some in choices.items():
            self.fields[name].choices = some  # type: ignore[attr-defined]

    def clean_looked_for(self) -> list[str]:
        """Take names that are certain; a name that is not is asked back with what it may be."""
        found, wrong = [], []
        for line in filter(None, map(str.strip, self.cleaned_data["looked_for"].splitlines())):
            match = resolve(line, self.pack)
            if match.taxon:
                found.append(match.taxon)
            else:
                near = ", ".join(one.taxon for one in match.candidates) or _("nothing like it")
                wrong.append(_("“%(name)s” is not certain: %(near)s?") % {"name": line, "near": near})
        if wrong:
            raise forms.ValidationError(wrong)
        return list(dict.fromkeys(found))


class BucketForm(forms.Form):
    """One bucket or cooler that goes along; an empty row is none."""

    place = forms.RegexField(
        r"^(bucket|cooler) [1-9][0-9]*$",
        label=later("Bucket or cooler"),
        required=False,
        error_messages={"invalid": later("Write bucket 1 or cooler 1.")},
    )
    purpose = forms.ChoiceField(
        label=later("Purpose"), choices=[(one, PURPOSE_WORDS[one]) for one in PURPOSES], required=False
    )
    litres = forms.FloatField(label=later("Water, L"), min_value=0.1, max_value=1000, required=False)
    air_per_h = forms.FloatField(label=later("Air, per h"), min_value=0, max_value=60, required=False)

    def clean(self) -> dict[str, Any]:
        """Ask for the water of a bucket that is named."""
        said = super().clean() or {}
        if said.get("place") and said.get("litres") is None and "litres" not in self.errors:
            self.add_error("litres", _("How much water is in it?"))
        return said


def buckets_form(data: Any = None, before: Iterable[Mapping[str, Any]] = ()) -> BaseFormSet[BucketForm]:
    """Return rows for buckets: those there are and three more, six at least."""
    rows = list(before)
    made = formset_factory(BucketForm, extra=max(3, 6 - len(rows)), max_num=24)
    # What was sent is compared with nothing: an unchanged row would count as empty.
    return made(data, initial=rows if data is None else None, prefix="buckets")


def plan_body(
    outing: str, form: PlanForm, buckets: BaseFormSet[BucketForm], papers: list[Any]
) -> dict[str, Any]:
    """Return what two valid forms say in the keys of a plan file."""
    said = form.cleaned_data
    body: dict[str, Any] = {
        "outing": outing,
        "site": said["site"],
        "date": said["date"].isoformat(),
        "hauls": said["hauls"],
        "permits": said["permits"],
        "nets": said["nets"],
        "crew": said["crew"],
        "people_present": said["people_present"],
        "looked_for": said["looked_for"],
        "buckets": [
            {key: value for key, value in row.items() if value is not None}
            for row in (one.cleaned_data for one in buckets)
            if row.get("place")
        ],
    }
    if said["keep_device"]:
        body["keep_device"] = said["keep_device"]
    if papers:
        body["paper"] = papers
    return body
