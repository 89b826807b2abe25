"""Sums of the holding room: the way from the bucket into the tank, the ration, how many a tank bears."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as later

from haulbook.care.acclimation.schedule import UNMEASURED, Bath, Schedule, schedule
from haulbook.care.bucket.clock import Water
from haulbook.care.demand import demand_of
from haulbook.care.tank.ration import NAUPLII_NOTES, ration_g_per_day
from haulbook.care.tank.stocking import Stocking, stocking
from haulbook.exchange.station_toml import PH_SCALES
from haulbook.office.say import said
from haulbook.problems import Refusal
from haulbook.publish.acclimation_card import PAPERS, acclimation_card
from haulbook.station.pages.outing.forms import NameField
from haulbook.station.store import reference

ROUTE_WORDS = {
    "none needed": later("The two waters are alike: no way is needed."),
    "swaps": later("Part changes"),
    "drip": later("Drip with overflow"),
    "short": later("The short way, because of ammonia"),
}


def _celsius(label: Any) -> forms.FloatField:
    return forms.FloatField(label=label, min_value=-2, max_value=35)


def _salinity(label: Any) -> forms.FloatField:
    return forms.FloatField(label=label, min_value=0, max_value=42)


class Way(forms.Form):
    """Two waters, how much of the first, and its ammonia."""

    from_temperature = _celsius(later("Bucket, °C"))
    from_salinity = _salinity(later("Bucket, salinity"))
    to_temperature = _celsius(later("Tank, °C"))
    to_salinity = _salinity(later("Tank, salinity"))
    litres = forms.FloatField(label=later("Water in the bucket, L"), min_value=0.5, max_value=1000)
    flow_l_h = forms.FloatField(
        label=later("Drip, L/h"), min_value=0.1, max_value=1000, required=False, help_text=later("Empty: swaps.")
    )  # fmt: skip
    tan_mg_n_l = forms.FloatField(
        label=later("Bucket, total ammonia, mg N/L"), min_value=0, max_value=100, required=False
    )
    ph = forms.FloatField(label=later("Tank, pH"), min_value=5, max_value=10, required=False)
    scale = forms.ChoiceField(
        label=later("pH on the scale"),
        required=False,
        choices=[(one.lower(), one) for one in PH_SCALES if one in ("NBS", "total")],
    )

    def made(self) -> tuple[Bath, Bath, Schedule]:
        """Return the two waters and the way between them; refused in words."""
        data = self.cleaned_data
        before = Bath(data["from_temperature"], data["from_salinity"])
        after = Bath(data["to_temperature"], data["to_salinity"], data["ph"])
        made = schedule(
            before, after, data["litres"], flow_l_h=data["flow_l_h"], tan_mg_n_l=data["tan_mg_n_l"],
            scale=data["scale"] or "nbs",
        )  # fmt: skip
        return before, after, made


class Ration(forms.Form):
    """How much to feed."""

    mass_g = forms.FloatField(label=later("Animals together, g"), min_value=0.01, max_value=1e6)
    temperature_c = forms.FloatField(label=later("Water, °C"), min_value=0, max_value=30)


class Bears(forms.Form):
    """How many of one kind a tank bears."""

    name = NameField(label=later("Animal"))
    tank_litres = forms.FloatField(label=later("Water in the tank, L"), min_value=1, max_value=10_000)
    at_c = forms.FloatField(label=later("Water, °C"), min_value=0, max_value=30)
    salinity = forms.FloatField(label=later("Salinity"), min_value=0, max_value=40)
    air_per_h = forms.FloatField(
        label=later("Air, changes an hour"), min_value=0.01, max_value=100,
        help_text=later("With one pump out; from two oxygen readings without animals."),
    )  # fmt: skip
    filter_mg_n_h = forms.FloatField(
        label=later("Filter takes, mg N/h"), min_value=0, required=False, help_text=later("Empty: not known.")
    )

    def __init__(self, *words: Any, **named: Any) -> None:
        super().__init__(*words, **named)
        self.fields["name"].pack = reference.pack_of_station()  # type: ignore[attr-defined]

    def answer(self) -> Stocking:
        """Return how many; refused in words."""
        data = self.cleaned_data
        each = demand_of(reference.pack_of_station().taxa.get(data["name"][0]), data["at_c"])
        water = Water(data["tank_litres"], data["at_c"], data["salinity"], air_per_h=data["air_per_h"])
        return stocking(water, each, data["filter_mg_n_h"])


def acclimate(request: HttpRequest) -> HttpResponse:
    """Work out a way home, a ration, or how many a tank bears; or give the card to hang by the tank."""
    way = Way(request.GET if "litres" in request.GET else None)
    ration = Ration(request.GET if "mass_g" in request.GET else None)
    bears = Bears(request.GET if "tank_litres" in request.GET else None)
    made = _worked_out(way, way.made) if way.is_bound else None
    if made is not None and request.GET.get("as") == "card":
        before, after, plan = made
        return _card(request, before, after, plan, way.cleaned_data["litres"])
    words = {
        "here": "kept",
        "way": way,
        "made": made[2] if made else None,
        "routes": ROUTE_WORDS,
        "unmeasured": UNMEASURED if made and made[2].nh3_mg_l is None else "",
        "ration": ration,
        "grams": _worked_out(ration, lambda: ration_g_per_day(**ration.cleaned_data)),
        "nauplii": NAUPLII_NOTES,
        "bears": bears,
        "borne": _worked_out(bears, bears.answer),
        "borne_name": said(bears.cleaned_data["name"][0], reference.pack_of_station())
        if bears.is_bound and bears.is_valid()
        else "",
        "query": request.GET.urlencode(),
    }
    wrong = bool(way.errors or ration.errors or bears.errors)
    return render(request, "kept/acclimate.html", words, status=400 if wrong else 200)


def _worked_out(form: forms.Form, work: Any) -> Any:
    """Return what a form asks for; None where it was not sent, or with what is off said on it."""
    if not form.is_bound or not form.is_valid():
        return None
    try:
        return work()
    except Refusal as refusal:
        for problem in refusal.problems:
            form.add_error(None, f"{problem.message[:1].upper()}{problem.message[1:]}")
        return None


def _card(request: HttpRequest, before: Bath, after: Bath, made: Schedule, litres: float) -> HttpResponse:
    asked = request.GET.get("paper", "")
    content = acclimation_card(before, after, litres, made, paper=asked if asked in PAPERS else "a4")
    name = 'attachment; filename="acclimation.pdf"'
    return HttpResponse(content, content_type="application/pdf", headers={"Content-Disposition": name})
