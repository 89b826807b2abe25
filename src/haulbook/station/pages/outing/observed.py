"""Forms of what was done and seen beside the calls: places, readings, lengths, searches, counts, remarks."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft
from haulbook.custody.places import PURPOSES
from haulbook.office.entry_words import ACT_WORDS, MEASURED
from haulbook.office.pen import Pen
from haulbook.problems import Refusal
from haulbook.station.pages.outing.adding import DECIMAL, Adding
from haulbook.station.pages.outing.forms import NUMBER, STAGE_CHOICES, NameField, clock_field

LENGTH_TYPES = (
    "total",
    "fork",
    "standard",
    "carapace width",
    "carapace length",
    "bell diameter",
    "shell length",
)


def _decimal(label: Any, least: float | None = None) -> forms.FloatField:
    return forms.FloatField(
        label=label, required=False, min_value=least, widget=forms.NumberInput(attrs=DECIMAL)
    )


class Place(Adding):
    """Something that was done with a bucket or cooler."""

    title = later("Something done with a bucket or cooler")

    place = forms.ChoiceField(label=later("Which"))
    act = forms.ChoiceField(label=later("What"), choices=list(ACT_WORDS.items()))
    purpose = forms.ChoiceField(
        label=later("What it is for"),
        required=False,
        choices=[("", later("not said")), *((p, p) for p in PURPOSES)],
    )
    litres = _decimal(later("Water in it, L"), 0.01)
    air_per_h = _decimal(later("Changes of its air an hour"), 0)
    clock = clock_field(later("Time"))

    def __init__(self, *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        self.choose(place=[pair for pair in self.place_choices() if pair[0] != "net"])

    def drafts(self, own: Book, pen: Pen) -> tuple[Draft, ...]:
        """Return the act."""
        data = self.cleaned_data
        body = {
            key: data[key]
            for key in ("place", "act", "purpose", "litres", "air_per_h")
            if data[key] not in ("", None)
        }
        return (pen.line("place", body, self.at(data["clock"])),)


class ReadingForm(Adding):
    """Something that was measured in the water."""

    title = later("A reading of the water")

    where = forms.ChoiceField(label=later("Where"))
    instrument = forms.ChoiceField(label=later("Instrument"))
    temperature_c = _decimal(later("Temperature, °C"))
    salinity = _decimal(later("Salinity"))
    oxygen_mg_l = _decimal(later("Oxygen, mg/L"))
    oxygen_percent = _decimal(later("Oxygen, % of saturation"))
    ph = _decimal(later("pH"))
    clock = clock_field(later("Time"))

    def __init__(self, *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        meters = self.about.station.instruments
        self.choose(
            where=[
                *(pair for pair in self.haul_choices()),
                *(pair for pair in self.place_choices() if pair[0] != "net"),
            ],
            instrument=[(key, f"{key}, {one.kind}") for key, one in meters.items()],
        )

    def clean(self) -> dict[str, Any]:
        """Ask for at least one value."""
        data = super().clean() or {}
        if not any(data.get(name) is not None for name in MEASURED):
            self.add_error(None, _("Write at least one value that was read."))
        return data

    def drafts(self, own: Book, pen: Pen) -> tuple[Draft, ...]:
        """Return the reading; a pH with the scale of its instrument."""
        data = self.cleaned_data
        body: dict[str, Any] = {"instrument": data["instrument"]}
        body["haul" if "/" in data["where"] else "place"] = data["where"]
        body |= {name: data[name] for name in MEASURED if data.get(name) is not None}
        if "ph" in body:
            meter = self.about.station.instruments[data["instrument"]]
            if not meter.scale:
                raise Refusal(_("%(key)s has no pH scale; give it one under Gear.") % {"key": meter.key})
            body["scale"] = meter.scale
        return (pen.line("reading", body, self.at(data["clock"])),)


class LengthsForm(Adding):
    """Lengths that were taken."""

    title = later("Lengths")

    haul = forms.ChoiceField(label=later("Haul"))
    name = NameField()
    stage = forms.ChoiceField(label=later("Stage"), choices=STAGE_CHOICES, required=False)
    length_type = forms.ChoiceField(
        label=later("What was measured"), choices=[(one, one) for one in LENGTH_TYPES]
    )
    mm = forms.CharField(
        label=later("Lengths in mm"), max_length=2_000, help_text=later("With blanks between: 46 51 38.5")
    )
    clock = clock_field(later("Time"), needed=False, words=later("The end of the haul where it stays empty."))

    def __init__(self, *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        self.choose(haul=self.haul_choices())

    def clean_mm(self) -> list[float]:
        """Return the lengths."""
        parts = re.split(r"[\s;,]+(?=\d)", self.cleaned_data["mm"].strip())
        try:
            made = [float(part.replace(",", ".")) for part in parts]
        except ValueError:
            raise forms.ValidationError(_("Write numbers with blanks between: 46 51 38.5")) from None
        if any(not 0 < one < 10_000 for one in made):
            raise forms.ValidationError(_("A length lies above 0 and below 10 000 mm."))
        return [int(one) if one == int(one) else round(one, 4) for one in made]

    def drafts(self, own: Book, pen: Pen) -> tuple[Draft, ...]:
        """Return the lengths."""
        data = self.cleaned_data
        taxon, stage = data["name"]
        body: dict[str, Any] = {
            "haul": data["haul"], "taxon": taxon, "length_type": data["length_type"], "mm": data["mm"],
        }  # fmt: skip
        if stage := data["stage"] or stage:
            body["stage"] = stage
        return (pen.line("lengths", body, self.at(data["clock"], data["haul"])),)


class Seen(Adding):
    """Animals that were seen without a number, or searched for and not found."""

    title = later("Seen without a number, or searched and none")

    haul = forms.ChoiceField(label=later("Haul"))
    what = forms.ChoiceField(
        label=later("What"),
        choices=[
            ("searched-and-none", later("searched for, none found")),
            ("present", later("seen, not counted")),
        ],
    )
    name = NameField()
    clock = clock_field(later("Time"), needed=False, words=later("The end of the haul where it stays empty."))

    def __init__(self, *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        self.choose(haul=self.haul_choices())

    def drafts(self, own: Book, pen: Pen) -> tuple[Draft, ...]:
        """Return the line."""
        data = self.cleaned_data
        taxon = data["name"][0]
        body = {"taxon": taxon} if data["what"] == "present" else {"taxa": [taxon]}
        return (pen.line(data["what"], {"haul": data["haul"], **body}, self.at(data["clock"], data["haul"])),)


class Counted(Adding):
    """A place that was counted again."""

    title = later("A bucket counted again")
    words = later("Where the number differs from the book, it stands open until it is settled.")

    place = forms.ChoiceField(label=later("Which"))
    name = NameField()
    stage = forms.ChoiceField(label=later("Stage"), choices=STAGE_CHOICES, required=False)
    n = forms.IntegerField(
        label=later("How many were found"), min_value=0, widget=forms.NumberInput(attrs=NUMBER)
    )
    clock = clock_field(later("Time"))

    def __init__(self, *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        self.choose(place=self.place_choices())

    def drafts(self, own: Book, pen: Pen) -> tuple[Draft, ...]:
        """Return the count."""
        data = self.cleaned_data
        taxon, stage = data["name"]
        body: dict[str, Any] = {"place": data["place"], "taxon": taxon, "n": data["n"]}
        if stage := data["stage"] or stage:
            body["stage"] = stage
        return (pen.line("counted-again", body, self.at(data["clock"])),)


class RemarkForm(Adding):
    """A remark."""

    title = later("A remark")

    text = forms.CharField(label=later("Remark"), max_length=2_000, widget=forms.Textarea(attrs={"rows": 3}))
    haul = forms.ChoiceField(label=later("About"), required=False)
    clock = clock_field(later("Time"), needed=False, words=later("Now where it stays empty."))

    def __init__(self, *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        self.choose(haul=[("", _("the whole outing")), *self.haul_choices()])

    def drafts(self, own: Book, pen: Pen) -> tuple[Draft, ...]:
        """Return the remark."""
        data = self.cleaned_data
        body = {"text": data["text"].strip()} | ({"haul": data["haul"]} if data["haul"] else {})
        return (pen.line("remark", body, self.at(data["clock"])),)
