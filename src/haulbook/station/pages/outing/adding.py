"""Forms of lines that are added to an outing at the desk: each becomes the lines of its kind."""

from __future__ import annotations

from datetime import time
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft
from haulbook.custody.facts import Haul
from haulbook.custody.ledger import Holding
from haulbook.custody.places import SINKS
from haulbook.office import mend
from haulbook.office.entry_words import haul_words, kind_words, place_words
from haulbook.office.pen import Pen, fitting
from haulbook.station.pages.outing.forms import (
    NUMBER,
    STAGE_CHOICES,
    WHY,
    DeskForm,
    NameField,
    OpenNameField,
    clock_field,
)

DECIMAL = {"inputmode": "decimal", "step": "any"}
NEW_PLACES = 6
"""Buckets that are offered where nobody set up so many."""


def why_field(label: Any = None, *, words: Any = "") -> forms.CharField:
    """Return a field for a reason."""
    return forms.CharField(label=label or later("Why"), max_length=WHY, help_text=words)


class Adding(DeskForm):
    """Something that is added to an outing."""

    title: ClassVar[Any] = ""
    words: ClassVar[Any] = ""

    def drafts(self, own: Book, pen: Pen) -> tuple[Draft, ...]:
        """Return the lines to write."""
        raise NotImplementedError

    @property
    def hauls(self) -> tuple[Haul, ...]:
        """The outing's hauls."""
        return self.about.reading.account.hauls

    def haul_choices(self, *, new: bool = False) -> list[tuple[str, str]]:
        """Return its hauls to choose from; ``new``: and the next one."""
        found = [(haul.key, haul_words(haul.key, self.about.outing)) for haul in self.hauls]
        if new or not found:
            following = max((int(haul.key.rpartition("/")[2]) for haul in self.hauls), default=0) + 1
            found.append(
                (f"{self.about.outing}/{following}", _("haul %(n)s, not told of yet") % {"n": following})
            )
        return found

    def places(self) -> list[str]:
        """Return the net, and the buckets and coolers that this outing knows."""
        rows = self.about.reading.balances.rows
        known = {row.place for row in rows} | {lot.place for lot in self.about.reading.account.animals}
        buckets = {place for place in known if place.startswith(("bucket ", "cooler "))}
        buckets |= {f"bucket {n}" for n in range(1, NEW_PLACES + 1)} | {"cooler 1"}
        return ["net", *sorted(buckets, key=lambda place: (place[0], int(place.split(" ")[1])))]

    def place_choices(self) -> list[tuple[str, str]]:
        """Return them to choose from."""
        return [(place, place) for place in self.places()]

    def choose(self, **choices: list[tuple[str, str]]) -> None:
        """Give fields what can be chosen."""
        for name, pairs in choices.items():
            self.fields[name].choices = pairs  # type: ignore[attr-defined]

    def ended_at(self, haul: str) -> str | None:
        """Return when a haul was dealt with: what is written so late happened by then."""
        one = next((each for each in self.hauls if each.key == haul), None)
        when = (one.ended or one.landed or one.started) if one else None
        return when.text if when else None

    def at(self, clock_time: time | None, haul: str | None = None) -> str | None:
        """Return the instant of a clock time on the outing's day; of the haul's end where none was said."""
        if clock_time is not None:
            return self.about.instant(clock_time)
        return self.ended_at(haul) if haul else None


class Line(Adding):
    """A call that nobody wrote down."""

    title = later("A line that was forgotten")
    words = later("It is written as of the beach, and marked as entered later at the desk.")

    haul = forms.ChoiceField(label=later("Haul"))
    n = forms.IntegerField(label=later("How many"), min_value=1, widget=forms.NumberInput(attrs=NUMBER))
    name = OpenNameField(help_text=later("As called: young flounder. With ? in front it stays open."))
    stage = forms.ChoiceField(label=later("Stage"), choices=STAGE_CHOICES, required=False)
    to = forms.ChoiceField(label=later("What became of them"))
    cause = forms.CharField(label=later("Cause, if lost"), max_length=WHY, required=False)
    clock = clock_field(later("Time"), needed=False, words=later("The end of the haul where it stays empty."))
    why = why_field(
        later("How it is known"), words=later("From the paper sheet, a picture, somebody's memory.")
    )

    def __init__(self, *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        sinks = [(place, place_words(place)) for place in ("back", "dead-back", *SINKS) if place != "given"]
        self.choose(haul=self.haul_choices(new=True), to=[*dict(sinks).items(), *self.place_choices()])

    def clean(self) -> dict[str, Any]:
        """Ask for the cause of a loss."""
        data = super().clean() or {}
        if data.get("to") == "lost" and not data.get("cause"):
            self.add_error("cause", _("Say how they were lost; the report prints it."))
        return data

    def drafts(self, own: Book, pen: Pen) -> tuple[Draft, ...]:
        """Return the move, and a remark that says how it is known."""
        data = self.cleaned_data
        taxon, stage = data["name"]
        line: dict[str, Any] = {
            "from": "sea",
            "to": data["to"],
            "n": data["n"],
            "taxon": taxon,
            "haul": data["haul"],
        }
        if stage := data["stage"] or stage:
            line["stage"] = stage
        if data["to"] == "lost":
            line["cause"] = data["cause"]
        at = self.at(data["clock"], data["haul"])
        move = pen.line("move", {"lines": [line]}, at)
        remark = pen.line("remark", {"text": data["why"], "haul": data["haul"]}, at)
        return fitting(own, (move, remark), pen, data["why"])


class Rename(Adding):
    """A better name for some animals."""

    title = later("A better name")
    words = later("The animals keep their whole past; what was decided at the beach stays as it was judged.")

    which = forms.ChoiceField(label=later("Which animals"))
    n = forms.IntegerField(
        label=later("How many of them"), min_value=1, required=False, widget=forms.NumberInput(attrs=NUMBER),
        help_text=later("All where it stays empty."),
    )  # fmt: skip
    name = NameField(label=later("What they are"))
    stage = forms.ChoiceField(label=later("Stage"), choices=STAGE_CHOICES, required=False)
    why = why_field(
        later("How it was seen"), words=later("Fin rays counted on the picture, seen again in the tank.")
    )

    def __init__(self, *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        self.held = {self._key(row): row for row in self.about.reading.balances.rows if self._can(row)}
        wanted = self.initial.get("taxon")
        rows = sorted(
            self.held.items(), key=lambda pair: (pair[1].taxon != wanted, pair[1].haul, pair[1].taxon)
        )
        self.choose(which=[(key, self._words(row)) for key, row in rows])

    @staticmethod
    def _can(row: Holding) -> bool:
        return row.n > 0 and row.place not in ("sea", "born", "brought")

    @staticmethod
    def _key(row: Holding) -> str:
        return "|".join((row.place, row.haul, row.taxon, row.stage or "-", row.unit))

    def _words(self, row: Holding) -> str:
        name = kind_words(row.taxon, row.stage, self.about.pack, row.unit)
        return f"{row.n} {name}, {haul_words(row.haul, self.about.outing)}, {place_words(row.place)}"

    def drafts(self, own: Book, pen: Pen) -> tuple[Draft, ...]:
        """Return the redetermination."""
        data = self.cleaned_data
        held = self.held[data["which"]]
        taxon, stage = data["name"]
        stage = data["stage"] or stage or held.stage
        return mend.rename(own, held, mend.Better(data["n"] or held.n, taxon, stage, data["why"]), pen)
