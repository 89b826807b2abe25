"""Everything that can end a bucket's time, side by side: oxygen, warmth, ammonia."""

from __future__ import annotations

from dataclasses import dataclass

from haulbook.care.bucket.ammonia import ammonia_mg_n_per_h, hours_until_nh3
from haulbook.care.bucket.clock import Minutes, Stress, Water, act_now_mg_l, minutes_left, target_mg_l
from haulbook.care.bucket.warming import hours_until_rise
from haulbook.care.demand import Demand
from haulbook.care.planning import HOUSE, LABEL, PlanningDefaults
from haulbook.care.ranges import Within, require
from haulbook.care.seawater.ammonia import ammonia_fraction


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit, when it is reached, and what it rests on.

    Attributes
    ----------
    what : str
        In words: ``act now: oxygen``.
    value : float
        The limit itself, in ``unit``.
    """

    what: str
    value: float
    unit: str
    minutes: Minutes
    standing: str


def oxygen_limits(
    water: Water, load: Demand, stress: Stress, planning: PlanningDefaults = HOUSE
) -> tuple[Limit, ...]:
    """Return the planning target and the act-now limit; lethal values are no limits to plan by."""
    target, act = target_mg_l(water, planning), act_now_mg_l(water, planning)
    return (
        Limit(
            f"target: {planning.target_percent:g} % of saturation",
            target,
            "mg/L",
            minutes_left(water, load, target, stress),
            f"{LABEL}, common practice",
        ),
        Limit(
            f"act now: {planning.act_percent:g} % of saturation or {planning.act_mg_l:g} mg/L",
            act,
            "mg/L",
            minutes_left(water, load, act, stress),
            f"{LABEL}, hatchery practice",
        ),
    )


def warming_limits(
    water: Water, air_c: float, planning: PlanningDefaults = HOUSE, captured_c: float | None = None
) -> tuple[Limit, ...]:
    """Return when the water has warmed by the note, act and stop steps over its temperature at capture.

    ``air_c``: air in the shade, or what a bucket in the sun nears (`warming.sun_towards_c`). ``captured_c``
    None: as now. The range is half to twice the time constant. Catch from water below the end temperature
    stops there, if that comes first.
    """
    from_c = water.temperature_c if captured_c is None else captured_c
    stop_c = from_c + planning.warming_stop_c
    if from_c < planning.warm_stop_at_c:
        stop_c = min(stop_c, planning.warm_stop_at_c)
    steps = (
        ("warming: note", from_c + planning.warming_note_c),
        ("warming: new water or sealed ice", from_c + planning.warming_act_c),
        ("warming: stop collecting or release", stop_c),
    )
    return tuple(Limit(what, at, "°C", _warming(water, air_c, at, planning), LABEL) for what, at in steps)


def _warming(water: Water, air_c: float, at_c: float, planning: PlanningDefaults) -> Minutes:
    hours = [
        hours_until_rise(at_c - water.temperature_c, water.temperature_c, air_c, planning.warming_h * factor)
        for factor in (1.0, 0.5, 2.0)
    ]
    return Minutes(*(None if each is None else each * 60.0 for each in hours))


def ammonia_limit(
    water: Water,
    load: Demand,
    stress: Stress,
    ph: float,
    scale: str,
    tan_mg_n_l: float = 0.0,
    planning: PlanningDefaults = HOUSE,
) -> Limit:
    """Return when un-ionised ammonia reaches the red limit at the pH as it is now.

    Middle and worst case reckon with fed animals, the best with fasted ones. Carbon dioxide lowers the pH in
    closed water, and air or new water raises it again: that is when it bites.
    """
    fraction = ammonia_fraction(water.temperature_c, water.salinity, ph, scale)
    require(Within("total ammonia nitrogen", tan_mg_n_l, 0, 100, " mg N/L"))
    hours = [
        hours_until_nh3(
            planning.ammonia_red_mg_l,
            fraction,
            ammonia_mg_n_per_h(mg_h * stress.multiplier, quotient),
            water.litres,
            tan_mg_n_l,
        )
        for mg_h, quotient in (
            (load.mg_h, planning.ammonia_quotient_fed),
            (load.high, planning.ammonia_quotient_fed),
            (load.low, planning.ammonia_quotient_fasted),
        )
    ]
    return Limit(
        f"ammonia at pH {ph:g} ({scale})",
        planning.ammonia_red_mg_l,
        "mg NH3/L",
        Minutes(*(None if each is None else each * 60.0 for each in hours)),
        f"{LABEL}, marine chronic criterion WAC 173-201A-240",
    )
