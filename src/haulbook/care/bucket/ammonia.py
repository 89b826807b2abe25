"""Ammonia in closed water: what animals add, and when it reaches a limit."""

from __future__ import annotations

from typing import Literal

from haulbook.care.planning import HOUSE, PlanningDefaults
from haulbook.care.ranges import Within, require
from haulbook.care.seawater.ammonia import NH3_PER_N
from haulbook.care.seawater.oxygen import O2_G_PER_MOL

N_PER_O2 = 14.0067 / O2_G_PER_MOL

Light = Literal["green", "amber", "red"]


def ammonia_mg_n_per_h(demand_mg_h: float, quotient: float) -> float:
    """Return ammonia production in mg N/h from oxygen demand in mg/h.

    ``quotient``: mol N for a mol O2, 0.05 to 0.4; 0.11 fasted, 0.24 fed, as wild fish from a seine are.
    Source: molar masses; quotients from sockeye (Brett & Zala 1975) and flounder abstracts.
    """
    require(
        Within("oxygen demand", demand_mg_h, 0, 1e7, " mg/h"),
        Within("ammonia quotient", quotient, 0.05, 0.4, " mol N per mol O2"),
    )
    return quotient * N_PER_O2 * demand_mg_h


def tan_after(hours: float, start_mg_n_l: float, production_mg_n_h: float, volume_l: float) -> float:
    """Return total ammonia in mg N/L after ``hours`` in closed water. Source: ``TAN0 + E t / V``."""
    require(Within("water volume", volume_l, 0.01, 100_000, " L"))
    return start_mg_n_l + production_mg_n_h * hours / volume_l


def hours_until_nh3(
    limit_mg_nh3_l: float,
    fraction: float,
    production_mg_n_h: float,
    volume_l: float,
    start_mg_n_l: float = 0.0,
) -> float | None:
    """Return hours until un-ionised ammonia reaches a limit: 0 when it has, None without production.

    Source: ``(limit / (f * 17.0305/14.0067) - TAN0) V / E``.
    """
    require(
        Within("water volume", volume_l, 0.01, 100_000, " L"),
        Within("un-ionised share", fraction, 1e-9, 1),
    )
    room = limit_mg_nh3_l / (fraction * NH3_PER_N) - start_mg_n_l
    if room <= 0.0:
        return 0.0
    return room * volume_l / production_mg_n_h if production_mg_n_h > 0.0 else None


def nh3_light(nh3_mg_l: float, planning: PlanningDefaults = HOUSE) -> Light:
    """Return green below 0.02 mg NH3/L, amber to 0.035, red above (planning defaults)."""
    if nh3_mg_l < planning.ammonia_green_mg_l:
        return "green"
    return "amber" if nh3_mg_l <= planning.ammonia_red_mg_l else "red"
