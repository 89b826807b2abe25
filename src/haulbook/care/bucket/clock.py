"""The bucket's clock: minutes left as a range, how many more fit, and where oxygen comes to rest."""

from __future__ import annotations

import math
from dataclasses import dataclass

from haulbook.care.bucket import model
from haulbook.care.demand import Demand
from haulbook.care.planning import HOUSE, PlanningDefaults
from haulbook.care.ranges import Within, require
from haulbook.care.seawater.oxygen import STANDARD_HPA, oxygen_mg_per_l


@dataclass(frozen=True, slots=True)
class Water:
    """The water in a bucket.

    Attributes
    ----------
    litres : float
        Water, not bucket size. 0.1 to 10 000.
    temperature_c, salinity : float
        0 to 30 °C, 0 to 40.
    oxygen_mg_l : float or None
        Measured; None: taken as saturated. What stands above saturation is not counted on: it leaves soon.
    air_per_h : float
        Exchange with air, 0 to 100 per hour; 0 with a lid and no pump.
    pressure_hpa : float
        Barometer.
    """

    litres: float
    temperature_c: float
    salinity: float
    oxygen_mg_l: float | None = None
    air_per_h: float = 0.0
    pressure_hpa: float = STANDARD_HPA

    def __post_init__(self) -> None:
        require(
            Within("water volume", self.litres, 0.1, 10_000, " L"),
            Within("temperature", self.temperature_c, 0, 30, " °C", "oxygen demand"),
            Within("salinity", self.salinity, 0, 40, "", "Benson & Krause 1984"),
            Within("oxygen", self.oxygen_mg_l or 0.0, 0, 30, " mg/L", "more is a meter out of order"),
            Within("air", self.air_per_h, 0, 100, " per hour"),
            Within("air pressure", self.pressure_hpa, 900, 1060, " hPa", "a barometer at sea level"),
        )

    @property
    def saturation_mg_l(self) -> float:
        """Oxygen in balance with air, mg/L."""
        return oxygen_mg_per_l(self.temperature_c, self.salinity, self.pressure_hpa)

    @property
    def start_mg_l(self) -> float:
        """Oxygen that the clock starts from, mg/L: the reading, at most saturation."""
        saturation = self.saturation_mg_l
        return saturation if self.oxygen_mg_l is None else min(self.oxygen_mg_l, saturation)


@dataclass(frozen=True, slots=True)
class Stress:
    """How far above rest animals breathe after capture, and how that wears off.

    Attributes
    ----------
    multiplier : float
        1 to 10; 1 where the demand already includes it, as a measured one does.
    decay_per_h : float or None
        None: does not wear off.
    """

    multiplier: float
    decay_per_h: float | None = None

    def __post_init__(self) -> None:
        require(Within("capture multiplier", self.multiplier, 1, 10))

    def after(self, hours: float) -> Stress:
        """Return the stress that is left ``hours`` after capture."""
        if self.decay_per_h is None:
            return self
        return Stress(1.0 + (self.multiplier - 1.0) * math.exp(-self.decay_per_h * hours), self.decay_per_h)


INCLUDED = Stress(1.0)
"""For a demand that includes stress already."""


def fresh_stress(planning: PlanningDefaults = HOUSE) -> Stress:
    """Return the stress of animals just caught, by the planning defaults."""
    return Stress(planning.capture_multiplier, planning.stress_decay_per_h)


def two_figures(value: float) -> str:
    """Return a number as the model deserves to be read: two figures, no more."""
    return f"{float(f'{value:.2g}'):.0f}" if value >= 10.0 else f"{value:.2g}"


@dataclass(frozen=True, slots=True)
class Minutes:
    """Minutes left: likely, at worst and at best; None means never; 0 means now."""

    middle: float | None
    low: float | None
    high: float | None

    def words(self) -> str:
        """Return what to read off the screen."""
        if self.low is None:
            return "not while nothing changes"
        if self.middle == 0.0:
            return "now"
        if self.middle is None:
            return f"likely never, at worst in {two_figures(self.low)} min"
        best = "never" if self.high is None else two_figures(self.high)
        return f"about {two_figures(self.middle)} min (at worst {two_figures(self.low)}, at best {best})"


def target_mg_l(water: Water, planning: PlanningDefaults = HOUSE) -> float:
    """Return the planning target in mg/L: 80 % of saturation (planning default, common practice)."""
    return planning.target_percent / 100.0 * water.saturation_mg_l


def act_now_mg_l(water: Water, planning: PlanningDefaults = HOUSE) -> float:
    """Return the oxygen at which to act at once: 60 % of saturation or 5 mg/L, whichever is reached first."""
    return max(planning.act_percent / 100.0 * water.saturation_mg_l, planning.act_mg_l)


def minutes_left(water: Water, load: Demand, threshold_mg_l: float, stress: Stress) -> Minutes:
    """Return the minutes until oxygen falls to a threshold, as a range.

    Middle and worst case take the stress as constant; the best case lets it wear off.
    The load is at rest unless ``stress`` is `INCLUDED`. More air never shortens, more animals never lengthen.
    """
    require(Within("oxygen threshold", threshold_mg_l, 0, 30, " mg/L"))

    def constant(resting_mg_h: float) -> float | None:
        return model.hours_until(
            threshold_mg_l,
            water.start_mg_l,
            water.saturation_mg_l,
            water.litres,
            resting_mg_h * stress.multiplier,
            water.air_per_h,
        )

    best = (
        constant(load.low)
        if stress.decay_per_h is None
        else model.hours_until_calming(
            threshold_mg_l,
            water.start_mg_l,
            water.saturation_mg_l,
            water.litres,
            load.low,
            water.air_per_h,
            stress.multiplier,
            stress.decay_per_h,
        )
    )
    middle, worst = constant(load.mg_h), constant(load.high)
    return Minutes(*(None if hours is None else hours * 60.0 for hours in (middle, worst, best)))


def steady_mg_l(water: Water, load: Demand, stress: Stress) -> float | None:
    """Return the oxygen in mg/L at which the bucket comes to rest under constant stress; None without air."""
    return model.steady_oxygen(
        water.saturation_mg_l, water.litres, load.mg_h * stress.multiplier, water.air_per_h
    )


def room_mg_h(water: Water, load: Demand, threshold_mg_l: float, stress: Stress, carry_min: float) -> float:
    """Return the demand in mg/h, stress included, that still fits for ``carry_min``; not below 0."""
    allowed = model.demand_allowed(
        carry_min / 60.0,
        threshold_mg_l,
        water.start_mg_l,
        water.saturation_mg_l,
        water.litres,
        water.air_per_h,
    )
    return max(0.0, allowed - load.mg_h * stress.multiplier)


def room_for(
    water: Water, load: Demand, each: Demand, threshold_mg_l: float, stress: Stress, carry_min: float
) -> int:
    """Return how many more animals of demand ``each`` fit, above the threshold for ``carry_min``."""
    left = room_mg_h(water, load, threshold_mg_l, stress, carry_min)
    # The last whole animal must not be lost to rounding: 8 allowed and 5 inside leave 3.
    return model.animals_allowed(left * (1.0 + 1e-12), each.mg_h * stress.multiplier)
