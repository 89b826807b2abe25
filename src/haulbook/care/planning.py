"""Every house value in one place: a station may hand in its own, and each says that it is a planning default.

A house value is our own reasoning, not a published limit. Where evidence stands behind it, ``why`` names it.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from haulbook.care.planning_groups import GROUPS, GroupDefault
from haulbook.care.ranges import Within
from haulbook.problems import Problem, Refusal, unknown

LABEL = "planning default"


def _house(value: float, unit: str, low: float, high: float, why: str) -> Any:
    return field(default=value, metadata={"unit": unit, "low": low, "high": high, "why": why})


@dataclass(frozen=True, slots=True)
class PlanningDefaults:
    """The house values of animal care; `described` lists each with unit, range and reason.

    Raises
    ------
    Refusal
        One problem for every value outside its range.
    """

    capture_multiplier: float = _house(
        2.4, "times", 1, 4, "oxygen uptake after chase and capture over rest, grunter (Radull et al. 2002)"
    )
    stress_decay_per_h: float = _house(
        2.0, "per hour", 0.5, 5, "5 % of the excess left at 90 min; coho mostly calm in 1 h (Davis 1993)"
    )
    demand_doubt: float = _house(
        0.5, "share", 0.1, 1, "length-weight and metabolic regressions, +-50 % on an individual"
    )
    squid_times_fish: float = _house(
        3.0, "times", 1, 10, "a squid's uptake over a fish's of its mass; no source: put squid back at once"
    )
    meter_doubt_mg_l: float = _house(0.2, "mg/L", 0.05, 1, "error of one reading of a hand oxygen meter")
    pump_air_per_h_low: float = _house(1.0, "per hour", 0.1, 20, "battery pump and stone in 15 to 20 L, weak")
    pump_air_per_h_high: float = _house(
        6.0, "per hour", 0.1, 20, "battery pump and stone in 15 to 20 L, strong"
    )
    target_percent: float = _house(
        80.0, "% saturation", 50, 100, "common practice; healthy coastal water is seldom lower"
    )
    act_percent: float = _house(60.0, "% saturation", 30, 100, "a hatchery sheet of no-effect limits")
    act_mg_l: float = _house(
        5.0, "mg/L", 3, 10, "hatchery practice; the higher of this and act_percent counts"
    )
    carry_min: float = _house(
        60.0, "min", 5, 600, "from the bucket's filling to its next water change or home"
    )
    warming_h: float = _house(
        4.0,
        "h",
        0.5,
        48,
        "time constant of a plastic bucket, 2.5 (breeze) to 7.7 (still shade) by heat balance",
    )
    warming_note_c: float = _house(2.0, "°C", 0.5, 10, "rise over capture that is worth a note")
    warming_act_c: float = _house(3.0, "°C", 0.5, 10, "rise over capture that asks for new water or ice")
    warming_stop_c: float = _house(5.0, "°C", 0.5, 15, "rise over capture at which collecting stops")
    warm_stop_at_c: float = _house(18.0, "°C", 10, 32, "end temperature for catch from cold water")
    ammonia_green_mg_l: float = _house(0.02, "mg NH3/L", 0.001, 0.2, "a state hatchery laboratory's limit")
    ammonia_red_mg_l: float = _house(
        0.035, "mg NH3/L", 0.001, 0.3, "marine chronic criterion, WAC 173-201A-240"
    )
    ammonia_quotient_fasted: float = _house(
        0.11, "mol N per mol O2", 0.05, 0.4, "sockeye unfed (Brett & Zala 1975)"
    )
    ammonia_quotient_fed: float = _house(
        0.24, "mol N per mol O2", 0.05, 0.4, "flounder fed 0.237; fish straight from the seine are fed"
    )
    fed_multiplier: float = _house(
        2.2, "times", 1, 4, "fed peak over unfed, sockeye 370 over 170 (Brett & Zala)"
    )
    acclimation_c_per_h: float = _house(
        2.0, "°C per hour", 0.25, 6, "no published rate: end values kill, rates less"
    )
    acclimation_salinity_per_h: float = _house(
        2.0, "salinity per hour", 0.25, 10, "red drum: 1 to 3 h per 10 made no difference, large steps did"
    )
    acclimation_salinity_most: float = _house(
        10.0, "salinity", 2, 20, "red drum: fewer lived through 20 in one step (61 against 82 %)"
    )
    acclimation_swap: float = _house(0.25, "share of the water", 0.05, 0.5, "a quarter at a time")
    acclimation_none_within: float = _house(
        1.0, "°C or salinity", 0.1, 3, "a smaller difference needs no schedule"
    )
    acclimation_close: float = _house(
        0.5, "°C or salinity", 0.05, 1, "a schedule ends when both are this near"
    )
    quarantine_days: float = _house(
        30.0, "days", 7, 180, "95 % of 42 zoos and aquaria hold 30 days or more (Hadfield & Clayton 2011)"
    )
    check_grace_h: float = _house(
        12.0, "h", 1, 24, "a look counts for the due time it lies within this much of"
    )
    refusal_days: float = _house(3.0, "days", 1, 7, "days of refused food until somebody else is told")
    ration_share_12c: float = _house(
        0.02, "of body mass, wet food per day", 0.002, 0.1, "hobby and farm guidance"
    )
    ration_q10: float = _house(2.4, "times for 10 °C", 1, 4, "acclimated metabolism (Clarke & Johnston 1999)")
    cysts_per_g: float = _house(
        200_000.0, "nauplii per g", 50_000, 350_000, "low end of 200 000 to 300 000 (SRAC 702, 2000)"
    )
    hydrometer_graduation: float = _house(0.001, "specific gravity", 0.0001, 0.005, "lines on a common float")
    conductivity_doubt: float = _house(0.01, "share", 0.001, 0.1, "hand conductivity meter, 1 % of reading")
    company_ratio: float = _house(
        0.5, "of the longer's length", 0.2, 1, "common practice: never shorter than half"
    )
    large_crab_mm: float = _house(50.0, "mm", 20, 150, "shell width from which a crab travels singly")
    air_exposure_s: float = _house(15.0, "s", 0, 60, "longest time in air in one handling")
    groups: Mapping[str, GroupDefault] = field(default_factory=lambda: GROUPS)

    def __post_init__(self) -> None:
        outside = [
            Problem("refused", within.sentence(), column=f"planning.{name}")
            for name, within in self._ranges()
            if not within.holds
        ]
        for low, high in (
            ("act_percent", "target_percent"),
            ("ammonia_green_mg_l", "ammonia_red_mg_l"),
            ("pump_air_per_h_low", "pump_air_per_h_high"),
            ("warming_note_c", "warming_act_c"),
            ("warming_act_c", "warming_stop_c"),
            ("acclimation_close", "acclimation_none_within"),
        ):
            if getattr(self, low) > getattr(self, high):
                outside.append(
                    Problem("refused", f"{low} has to be {high} or less", column=f"planning.{low}")
                )
        if outside:
            raise Refusal(outside)

    def _ranges(self) -> list[tuple[str, Within]]:
        return [
            (
                each.name,
                Within(
                    each.name,
                    getattr(self, each.name),
                    each.metadata["low"],
                    each.metadata["high"],
                    " " + each.metadata["unit"],
                    LABEL,
                ),
            )
            for each in dataclasses.fields(self)
            if each.metadata
        ]

    def described(self) -> list[dict[str, str | float | bool]]:
        """Return a row for each value; ``own`` says whether the station changed it."""
        return [
            {
                "name": each.name,
                "value": getattr(self, each.name),
                "unit": each.metadata["unit"],
                "low": each.metadata["low"],
                "high": each.metadata["high"],
                "label": LABEL,
                "why": each.metadata["why"],
                "own": getattr(self, each.name) != each.default,
            }
            for each in dataclasses.fields(self)
            if each.metadata
        ]


HOUSE = PlanningDefaults()
"""The values a station starts with."""


def own_defaults(
    values: Mapping[str, float], groups: Mapping[str, GroupDefault] | None = None
) -> PlanningDefaults:
    """Return the house values with a station's own in their place.

    Raises
    ------
    Refusal
        An unknown name (naming the nearest), something that is no number, a value outside its range.
    """
    known = [each.name for each in dataclasses.fields(PlanningDefaults) if each.metadata]
    wrong = [
        Problem("refused", unknown("planning default", name, known), column=f"planning.{name}")
        for name in values
        if name not in known
    ] + [
        Problem("refused", f"{name} has to be a number, not {value!r}", column=f"planning.{name}")
        for name, value in values.items()
        if name in known and (isinstance(value, bool) or not isinstance(value, int | float))
    ]
    if wrong:
        raise Refusal(wrong)
    merged = {**GROUPS, **(groups or {})}
    return dataclasses.replace(HOUSE, **{name: float(value) for name, value in values.items()}, groups=merged)
