"""The head of a haul mended at the desk: the old line is struck, and the new one stands in its place."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.custody.bodies import GEOMETRY
from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, Entry
from haulbook.custody.facts import Haul
from haulbook.custody.hauls import INSTANTS
from haulbook.gear import LETTERS, SET_TYPES
from haulbook.gear.condition import CONDITIONS
from haulbook.office.pen import Pen
from haulbook.problems import Refusal
from haulbook.station.pages.outing.adding import DECIMAL, Adding, why_field
from haulbook.station.pages.outing.forms import clock_field, local

STARTED = ("site", "net", "set_type")
NOT_SAID: tuple[str, Any] = ("", later("not said"))


def _metres(label: Any) -> forms.FloatField:
    return forms.FloatField(
        label=label, required=False, min_value=0.0001, widget=forms.NumberInput(attrs=DECIMAL)
    )


class HaulHead(Adding):
    """What is said of one haul, or of one that nobody told of yet."""

    title = later("The head of a haul")
    words = later("What stands now stays readable, struck; what you write stands in its place.")

    haul = forms.ChoiceField(label=later("Haul"))
    started = clock_field(later("Net in the water"), needed=False)
    landed = clock_field(later("Net on the beach"), needed=False, words=later("The permit's clock."))
    ended = clock_field(later("Last animal dealt with"), needed=False)
    site = forms.ChoiceField(label=later("Site"), required=False)
    net = forms.ChoiceField(label=later("Net"), required=False)
    set_type = forms.ChoiceField(
        label=later("Set"),
        required=False,
        choices=[NOT_SAID, *((one, one.replace("_", " ")) for one in SET_TYPES)],
    )
    condition = forms.TypedChoiceField(
        label=later("Condition"), coerce=int, empty_value=None, required=False,
        choices=[NOT_SAID, *((code, f"{code} {one.words}") for code, one in CONDITIONS.items())],
    )  # fmt: skip
    remark = forms.CharField(label=later("What happened to the haul"), max_length=400, required=False)
    w = _metres(later("w: width between the wing ends, m"))
    d = _metres(later("d: distance hauled, m"))
    c = _metres(later("c: distance between the landing points, m"))
    b = _metres(later("b: greatest reach from the shore, m"))
    D = _metres(later("D: offset from the water line, m"))
    L = _metres(later("L: net length in the water, m"))
    assumed = forms.MultipleChoiceField(
        label=later("Assumed, not measured"), required=False,
        choices=[(one, f"{one}, {LETTERS[one]}") for one in GEOMETRY], widget=forms.CheckboxSelectMultiple,
    )  # fmt: skip
    depth_m = _metres(later("Depth, m"))
    area_m2 = _metres(later("Area the sheet gives, m²"))
    why = why_field()

    def __init__(self, *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        key = f"{self.about.outing}/{self.initial.get('haul', '')}"
        one = next((each for each in self.hauls if each.key == key), None)
        if one is not None:
            start = _said_of(one, self.about.zone)
            self.initial = {**start, "remark": one.why}
        self.choose(
            haul=self.haul_choices(new=True),
            site=[NOT_SAID, *((key, key) for key in self.about.station.sites)],
            net=[NOT_SAID, *((key, key) for key in self.about.station.nets)],
        )

    def clean(self) -> dict[str, Any]:
        """Ask for what belongs together."""
        data = super().clean() or {}
        about_net = [*GEOMETRY, "depth_m", "area_m2", "condition", "remark"]
        if any(data.get(name) for name in about_net) and not data.get("landed"):
            self.add_error(
                "landed", _("Say when the net was on the beach; measures and condition belong to that.")
            )
        if data.get("landed") and not data.get("condition"):
            self.add_error("condition", _("Say how the haul went; 9 where nobody knows."))
        return data

    def drafts(self, own: Book, pen: Pen) -> tuple[Draft, ...]:
        """Return the lines that stand in place of those that say otherwise."""
        data = self.cleaned_data
        haul, why = data["haul"], data["why"]
        standing = [e for e in own.standing() if e.kind in INSTANTS and e.body["haul"] == haul]
        made: list[Draft] = []
        for kind, body in self._bodies(haul).items():
            old = [entry for entry in standing if entry.kind == kind]
            made += self._in_place(old, kind, body, self._instant(INSTANTS[kind], old), why, pen)
        if not made:
            raise Refusal(_("This is what stands there already; nothing was written."))
        return tuple(made)

    def _bodies(self, haul: str) -> dict[str, dict[str, Any]]:
        data = self.cleaned_data
        bodies: dict[str, dict[str, Any]] = {}
        if data["started"]:
            bodies["haul-started"] = {"haul": haul, **{key: data[key] for key in STARTED if data[key]}}
        if data["landed"]:
            bodies["haul-landed"] = {"haul": haul, **self._landed()}
        if data["ended"]:
            bodies["haul-ended"] = {"haul": haul}
        return bodies

    def _landed(self) -> dict[str, Any]:
        data = self.cleaned_data
        body: dict[str, Any] = {"condition": data["condition"]}
        if data["remark"]:
            body["why"] = data["remark"]
        for name in GEOMETRY:
            if data[name] is not None:
                basis = "assumed" if name in data["assumed"] else "measured"
                body[name] = {"m": _tidy(data[name]), "basis": basis}
        if data["depth_m"] is not None:
            body["depth_m"] = _tidy(data["depth_m"])
        if data["area_m2"] is not None:
            body["area"] = {"m2": _tidy(data["area_m2"]), "basis": "assumed", "said_by": "desk"}
        return body

    def _instant(self, name: str, old: list[Entry]) -> str:
        """Return the instant that the form says; the very one that stands where the clock shows the same minute."""
        said = self.cleaned_data[name]
        for entry in old:
            was = local(entry.at, self.about.zone)
            if was is not None and (was.hour, was.minute) == (said.hour, said.minute):
                return entry.at
        return self.about.instant(said)

    def _in_place(
        self, old: list[Entry], kind: str, body: dict[str, Any], at: str, why: str, pen: Pen
    ) -> list[Draft]:
        kept = {key: e.body[key] for e in old for key in ("label", "lat", "lon") if key in e.body}
        body = {**kept, **body}
        if len(old) == 1 and at == old[0].at and _same(old[0].body, body):
            return []
        new = pen.line(kind, body, at)
        return [new, *([pen.strike([entry.id for entry in old], why, [new.id])] if old else [])]


def _said_of(haul: Haul, zone: str) -> dict[str, Any]:
    """Return what a haul's head says, as its form starts."""
    times = {
        name: local(when.text if (when := getattr(haul, name)) else None, zone)
        for name in ("started", "landed", "ended")
    }
    plain = {
        name: getattr(haul, name) for name in ("site", "net", "set_type", "condition", "depth_m", "area_m2")
    }
    measures = {name: one.m for name, one in haul.measures.items()}
    assumed = [name for name, one in haul.measures.items() if one.basis == "assumed"]
    return {**plain, **times, **measures, "assumed": assumed, "haul": haul.key}


def _tidy(value: float) -> float | int:
    return int(value) if value == int(value) else round(value, 4)


def _same(was: Any, now: dict[str, Any]) -> bool:
    """Say whether two heads say the same; who gave an area does not matter."""
    area = [each.get("area", {}).get("m2") for each in (was, now)]
    rest = [{key: value for key, value in each.items() if key != "area"} for each in (was, now)]
    return rest[0] == rest[1] and area[0] == area[1]
