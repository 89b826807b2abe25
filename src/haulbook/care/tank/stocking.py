"""How many animals a tank bears: by the oxygen its air brings in and the ammonia its filter takes."""

from __future__ import annotations

from dataclasses import dataclass

from haulbook.care.bucket.ammonia import ammonia_mg_n_per_h
from haulbook.care.bucket.clock import Water, target_mg_l
from haulbook.care.bucket.model import animals_allowed
from haulbook.care.demand import Demand
from haulbook.care.planning import HOUSE, PlanningDefaults
from haulbook.care.ranges import Within, require
from haulbook.problems import Refusal


@dataclass(frozen=True, slots=True)
class Stocking:
    """Animals of one kind that a tank bears for good, and what sets the limit."""

    animals: int
    by_oxygen: int
    by_ammonia: int | None

    @property
    def limit(self) -> str:
        """``oxygen`` or ``ammonia``."""
        return "oxygen" if self.by_ammonia is None or self.by_oxygen <= self.by_ammonia else "ammonia"


def stocking(
    water: Water,
    each: Demand,
    filter_mg_n_h: float | None = None,
    planning: PlanningDefaults = HOUSE,
) -> Stocking:
    """Return how many animals of resting demand ``each`` a tank bears, all of them just fed.

    Parameters
    ----------
    water : Water
        With the air that holds even when one pump fails, above 0 per hour.
    filter_mg_n_h : float or None
        Ammonia that filter or flow removes, mg N/h, as measured; None: not known, only oxygen is judged.

    Raises
    ------
    Refusal
        A tank without air.

    Notes
    -----
    Source: ``Rmax = V k (Cs - Cth)`` at the planning target; demand at its high end times the fed
    multiplier; ammonia ``E = AQ R`` with the fed quotient.
    """
    if water.air_per_h == 0.0:
        raise Refusal(
            "a tank needs air: give its exchange per hour, from two oxygen readings without animals"
        )
    fed = each.high * planning.fed_multiplier
    room = water.litres * water.air_per_h * (water.saturation_mg_l - target_mg_l(water, planning))
    by_oxygen = animals_allowed(room, fed)
    if filter_mg_n_h is None:
        return Stocking(by_oxygen, by_oxygen, None)
    require(Within("ammonia removal", filter_mg_n_h, 0, 1e6, " mg N/h"))
    by_ammonia = int(filter_mg_n_h // ammonia_mg_n_per_h(fed, planning.ammonia_quotient_fed))
    return Stocking(min(by_oxygen, by_ammonia), by_oxygen, by_ammonia)
