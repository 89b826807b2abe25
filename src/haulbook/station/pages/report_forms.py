"""Forms of reports: which permit, days and tables; what was sent, with its proof; an agency's layout."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.permit.grounds import Span
from haulbook.permit.layout import Layout
from haulbook.permit.model import Period, Permit
from haulbook.permit.period import INSTANT, key_of_day
from haulbook.publish.words import day as day_words

OWN = "own"
USUAL = "detail-and-summary"
"""The form whose tables are taken where nobody chose any."""


def years_of(permit: Permit, today: date) -> list[Span]:
    """Return the permit years so far, the running one first; then all of the permit."""
    first = permit.valid_from.astimezone(permit.tz).date()
    day = min(max(today, first), permit.ends_on)
    found: list[Span] = []
    while day >= first and len(found) < 30:
        key = key_of_day(Period.PERMIT_YEAR, permit, day)
        begins = key.start.astimezone(permit.tz).date()
        found.append(Span(begins, (key.end - INSTANT).astimezone(permit.tz).date()))
        day = begins - timedelta(days=1)
    whole = Span(first, permit.ends_on)
    return [*found, *([whole] if whole not in found else [])]


class ChooseForm(forms.Form):
    """Which permit's report."""

    permit = forms.ChoiceField(label=later("Permit"))

    def __init__(self, permits: Iterable[Permit], *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        self.fields["permit"].choices = [(one.no, one.no) for one in permits]  # type: ignore[attr-defined]


class ReportForm(forms.Form):
    """Days and tables of one permit's report."""

    days = forms.ChoiceField(label=later("Days"), required=False)
    first = forms.DateField(
        label=later("or from"), required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    last = forms.DateField(label=later("to"), required=False, widget=forms.DateInput(attrs={"type": "date"}))
    layout = forms.MultipleChoiceField(
        label=later("Tables"), required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(
        self, permit: Permit, today: date, layouts: Mapping[str, Layout], data: Any, own: Iterable[str] = ()
    ) -> None:
        self.years = years_of(permit, today)
        super().__init__(self._filled(data, layouts))
        choices = [(f"{one.first}/{one.last}", span_words(one)) for one in self.years]
        self.fields["days"].choices = [*choices, (OWN, _("other days, as below"))]  # type: ignore[attr-defined]
        mine = set(own)
        self.fields["layout"].choices = [  # type: ignore[attr-defined]
            (name, f"{one.title} ({_('your own') if name in mine else one.form})")
            for name, one in layouts.items()
        ]

    def _filled(self, data: Any, layouts: Mapping[str, Layout]) -> Any:
        """Fill in what was not asked: the running year, the usual tables."""
        filled = data.copy()
        if "days" not in filled:
            asked = f"{filled.get('first', '')}/{filled.get('last', '')}"
            if asked == "/":
                filled["days"] = f"{self.years[0].first}/{self.years[0].last}"
            else:
                known = [f"{one.first}/{one.last}" for one in self.years]
                filled["days"] = asked if asked in known else OWN
        if not filled.getlist("layout"):
            filled.setlist("layout", [name for name, one in layouts.items() if one.form == USUAL])
        return filled

    def clean(self) -> dict[str, Any]:
        """Take one of the years, or days of one's own that follow each other."""
        said = super().clean() or {}
        days = said.get("days") or ""
        if days and days != OWN:
            first, _slash, last = days.partition("/")
            said["span"] = Span(date.fromisoformat(first), date.fromisoformat(last))
        elif "first" in self.errors or "last" in self.errors:
            pass
        elif not said.get("first") or not said.get("last"):
            self.add_error("first", _("Write the first and the last day."))
        elif said["first"] > said["last"]:
            self.add_error("last", _("The last day lies before the first; turn them round."))
        else:
            said["span"] = Span(said["first"], said["last"])
        if not said.get("layout") and "layout" not in self.errors:
            self.add_error("layout", _("Choose at least one table."))
        return said


class ProofForm(forms.Form):
    """When something was sent or came, and the file that proves it."""

    at = forms.DateTimeField(
        label=later("When"),
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"],
        error_messages={"invalid": later("Write day and time as 2027-04-21 14:30.")},
        help_text=later("Local time of the station."),
    )
    proof = forms.FileField(
        label=later("The file that proves it"),
        help_text=later("The mail as sent, a confirmation page, a scan: it is kept with its digest."),
    )

    def __init__(
        self, now: datetime, zone: ZoneInfo, signed: datetime | None, *words: Any, **named: Any
    ) -> None:
        super().__init__(*words, **named)
        self.signed = signed.replace(second=0, microsecond=0) if signed else None
        self.initial = {"at": now.astimezone(zone).replace(tzinfo=None)}
        self.now, self.zone = now, zone

    def clean_at(self) -> datetime:
        """Take a moment of the station's zone between the signing and now."""
        at: datetime = self.cleaned_data["at"].replace(tzinfo=self.zone)
        if at > self.now + timedelta(minutes=2):
            raise forms.ValidationError(_("This lies ahead; write it down when it is done."))
        if self.signed is not None and at < self.signed:
            raise forms.ValidationError(_("That was before this version was signed; look at day and time."))
        return at


class LayoutForm(forms.Form):
    """An agency's layout file."""

    file = forms.FileField(label=later("Layout file, TOML"), allow_empty_file=True)


def span_words(days: Span) -> str:
    """Return days as people say them."""
    return _("%(first)s to %(last)s") % {"first": day_words(days.first), "last": day_words(days.last)}
