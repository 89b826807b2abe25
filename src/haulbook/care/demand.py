"""How much oxygen animals use at rest, as a range; stress comes on top in the bucket's clock."""

from __future__ import annotations

import math
from dataclasses import dataclass

from haulbook.care.animal import TaxonFacts
from haulbook.care.mass import Mass, mass_of
from haulbook.care.planning import HOUSE, LABEL, PlanningDefaults
from haulbook.care.planning_groups import UNKNOWN_GROUP, Uptake
from haulbook.care.ranges import Within, require
from haulbook.care.seawater.oxygen import O2_G_PER_MOL

WARMED_Q10 = 2.4
SHRIMP_LARGEST_G = 13.8


def fish_uptake_mg_h(mass_g: float, temperature_c: float, home_c: float | None = None) -> float:
    """Return a fish's resting oxygen uptake in mg/h, about +-50 % on an individual.

    Range 0.5 to 500 g, 0 to 30 °C; refused outside. ``home_c``: temperature of the water the fish lived in;
    one warmed above it changes faster (Q10 2.4 within a species) than species differ.
    Source: Clarke & Johnston (1999), J. Anim. Ecol. 68:893-905: ln R50 = 15.7 - 5020/K mmol/h, exponent 0.80.
    """
    require(
        Within("mass", mass_g, 0.5, 500, " g", "Clarke & Johnston 1999"),
        Within("temperature", temperature_c, 0, 30, " °C", "Clarke & Johnston 1999"),
        Within("home temperature", temperature_c if home_c is None else home_c, 0, 30, " °C"),
    )
    return _fish(mass_g, temperature_c, home_c)


def _fish(mass_g: float, temperature_c: float, home_c: float | None = None) -> float:
    at = temperature_c if home_c is None else min(home_c, temperature_c)
    resting = O2_G_PER_MOL * math.exp(15.7 - 5020.0 / (at + 273.15)) * math.pow(mass_g / 50.0, 0.80)
    return resting * math.pow(WARMED_Q10, (temperature_c - at) / 10.0)


def shrimp_uptake_mg_h(mass_g: float, temperature_c: float) -> float:
    """Return a shrimp's standard oxygen uptake in mg/h.

    Range 0.22 to 13.8 g, 0 to 20 °C; refused outside. Measured at 2 to 8 °C; above that the slope rests on
    *Crangon*, whose Q10 of 2.5 to 3.6 over 0 to 20 °C is steeper if anything.
    Source: northern shrimp *Pandalus borealis*: log10 M = 0.57 log10 W + 0.04 T - 1.21 (published abstract).
    """
    require(
        Within("mass", mass_g, 0.22, SHRIMP_LARGEST_G, " g", "northern shrimp"),
        Within("temperature", temperature_c, 0, 20, " °C", "northern shrimp, stretched by Crangon"),
    )
    return _shrimp(mass_g, temperature_c)


def _shrimp(mass_g: float, temperature_c: float) -> float:
    return math.pow(10.0, 0.57 * math.log10(mass_g) + 0.04 * temperature_c - 1.21)


def crab_uptake_mg_h(mass_g: float, temperature_c: float) -> float:
    """Return a stop-gap for a crab's oxygen uptake in mg/h (planning default; no coefficient found in print).

    Range 0.22 to 2000 g, 0 to 20 °C; refused outside. A crab on damp eelgrass in air uses no bucket oxygen.
    Source: shrimp equation at 13.8 g, then mass to the 0.65 (Griffen & Sipos 2018, exponent only).
    """
    require(
        Within("mass", mass_g, 0.22, 2000, " g", LABEL),
        Within("temperature", temperature_c, 0, 20, " °C", "northern shrimp, stretched by Crangon"),
    )
    return _crab(mass_g, temperature_c)


def _crab(mass_g: float, temperature_c: float) -> float:
    return _shrimp(SHRIMP_LARGEST_G, temperature_c) * math.pow(mass_g / SHRIMP_LARGEST_G, 0.65)


@dataclass(frozen=True, slots=True)
class Demand:
    """Resting oxygen demand in mg/h: the middle, what it may be as little and as much as, and why.

    Demands add, low to low and high to high: what is wrong about one fish is likely wrong about its fellows.
    """

    mg_h: float
    low: float
    high: float
    notes: tuple[str, ...] = ()

    def __add__(self, other: Demand) -> Demand:
        notes = self.notes + tuple(note for note in other.notes if note not in self.notes)
        return Demand(self.mg_h + other.mg_h, self.low + other.low, self.high + other.high, notes)

    def times(self, factor: float) -> Demand:
        """Return the demand of ``factor`` such animals, or under a multiplier."""
        return Demand(self.mg_h * factor, self.low * factor, self.high * factor, self.notes)


NOTHING = Demand(0.0, 0.0, 0.0)


def spread(mg_h: float, doubt: float, notes: tuple[str, ...] = ()) -> Demand:
    """Return a demand from ``mg_h / (1 + doubt)`` to ``mg_h (1 + doubt)``; never 0 where ``mg_h`` is not."""
    return Demand(mg_h, mg_h / (1.0 + doubt), mg_h * (1.0 + doubt), notes)


def demand_of(
    taxon: TaxonFacts | None,
    temperature_c: float,
    *,
    length_mm: float | None = None,
    weighed_g: float | None = None,
    home_c: float | None = None,
    planning: PlanningDefaults = HOUSE,
) -> Demand:
    """Return the resting demand of one animal by the best that is known of it; never 0.

    Where mass or temperature lie beyond what a formula was fitted on, the formula is stretched, the range is
    doubled and a note says so: on a beach a wide answer is worth more than none.

    Parameters
    ----------
    taxon : TaxonFacts or None
        None for a name that is still open: reckoned as a fish of the planning default's mass.
    temperature_c : float
        0 to 30; refused outside.
    """
    require(Within("temperature", temperature_c, 0, 30, " °C", "oxygen demand"))
    mass = mass_of(taxon, length_mm=length_mm, weighed_g=weighed_g, planning=planning)
    uptake = (planning.groups.get(taxon.group, UNKNOWN_GROUP) if taxon else UNKNOWN_GROUP).uptake
    stretched = _stretched(uptake, mass, temperature_c)
    doubt = planning.demand_doubt * (
        1.0 if mass.sure and not stretched and uptake in ("fish", "shrimp") else 2.0
    )
    return spread(
        _uptake(uptake, mass.g, temperature_c, home_c, planning.squid_times_fish),
        doubt,
        mass.notes + stretched,
    )


def _uptake(uptake: Uptake, mass_g: float, temperature_c: float, home_c: float | None, squid: float) -> float:
    if uptake == "shrimp":
        return _shrimp(mass_g, temperature_c)
    if uptake == "crab":
        return _crab(mass_g, temperature_c)
    return _fish(mass_g, temperature_c, home_c) * (squid if uptake == "squid" else 1.0)


def _stretched(uptake: Uptake, mass: Mass, temperature_c: float) -> tuple[str, ...]:
    lightest, heaviest, warmest = {
        "fish": (0.5, 500.0, 30.0),
        "squid": (0.5, 500.0, 30.0),
        "shrimp": (0.22, SHRIMP_LARGEST_G, 20.0),
        "crab": (0.22, 2000.0, 20.0),
    }[uptake]
    notes = []
    if uptake in ("crab", "squid"):
        notes.append(f"no published oxygen demand for such an animal; a stop-gap is used ({LABEL})")
    if not lightest <= mass.g <= heaviest:
        notes.append(f"{mass.g:.2g} g lies outside the {lightest:g} to {heaviest:g} g of the formula")
    if temperature_c > warmest:
        notes.append(f"{temperature_c:g} °C lies above the {warmest:g} °C of the formula")
    return tuple(notes)
