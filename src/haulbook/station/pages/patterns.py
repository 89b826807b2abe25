"""Every component in every state, with invented values: what pages are built of, to be looked at and tested."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import segno
from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as later
from markupsafe import Markup

from haulbook.estimate import HaulRow, catch_per_area, in_figures
from haulbook.publish.marks import axis_for
from haulbook.publish.plan_parts import TideDay
from haulbook.station.people.roles import SIGNED_IN
from haulbook.station.web.route import route
from haulbook.tide import Band, Daylight, Extreme

_ZONE = ZoneInfo("America/New_York")
_DAY = date(2027, 5, 21)
_CODE = "7kq2-m4tw-9hxe"


class Sample(forms.Form):
    """One field of every kind."""

    width = forms.DecimalField(
        label=later("Width of the haul"),
        help_text=later("Between the poles, where the net was set."),
        max_value=12,
    )
    water = forms.DecimalField(label=later("Water in bucket 2"), required=False)
    day = forms.DateField(label=later("Day"), widget=forms.DateInput(attrs={"type": "date"}))
    landed = forms.TimeField(
        label=later("Landed"), widget=forms.TimeInput(attrs={"type": "time"}), required=False
    )
    net = forms.ChoiceField(
        label=later("Net"),
        choices=[("n1", later("12 m seine, 6 mm mesh")), ("n2", later("6 m seine, 3 mm mesh"))],
    )
    condition = forms.ChoiceField(
        label=later("Condition of the haul"),
        widget=forms.RadioSelect,
        choices=[("1", later("good")), ("2", later("minor")), ("3", later("poor"))],
    )
    crew = forms.MultipleChoiceField(
        label=later("Who was there"),
        widget=forms.CheckboxSelectMultiple,
        choices=[("p1", later("lead")), ("p2", later("recorder")), ("p3", later("caller"))],
        required=False,
    )
    lifted = forms.BooleanField(label=later("The leadline lifted"), required=False)
    remark = forms.CharField(label=later("Remark"), widget=forms.Textarea(attrs={"rows": 3}), required=False)
    paper = forms.FileField(label=later("Photograph of the sheet"), required=False)


class Mended(forms.Form):
    """A short form as somebody sent it, to be mended."""

    width = forms.DecimalField(
        label=later("Width of the haul"),
        max_value=12,
        error_messages={"max_value": later("51 m is wider than the 12 m net. Was it 5.1?")},
    )
    condition = forms.ChoiceField(
        label=later("Condition of the haul"),
        widget=forms.RadioSelect,
        choices=[("1", later("good")), ("2", later("minor"))],
        error_messages={"required": later("Choose one; good, if nothing went wrong.")},
    )
    net = forms.CharField(
        label=later("Net"),
        error_messages={"required": later("Say which net; the tally sheet names it at the top.")},
    )


def patterns_context() -> dict[str, Any]:
    """Return what the patterns page shows; every value is invented."""
    estimates = {year: catch_per_area(_rows(year, counts)) for year, counts in _BY_YEAR.items()}
    return {
        "here": "outings",
        "form": Sample(auto_id="sample_%s"),
        "mended": Mended({"width": "51", "condition": "", "net": ""}, auto_id="mended_%s"),
        "tide_day": tide_day(),
        "now": datetime(2027, 5, 21, 10, 24, tzinfo=UTC),
        "hauls": _HAULS,
        "balance": _BALANCE,
        "clauses": _CLAUSES,
        "calls": _CALLS,
        "code": _CODE,
        "qr": Markup(segno.make(_CODE, error="m").svg_inline(omitsize=True, border=2)),  # noqa: S704
        "estimates": [(year, one, in_figures(one)) for year, one in estimates.items()],
        "axis": axis_for(tuple(estimates.values())),
        "samples": range(1, 13),
        "plans": ("torpedo", "flat", "ribbon", "bighead", "pipe", "crab", "shrimp", "hermit"),
    }


def patterns(request: HttpRequest) -> HttpResponse:
    """Show the patterns page."""
    return render(request, "patterns/patterns.html", patterns_context())


def _rows(year: str, counts: tuple[int, ...]) -> list[HaulRow]:
    return [
        HaulRow(f"{year}/{i}", n, 110.0 + 5 * i, net="n1", set_type="straight", light="day")
        for i, n in enumerate(counts, 1)
    ]


def tide_day() -> TideDay:
    """Return a day of a rough curve that is no prediction."""
    begins = datetime(2027, 5, 21, 4, tzinfo=UTC)
    step = timedelta(minutes=10)

    def at(clock: str) -> datetime:
        return datetime.fromisoformat(f"2027-05-21T{clock}:00-04:00").astimezone(UTC)

    low = at("06:35")
    heights = tuple(
        1.3 - 1.5 * math.cos((begins + i * step - low).total_seconds() / 3600 * math.tau / 12.42)
        for i in range(145)
    )
    window = (at("05:09"), at("08:22"))
    return TideDay(
        day=_DAY,
        zone=_ZONE,
        begins=begins,
        ends=begins + timedelta(days=1),
        heights_m=heights,
        step=step,
        interpolated=False,
        extremes=(
            Extreme(at("00:22"), 2.8, "high"),
            Extreme(at("06:35"), -0.2, "low"),
            Extreme(at("12:48"), 2.8, "high"),
            Extreme(at("19:00"), -0.2, "low"),
        ),
        band=Band(-0.3, 0.4),
        bed_m=-0.6,
        light=Daylight(
            at("04:50"), at("05:22"), at("12:43"), at("20:04"), at("20:36"), "full moon", True, True
        ),
        windows=(window, (at("17:40"), at("20:04"))),
        chosen=window,
        hauls=((at("05:40"), at("05:52")), (at("06:06"), at("06:18")), (at("07:08"), at("07:21"))),
    )


_HAULS = (
    {
        "label": "1",
        "set": "05:40",
        "landed": "05:52",
        "area_m2": 118.2,
        "condition": later("good"),
        "n": 84,
        "fish": 60,
    },
    {
        "label": "2",
        "set": "06:06",
        "landed": "06:18",
        "area_m2": 125.0,
        "condition": later("good"),
        "n": 111,
        "fish": 79,
    },
    {
        "label": "3",
        "set": "07:08",
        "landed": "07:21",
        "area_m2": 122.4,
        "condition": later("minor"),
        "n": 47,
        "fish": 34,
        "letters": ("c",),
    },
)
_BALANCE = (
    {"name": "Atlantic silverside", "hauls": (38, 61, 22), "out": 121, "back": 117, "died": 4},
    {"name": "northern pipefish", "hauls": (5, 9, 3), "out": 17, "back": 14, "kept": 3},
    {"name": "rock gunnel", "hauls": (0, 4, 1), "out": 5, "back": 1, "kept": 4},
    {"name": "winter flounder, young", "hauls": (2, 1, 1), "out": 4, "back": 3, "kept": 1},
    {"name": "grubby", "hauls": (4, 3, 5), "out": 12, "back": 9, "kept": 2, "difference": 1},
    {"name": "Atlantic salmon, smolt", "hauls": (None, 1, None), "out": 1, "back": 1},
    {"name": "sand shrimp", "hauls": (14, 18, 6), "out": 38, "back": 18, "kept": 20},
    {"name": "European green crab", "hauls": (3, 5, 2), "out": 10, "killed": 10},
)
_CLAUSES = (
    {"no": "4a", "animals": "northern pipefish", "before": 3, "now": 3, "limit": 8, "state": ""},
    {"no": "4b", "animals": "rock gunnel", "before": 0, "now": 4, "limit": 6, "state": ""},
    {"no": "4c", "animals": "winter flounder, young", "before": 3, "now": 1, "limit": 5, "state": "near"},
    {"no": "4d", "animals": "grubby", "before": 4, "now": 3, "limit": 6, "state": "stop"},
    {"no": "5", "animals": "fish of all kinds", "before": 300, "now": 241, "limit": 1500, "state": ""},
)
_CALLS = (
    {
        "at": "06:25",
        "words": "one smelt",
        "struck": True,
        "why": later("struck 06:25 by the recorder: misheard"),
    },
    {"at": "06:25", "words": "one smolt, swam off", "struck": False, "why": ""},
    {"at": "07:29", "words": "five grubby, one kept", "struck": False, "why": ""},
)
_BY_YEAR = {"2025": (0, 0, 0, 0), "2026": (0, 3, 5, 8), "2027": (5, 9, 3)}
"""Northern pipefish in each haul."""

ROUTES = [route("patterns/", patterns, "patterns", get=SIGNED_IN)]
