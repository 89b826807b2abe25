"""Forms of what stays: people, sites, nets, instruments, tanks. What is off in them the station file's reader says."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, ClassVar

from django import forms
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.exchange.station_toml import INSTRUMENTS, PH_SCALES, ROLES, station_of
from haulbook.problems import Problem, Refusal
from haulbook.station.models import Instrument, Net, Person, Site, Tank
from haulbook.station.pages.coordinates import read_coordinate, read_shoreline, shoreline_text

_KEY = later("Key")
_NUMBER = {"step": "any", "inputmode": "decimal"}


def _number(label: Any, *, needed: bool = True, words: Any = "") -> forms.FloatField:
    return forms.FloatField(
        label=label, required=needed, help_text=words, widget=forms.NumberInput(attrs=_NUMBER)
    )


class ThingForm(forms.Form):
    """One thing that stays. A new one is given its key, which then never changes: the book names it."""

    key: forms.Field = forms.SlugField(
        label=_KEY, max_length=64, help_text=later("Short, as n1; the book names it so for ever.")
    )
    retired = forms.BooleanField(
        label=later("No longer used"),
        required=False,
        help_text=later("It stays readable, and is not offered any more."),
    )

    renamed: ClassVar[Mapping[str, str]] = {}
    """Key of the station file -> field of the form, where they differ."""

    def __init__(self, *words: Any, fixed: str | None = None, **named: Any) -> None:
        super().__init__(*words, **named)
        self.fixed = fixed
        self.order_fields(
            ["key", *(name for name in self.fields if name not in ("key", "retired")), "retired"]
        )
        if fixed is not None:
            del self.fields["key"]

    @property
    def said_key(self) -> str:
        """The key of what the form is about."""
        return self.fixed or str(self.cleaned_data["key"])

    def table(self) -> dict[str, Any]:
        """Return what was said in the keys of a station file."""
        said = {name: value for name, value in self.cleaned_data.items() if value not in (None, "")}
        said.pop("retired", None)
        return {**said, "key": self.said_key}

    def refused(self, problems: Iterable[Problem]) -> None:
        """Put what the reader found on the fields that it is about."""
        for problem in problems:
            name = (problem.column or "").rpartition(".")[2]
            name = self.renamed.get(name, name)
            self.add_error(name if name in self.fields else None, problem.message)

    def read(self, what: str) -> None:
        """Have the station file's reader look at what was said; its refusals become the form's."""
        if self.errors:
            return
        content: dict[str, Any] = {"station": "-", "pack": "nwatlantic", what: [self.table()]}
        if what == "site" and (self.table().get("tide") or {}).get("observed_by"):
            content["people"] = {self.table()["tide"]["observed_by"]: {"role": "crew"}}
        try:
            station_of(content, "form")
        except Refusal as refusal:
            self.refused(refusal.problems)


class NetForm(ThingForm):
    """A net."""

    length_m = _number(later("Length of the corkline"))
    height_m = _number(later("Depth of the net"), words=later("Corkline to leadline."))
    mesh_mm = _number(later("Mesh"))
    mesh_as = forms.ChoiceField(
        label=later("Mesh measured"),
        choices=[
            ("stretch", later("stretched, knot to opposite knot")),
            ("bar", later("bar, knot to next knot")),
        ],
    )
    width_ratio = _number(
        later("Width between the wings over length"),
        needed=False,
        words=later(
            "Used only where a haul's width was not measured, and flagged as assumed. 0.5 to 0.8 is usual."
        ),
    )


class InstrumentForm(ThingForm):
    """A measuring instrument, and what its readings hang on."""

    kind = forms.ChoiceField(label=later("Kind"), choices=[(kind, kind) for kind in INSTRUMENTS])
    calibration = forms.CharField(
        label=later("Calibration pair"),
        max_length=20,
        required=False,
        help_text=later(
            "Of a hydrometer, as printed on the float: 60/60F or 15/4C. The same float reads 25 or 29 by it."
        ),
    )
    scale = forms.ChoiceField(
        label=later("pH scale"),
        choices=[("", later("not a pH meter")), *((scale, scale) for scale in PH_SCALES)],
        required=False,
    )
    salinity_setting = _number(
        later("Salinity the meter is set to"),
        needed=False,
        words=later("Of an oxygen meter; 0 where it corrects for none: it then reads too much in sea water."),
    )


class TankForm(ThingForm):
    """A tank."""

    litres = _number(later("Water"))
    quarantine = forms.BooleanField(label=later("For quarantine"), required=False)


class PersonForm(ThingForm):
    """Somebody of the crew. The book knows the key only."""

    key: forms.Field = forms.RegexField(
        r"^p[0-9]+$",
        label=_KEY,
        max_length=12,
        error_messages={"invalid": later("A person's key is p and a number.")},
    )
    role = forms.ChoiceField(
        label=later("At the beach and in the holding room"), choices=[(role, role) for role in ROLES]
    )
    name = forms.CharField(
        label=later("Name"),
        max_length=200,
        required=False,
        help_text=later("Stands here and nowhere in the book; blank it at any time."),
    )

    def read(self, what: str) -> None:
        """A person has nothing more to be read."""


class SiteForm(ThingForm):
    """A bed, its shoreline, its tide and its depth."""

    renamed: ClassVar = {
        "position": "lat",
        "station": "tide_station",
        "observed_by": "observed_by",
        "depth_m": "depth_least_m",
    }

    name = forms.CharField(label=later("Name"), max_length=200, required=False)
    lat = forms.CharField(label=later("Latitude"), help_text=later("As 41.4612 or 41 27.67 N."))
    lon = forms.CharField(
        label=later("Longitude"), help_text=later("West is negative: -71.3105, or 71 18.63 W.")
    )
    zone = forms.CharField(label=later("Time zone"), help_text=later("As America/New_York."))
    shoreline = forms.CharField(
        label=later("Shoreline"),
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=later(
            "A point a line, latitude then longitude, along the water's edge; or a GeoJSON LineString."
        ),
    )
    tide_station = forms.CharField(label=later("Tide station"), max_length=40, required=False)
    minutes_high = _number(later("High water later by"), needed=False)
    minutes_low = _number(later("Low water later by"), needed=False)
    ratio = _number(later("Height times"), needed=False)
    add_m = _number(later("Height plus"), needed=False)
    observed_by = forms.CharField(
        label=later("Looked at by"), max_length=12, required=False, help_text=later("A key, as p1.")
    )
    observed = forms.DateField(
        label=later("Looked at on"), required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    bed_m = _number(later("Height of the bed above MLLW"), needed=False, words=later("Negative below it."))
    depth_least_m = _number(later("Least water over the bed for the net"))
    depth_most_m = _number(later("Most water"))
    slack_lag_min = _number(later("Slack water after high or low by"), needed=False)
    coarsen_km = _number(
        later("In public, no finer than"), needed=False, words=later("0 leaves the position as it is.")
    )

    def clean_lat(self) -> float:
        """Take degrees, or degrees and minutes, with N or S."""
        return self._coordinate("lat", "NS")

    def clean_lon(self) -> float:
        """Take degrees, or degrees and minutes, with W or E."""
        return self._coordinate("lon", "EW")

    def clean_shoreline(self) -> list[list[float]]:
        """Take points or GeoJSON."""
        try:
            return read_shoreline(str(self.cleaned_data["shoreline"]))
        except Refusal as refusal:
            raise forms.ValidationError([problem.message for problem in refusal.problems]) from None

    def _coordinate(self, name: str, sides: str) -> float:
        try:
            return read_coordinate(str(self.cleaned_data[name]), sides)
        except Refusal as refusal:
            raise forms.ValidationError(str(refusal)) from None

    def table(self) -> dict[str, Any]:
        """Return what was said in the keys of a station file."""
        said = self.cleaned_data
        made: dict[str, Any] = {
            "key": self.said_key,
            "position": [said["lat"], said["lon"]],
            "zone": said["zone"],
            "depth_m": [said["depth_least_m"], said["depth_most_m"]],
            "slack_lag_min": said["slack_lag_min"] or 0.0,
            "coarsen_km": said["coarsen_km"] or 0.0,
        }
        if said["bed_m"] is not None:
            made["bed_m"] = said["bed_m"]
        if said["tide_station"]:
            made["tide"] = self.tide()
        return made

    def tide(self) -> dict[str, Any]:
        """Return the site's tide in the keys of a station file."""
        said = self.cleaned_data
        made = {
            "station": said["tide_station"],
            "minutes_high": said["minutes_high"] or 0.0,
            "minutes_low": said["minutes_low"] or 0.0,
            "ratio": 1.0 if said["ratio"] is None else said["ratio"],
            "add_m": said["add_m"] or 0.0,
        }
        if said["observed_by"]:
            made["observed_by"] = said["observed_by"]
        if said["observed"]:
            made["observed"] = said["observed"]
        return made

    def read(self, what: str) -> None:
        """Also refuse a tide station that is not known."""
        super().read(what)
        if not self.errors and self.cleaned_data["tide_station"]:
            from haulbook.tide import load_catalog

            try:
                load_catalog().find(self.cleaned_data["tide_station"])
            except Refusal as refusal:
                self.add_error("tide_station", str(refusal))


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of thing: its rows, its form, and how it is called."""

    what: str
    model: type[models.Model]
    form: type[ThingForm]
    one: Any
    new: Any
    page: str
    units: Mapping[str, str] = field(default_factory=dict)

    def said(self, row: models.Model) -> dict[str, Any]:
        """Return a row as its form shows it."""
        names = [name for name in self.form.base_fields if name != "key"]
        made = {name: getattr(row, name) for name in names if hasattr(row, name)}
        if isinstance(row, Site):
            tide = dict(row.tide)
            made |= {"tide_station": tide.pop("station", ""), **tide}
            made["shoreline"] = shoreline_text(row.shoreline)
        if isinstance(row, Person):
            made["retired"] = not row.is_active
        return made

    def put(self, row: models.Model, form: ThingForm) -> None:
        """Write what a form says into a row."""
        said = dict(form.cleaned_data)
        if isinstance(row, Site):
            tide = form.tide() if isinstance(form, SiteForm) and said["tide_station"] else {}
            if tide.get("observed"):
                tide["observed"] = tide["observed"].isoformat()
            row.tide = tide
            said["slack_lag_min"], said["coarsen_km"] = (
                said["slack_lag_min"] or 0.0,
                said["coarsen_km"] or 0.0,
            )
        if isinstance(row, Person):
            row.is_active = not said.pop("retired")
        known = {one.attname for one in row._meta.concrete_fields}
        for name, value in said.items():
            if name in known:
                setattr(row, name, value)


KINDS = {
    kind.what: kind
    for kind in (
        Kind("person", Person, PersonForm, later("Person"), later("Add a person"), "station"),
        Kind(
            "site", Site, SiteForm, later("Site"), later("Add a site"), "station",
            {"minutes_high": "min", "minutes_low": "min", "add_m": "m", "bed_m": "m", "depth_least_m": "m",
             "depth_most_m": "m", "slack_lag_min": "min", "coarsen_km": "km"},
        ),
        Kind("tank", Tank, TankForm, later("Tank"), later("Add a tank"), "station", {"litres": "L"}),
        Kind("net", Net, NetForm, later("Net"), later("Add a net"), "gear",
             {"length_m": "m", "height_m": "m", "mesh_mm": "mm"}),
        Kind("instrument", Instrument, InstrumentForm, later("Instrument"), later("Add an instrument"), "gear"),
    )
}  # fmt: skip


def kind_of(what: str) -> Kind:
    """Return a kind by its word; refuse another."""
    if what not in KINDS:
        raise Refusal(_("There is no such kind of thing here."))
    return KINDS[what]
