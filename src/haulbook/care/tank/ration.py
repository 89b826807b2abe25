"""How much to feed: wet food by body mass and temperature, and brine shrimp by the mouth."""

from __future__ import annotations

import math

from haulbook.care.planning import HOUSE, PlanningDefaults
from haulbook.care.ranges import Within, require

GUIDANCE = (0.5, 5.0)
"""Percent of body mass per day in trade guidance (dry food): 0.5 to 2 adults, 2 to 5 juveniles."""


def ration_share(temperature_c: float, planning: PlanningDefaults = HOUSE) -> float:
    """Return wet food per day as a share of body mass, 0 to 30 °C; refused outside.

    Source: planning default, 2 % at 12 °C times ``2.4 ** ((T - 12) / 10)`` (Q10: Clarke & Johnston 1999).
    """
    require(Within("temperature", temperature_c, 0, 30, " °C"))
    return planning.ration_share_12c * math.pow(planning.ration_q10, (temperature_c - 12.0) / 10.0)


def ration_g_per_day(mass_g: float, temperature_c: float, planning: PlanningDefaults = HOUSE) -> float:
    """Return grams of wet food a day for animals of ``mass_g`` together (0.01 g to 1 t)."""
    require(Within("mass of the animals", mass_g, 0.01, 1e6, " g"))
    return mass_g * ration_share(temperature_c, planning)


def cysts_g_per_day(
    animals: int, nauplii_each: float, feeds_per_day: int, planning: PlanningDefaults = HOUSE
) -> float:
    """Return grams of brine shrimp cysts to set up a day.

    Source: ``N n m / Y`` with Y 200 000 nauplii per gram, the low end of SRAC 702 (2000).
    """
    require(
        Within("animals", animals, 0, 1e6),
        Within("nauplii for each animal and feed", nauplii_each, 0, 1e6),
        Within("feeds per day", feeds_per_day, 0, 24),
    )
    return animals * nauplii_each * feeds_per_day / planning.cysts_per_g


NAUPLII_NOTES = (
    "Hatch at 25 to 28 °C, salinity 5 to 35, at most 2 g of cysts in a litre: 24 h at 28 °C, 36 h at 21 °C.",
    "Feed at once: unfed second-stage nauplii lost 25 to 30 % of their reserves (Ghent University).",
    "To hold: below 10 °C, gentle air, at most 8 million in a litre, at most 24 h.",
)
"""Source: SRAC 702 (2000), FAO prawn manual annex, Ghent University; 24 and 36 h are trade figures."""
