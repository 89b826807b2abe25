"""Forms of what is settled, mended and added in an outing at the desk. What is off in them is said on the field."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.custody.lines import STAGES
from haulbook.office.say import said
from haulbook.office.settle import Matter
from haulbook.office.settled_by import Told
from haulbook.problems import Problem
from haulbook.station import clock
from haulbook.station.pages.outing.at_hand import AtHand
from haulbook.taxa import Pack
from haulbook.taxa.names import resolve

WHY = 400
NUMBER = {"inputmode": "numeric", "min": "0"}


class NameField(forms.CharField):
    """The name of an animal: certain, or a question that names what it could be."""

    def __init__(self, pack: Pack | None = None, **named: Any) -> None:
        named.setdefault("label", later("Name"))
        super().__init__(max_length=120, **named)
        self.pack = pack

    def clean(self, value: Any) -> Any:
        """Return the taxon's key and the stage said with it; ``("", None)`` for none."""
        words = super().clean(value)
        if not words:
            return "", None
        assert self.pack is not None  # noqa: S101 - every form gives it
        match = resolve(words, self.pack)
        if match.certain and match.taxon:
            return match.taxon, match.stage
        raise forms.ValidationError(_not_certain(words, match.candidates, self.pack))


def _not_certain(words: str, candidates: Iterable[Any], pack: Pack) -> str:
    names = [said(one.taxon, pack) for one in list(candidates)[:5]]
    if names:
        return _("“%(said)s” could be: %(names)s. Write one of them.") % {
            "said": words,
            "names": ", ".join(names),
        }
    return _("Nothing is called “%(said)s” here. Write another name, or ? and the name to leave it open.") % {
        "said": words
    }


class OpenNameField(NameField):
    """A name that may stay open: ``?`` and what was called."""

    def clean(self, value: Any) -> Any:
        """Return the key, or ``?`` and the name as written."""
        words = " ".join(str(value or "").split())
        if words.startswith("?") and words[1:].strip():
            return f"?{words[1:].strip()}", None
        return super().clean(value)


class DeskForm(forms.Form):
    """A form about an outing."""

    def __init__(self, about: AtHand, *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        self.about = about
        for one in self.fields.values():
            if isinstance(one, NameField):
                one.pack = about.pack

    def refused(self, problems: Iterable[Problem]) -> None:
        """Say on the form what was refused."""
        for problem in problems:
            self.add_error(None, f"{problem.message[:1].upper()}{problem.message[1:]}")


class Settle(DeskForm):
    """What a way of settling asks for."""

    n = forms.IntegerField(
        label=later("How many"), min_value=0, required=False, widget=forms.NumberInput(attrs=NUMBER)
    )
    tank = forms.ChoiceField(label=later("Tank"), required=False)
    on = forms.DateTimeField(
        label=later("When they came into the tank"),
        required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
    )
    cause = forms.CharField(
        label=later("How they were lost"),
        max_length=WHY,
        required=False,
        help_text=later("Jumped out, eaten, miscounted: the report prints it."),
    )
    why = forms.CharField(label=later("Why"), max_length=WHY, required=False)

    def __init__(self, about: AtHand, matter: Matter | None, *words: Any, **named: Any) -> None:
        super().__init__(about, *words, **named)
        tanks = [(key, key) for key in about.station.tanks]
        self.fields["tank"].choices = [("", ""), *tanks]  # type: ignore[attr-defined]
        whole = matter is not None and matter.kind == "animals"
        self.fields["n"].help_text = (
            _("All %(n)s where it stays empty.") % {"n": matter.n} if whole and matter else ""
        )
        now = clock.now().astimezone(ZoneInfo(about.zone))
        self.fields["on"].initial = now.replace(tzinfo=None, second=0, microsecond=0)

    def told(self) -> Told:
        """Return what was said."""
        data = self.cleaned_data
        return Told(data["n"], data["cause"], data["why"], data["tank"], self._at(data["on"]))

    def _at(self, on: datetime | None) -> str | None:
        if on is None:
            return None
        return clock.instant(on.replace(tzinfo=ZoneInfo(self.about.zone)), self.about.zone)


class Reason(DeskForm):
    """A strike, and the numbers that stand in a call's place."""

    reason = forms.CharField(
        label=later("Why"),
        max_length=WHY,
        help_text=later("Misheard, typed twice, another haul: it stays readable."),
    )

    def __init__(self, about: AtHand, lines: list[tuple[str, int]], *words: Any, **named: Any) -> None:
        super().__init__(about, *words, **named)
        for i, (label, n) in enumerate(lines):
            self.fields[f"n{i}"] = forms.IntegerField(
                label=label,
                min_value=0,
                initial=n,
                required=False,
                widget=forms.NumberInput(attrs=NUMBER),
            )
        self.lines = [n for _label, n in lines]

    def numbers(self) -> list[int]:
        """Return the number of each line; those left empty stay."""
        said_n = [self.cleaned_data.get(f"n{i}") for i in range(len(self.lines))]
        return [was if n is None else n for n, was in zip(said_n, self.lines, strict=True)]

    @property
    def number_fields(self) -> list[Any]:
        """The fields of the numbers."""
        return [self[f"n{i}"] for i in range(len(self.lines))]


STAGE_CHOICES = [("", later("not said")), *((stage, stage) for stage in STAGES)]


def clock_field(label: Any, *, needed: bool = True, words: Any = "") -> forms.TimeField:
    """Return a field for a local clock time."""
    return forms.TimeField(
        label=label,
        required=needed,
        help_text=words,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
    )


def local(text: str | None, zone: str) -> time | None:
    """Return the local clock time of an entry's instant; None where it has a day only."""
    if text is None or "T" not in text:
        return None
    return datetime.fromisoformat(text).astimezone(ZoneInfo(zone)).time().replace(microsecond=0, tzinfo=None)
