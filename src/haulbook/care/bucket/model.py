"""The balance of oxygen in a well-mixed bucket, solved in closed form.

    dC/dt = -R/V + k (Cs - C)

C oxygen mg/L, Cs saturation mg/L, R demand mg/h, V water L, k exchange per hour, t hours. With stress that
wears off, R = R0 (1 + (F - 1) exp(-w t)). Plain numbers and ``math`` only. A result of None means never.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from haulbook.care.ranges import Within, require

LONGEST_H = 1e6
"""Beyond this the answer is never."""


def _check(volume_l: float, demand_mg_h: float, air_per_h: float) -> None:
    require(
        Within("water volume", volume_l, 0.01, 100_000, " L"),
        Within("oxygen demand", demand_mg_h, 0, 1e7, " mg/h"),
        Within("air", air_per_h, 0, 100, " per hour"),
    )


def _decays(rate_a: float, rate_b: float, hours: float) -> float:
    """Return (exp(-a t) - exp(-b t)) / (b - a), and its limit t exp(-a t) where both rates agree."""
    slow, gap = min(rate_a, rate_b), abs(rate_a - rate_b)
    spread = hours if gap * hours < 1e-12 else -math.expm1(-gap * hours) / gap
    return math.exp(-slow * hours) * spread


def oxygen_after(
    hours: float,
    start_mg_l: float,
    saturation_mg_l: float,
    volume_l: float,
    demand_mg_h: float,
    air_per_h: float,
    stress_multiplier: float = 1.0,
    stress_decay_per_h: float = 0.0,
) -> float:
    """Return oxygen in mg/L after ``hours``; not below 0, where the model has long ceased to hold.

    Parameters
    ----------
    demand_mg_h : float
        At rest where ``stress_multiplier`` is given, else in total.
    stress_multiplier, stress_decay_per_h : float
        F at the start and the rate w at which F - 1 wears off.

    Notes
    -----
    Source: mass balance above; checked against numerical integration to 1e-8.
    """
    _check(volume_l, demand_mg_h, air_per_h)
    return max(
        0.0,
        _oxygen(
            hours,
            start_mg_l,
            saturation_mg_l,
            demand_mg_h / volume_l,
            air_per_h,
            stress_multiplier - 1.0,
            stress_decay_per_h,
        ),
    )


def _oxygen(
    hours: float, start: float, saturation: float, use: float, air: float, excess: float, decay: float
) -> float:
    # use = R0 / V; written so that every term stays finite for air -> 0 and air -> decay
    renewed = -math.expm1(-air * hours) / air if air > 0.0 else hours
    calm = start + (air * (saturation - start) - use) * renewed
    return calm - use * excess * _decays(decay, air, hours)


def steady_oxygen(
    saturation_mg_l: float, volume_l: float, demand_mg_h: float, air_per_h: float
) -> float | None:
    """Return the oxygen in mg/L at which air keeps up with demand, not below 0; None without air.

    Source: ``Cs - R / (V k)``.
    """
    _check(volume_l, demand_mg_h, air_per_h)
    if air_per_h == 0.0:
        return None
    return max(0.0, saturation_mg_l - demand_mg_h / (volume_l * air_per_h))


def hours_until(
    threshold_mg_l: float,
    start_mg_l: float,
    saturation_mg_l: float,
    volume_l: float,
    demand_mg_h: float,
    air_per_h: float,
) -> float | None:
    """Return hours until oxygen falls to a threshold under constant demand: 0 it has, None it never does.

    Source: without air ``V (C0 - Cth) / R``; with air ``ln[(C0 - C) / (Cth - C)] / k``, C the steady oxygen.
    """
    _check(volume_l, demand_mg_h, air_per_h)
    if start_mg_l <= threshold_mg_l:
        return 0.0
    if air_per_h == 0.0:
        return volume_l * (start_mg_l - threshold_mg_l) / demand_mg_h if demand_mg_h else None
    steady = saturation_mg_l - demand_mg_h / (volume_l * air_per_h)
    if steady >= threshold_mg_l:
        return None
    return math.log((start_mg_l - steady) / (threshold_mg_l - steady)) / air_per_h


def hours_until_calming(
    threshold_mg_l: float,
    start_mg_l: float,
    saturation_mg_l: float,
    volume_l: float,
    resting_mg_h: float,
    air_per_h: float,
    stress_multiplier: float,
    stress_decay_per_h: float,
) -> float | None:
    """Return hours until oxygen first falls to a threshold while stress wears off; see `hours_until`.

    The curve has at most one turning point (oxygen may dip and recover), so it is cut there and each piece is
    halved to 1e-10 h. Source: as `oxygen_after`.
    """
    _check(volume_l, resting_mg_h, air_per_h)
    require(
        Within("capture multiplier", stress_multiplier, 1, 10),
        Within("stress decay", stress_decay_per_h, 0.01, 100, " per hour"),
    )
    if start_mg_l <= threshold_mg_l:
        return 0.0
    use, excess = resting_mg_h / volume_l, stress_multiplier - 1.0
    if use == 0.0 and (air_per_h == 0.0 or saturation_mg_l >= threshold_mg_l):
        return None

    def above(hours: float) -> float:
        return (
            _oxygen(hours, start_mg_l, saturation_mg_l, use, air_per_h, excess, stress_decay_per_h)
            - threshold_mg_l
        )

    turn = _turning_point(start_mg_l, saturation_mg_l, use, air_per_h, excess, stress_decay_per_h)
    if turn > 0.0 and above(turn) <= 0.0:
        return _halve(above, 0.0, turn)
    if air_per_h > 0.0 and saturation_mg_l - use / air_per_h >= threshold_mg_l:
        return None
    late = max(turn, 1.0)
    while above(late) > 0.0:
        late *= 2.0
        if late > LONGEST_H:
            return None
    return _halve(above, turn, late)


def _turning_point(
    start: float, saturation: float, use: float, air: float, excess: float, decay: float
) -> float:
    """Return the hour at which oxygen stops falling and recovers, or the reverse; 0 where it never turns."""
    if air == 0.0 or use * excess == 0.0:
        return 0.0
    above_steady, stress, gap = start - (saturation - use / air), use * excess, air - decay
    if abs(gap) < 1e-6 * air:
        return max(0.0, 1.0 / air + above_steady / stress)
    argument = air * (above_steady * gap + stress) / (stress * decay)
    return max(0.0, math.log(argument) / gap) if argument > 0.0 else 0.0


def _halve(above: Callable[[float], float], early: float, late: float) -> float:
    while late - early > 1e-10 * max(1.0, late):
        middle = (early + late) / 2.0
        early, late = (middle, late) if above(middle) > 0.0 else (early, middle)
    return (early + late) / 2.0


def lowest_oxygen(
    start_mg_l: float,
    saturation_mg_l: float,
    volume_l: float,
    resting_mg_h: float,
    air_per_h: float,
    stress_multiplier: float,
    stress_decay_per_h: float,
    within_h: float,
) -> tuple[float, float]:
    """Return the lowest oxygen (mg/L) within ``within_h`` hours and the hour at which it stands.

    With air and stress that wears off the low point lies inside the span: the value at its end would flatter.
    Source: as `oxygen_after`, at its turning point.
    """
    _check(volume_l, resting_mg_h, air_per_h)
    use, excess = resting_mg_h / volume_l, stress_multiplier - 1.0
    turn = _turning_point(start_mg_l, saturation_mg_l, use, air_per_h, excess, stress_decay_per_h)
    return min(
        (
            max(0.0, _oxygen(hours, start_mg_l, saturation_mg_l, use, air_per_h, excess, stress_decay_per_h)),
            hours,
        )
        for hours in (0.0, min(turn, within_h), within_h)
    )


def demand_allowed(
    carry_h: float,
    threshold_mg_l: float,
    start_mg_l: float,
    saturation_mg_l: float,
    volume_l: float,
    air_per_h: float,
) -> float:
    """Return the demand in mg/h that brings oxygen just to the threshold after ``carry_h`` hours, or 0.

    Source: without air ``V (C0 - Cth) / t``; with air ``V k [Cs - (Cth - C0 e) / (1 - e)]``,
    ``e = exp(-k t)``.
    """
    _check(volume_l, 0.0, air_per_h)
    require(Within("time to carry", carry_h, 0.01, 1000, " h"))
    if start_mg_l <= threshold_mg_l:
        return 0.0
    if air_per_h == 0.0:
        return volume_l * (start_mg_l - threshold_mg_l) / carry_h
    left = math.exp(-air_per_h * carry_h)
    end = (threshold_mg_l - start_mg_l * left) / -math.expm1(-air_per_h * carry_h)
    return max(0.0, volume_l * air_per_h * (saturation_mg_l - end))


def animals_allowed(demand_allowed_mg_h: float, demand_each_mg_h: float) -> int:
    """Return how many whole animals of one demand (with its multiplier) an allowed demand bears."""
    require(Within("oxygen demand of one", demand_each_mg_h, 1e-9, 1e6, " mg/h"))
    return max(0, math.floor(demand_allowed_mg_h / demand_each_mg_h))


def air_needed(
    threshold_mg_l: float, saturation_mg_l: float, volume_l: float, demand_mg_h: float
) -> float | None:
    """Return the exchange per hour that holds a threshold for ever; None at saturation, where no air can.

    Source: ``R / [V (Cs - Cth)]``.
    """
    _check(volume_l, demand_mg_h, 0.0)
    if threshold_mg_l >= saturation_mg_l:
        return None
    return demand_mg_h / (volume_l * (saturation_mg_l - threshold_mg_l))
