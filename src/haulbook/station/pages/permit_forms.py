"""Forms of a permit's file: handed in, kept with its paper, or begun with its heading."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.problems import unknown

_DAY = {"type": "date"}


class HandInForm(forms.Form):
    """A permit's file: chosen, or its text."""

    file = forms.FileField(label=later("Permit file, TOML"), required=False, allow_empty_file=True)
    text = forms.CharField(
        label=later("Or its text"),
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 14, "spellcheck": "false"}),
        help_text=later("What is off is said here all together; mend it in this text and look again."),
    )

    def clean(self) -> dict[str, Any]:
        """Take the text of the file, or the one that was typed."""
        said = super().clean() or {}
        handed = said.get("file")
        if handed is not None:
            try:
                said["text"] = handed.read().decode("utf-8-sig")
            except UnicodeDecodeError:
                self.add_error("file", _("This is no text file; a permit file is TOML, in UTF-8."))
        elif not said.get("text", "").strip():
            self.add_error("file", _("Choose the permit's file, or put its text below."))
        said["name"] = handed.name if handed is not None else "permit.toml"
        return said


class KeepForm(forms.Form):
    """What goes with a file that is kept."""

    text = forms.CharField(widget=forms.HiddenInput, strip=False)
    paper = forms.FileField(
        label=later("The permit on paper, scanned"),
        required=False,
        help_text=later("PDF or picture: two people compare each clause with it."),
    )
    why = forms.CharField(label=later("Why it changes"), max_length=400, required=False)


class HeadingForm(forms.Form):
    """A new permit: its number, holder, days and people."""

    no = forms.CharField(label=later("Number of the permit"), max_length=80)
    holder = forms.CharField(label=later("Holder"), max_length=200)
    zone = forms.CharField(
        label=later("Time zone"), max_length=64, help_text=later("Its days begin there, as America/New_York.")
    )
    valid_from = forms.DateField(label=later("First day"), widget=forms.DateInput(attrs=_DAY))
    valid_to = forms.DateField(label=later("Last day"), widget=forms.DateInput(attrs=_DAY))
    year_start = forms.RegexField(
        r"^\d\d-\d\d$",
        label=later("Permit year begins on"),
        required=False,
        error_messages={"invalid": later("Write month and day as 04-01.")},
        help_text=later("Month and day, as 04-01; empty: on its first day."),
    )
    people = forms.CharField(
        label=later("People named in it"),
        required=False,
        help_text=later("Their keys, as p1 p3; never names."),
    )

    def __init__(self, *words: Any, taken: Iterable[str] = (), **named: Any) -> None:
        super().__init__(*words, **named)
        self.taken = set(taken)

    def clean_no(self) -> str:
        """Take a number that no permit has."""
        no = str(self.cleaned_data["no"])
        if no in self.taken:
            raise forms.ValidationError(
                _("Permit %(no)s is here already; change it on its own page.") % {"no": no}
            )
        return no

    def clean_zone(self) -> str:
        """Take a zone that there is."""
        zone = str(self.cleaned_data["zone"])
        if zone not in available_timezones():
            raise forms.ValidationError(unknown("time zone", zone, available_timezones()))
        return zone

    def table(self) -> dict[str, Any]:
        """Return what was said in the keys of a permit file."""
        said = {key: value for key, value in self.cleaned_data.items() if value not in (None, "")}
        people = str(said.pop("people", "")).replace(",", " ").split()
        return {**said, **({"people": people} if people else {})}
