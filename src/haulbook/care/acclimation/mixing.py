"""How the water round an animal comes to match its tank's: four laws of mixing, in plain numbers.

They hold for salinity, temperature (walls apart) and anything dissolved. Litres, hours, litres per hour.
"""

from __future__ import annotations

import math

from haulbook.care.ranges import Within, require


def _litres(litres: float) -> None:
    require(Within("water volume", litres, 0.01, 100_000, " L"))


def drip(
    hours: float, start: float, target: float, litres: float, flow_l_h: float, wall_h: float | None = None
) -> float:
    """Return the value after ``hours`` of drip with overflow.

    ``wall_h``: for temperature, the time constant in hours of exchange through walls towards the same target.
    Source: ``Xt + (X0 - Xt) exp(-(q/V + 1/tau) t)``.
    """
    _litres(litres)
    rate = flow_l_h / litres + (1.0 / wall_h if wall_h else 0.0)
    return target + (start - target) * math.exp(-rate * hours)


def drip_hours(start: float, target: float, within: float, litres: float, flow_l_h: float) -> float:
    """Return hours of drip until the value is ``within`` of the target; 0 where it is.

    Source: ``(V/q) ln(|X0 - Xt| / d)``. Refuses a flow or a nearness that is not above 0.
    """
    _litres(litres)
    require(Within("flow", flow_l_h, 1e-6, 1e5, " L/h"), Within("nearness", within, 1e-9, 100))
    gap = abs(start - target)
    return litres / flow_l_h * math.log(gap / within) if gap > within else 0.0


def drip_flow_most(start: float, target: float, litres: float, rate_per_h: float) -> float | None:
    """Return the highest flow in L/h that keeps a drip's steepest (first) rate within a limit; None: any.

    Source: ``r V / |X0 - Xt|``.
    """
    _litres(litres)
    gap = abs(start - target)
    return rate_per_h * litres / gap if gap else None


def fill(start: float, target: float, start_litres: float, added_litres: float) -> float:
    """Return the value after adding target water and taking none away.

    Source: ``(X0 V0 + Xt v) / (V0 + v)``.
    """
    _litres(start_litres)
    require(Within("added water", added_litres, 0, 100_000, " L"))
    return (start * start_litres + target * added_litres) / (start_litres + added_litres)


def swaps_left(share: float, times: int) -> float:
    """Return the share of a difference left after replacing ``share`` of the water some times.

    Source: ``(1 - f)^n``.
    """
    require(Within("share of the water", share, 1e-6, 1))
    return math.pow(1.0 - share, times)


def swaps_needed(share: float, left: float) -> int:
    """Return how many swaps of ``share`` leave at most ``left`` (0 to 1) of a difference.

    Source: ``ceil(ln e / ln(1 - f))``.
    """
    require(Within("share of the water", share, 1e-6, 0.999), Within("share left", left, 1e-9, 1))
    return math.ceil(math.log(left) / math.log1p(-share) - 1e-12)


def constant_rate_flow(now: float, target: float, litres: float, rate_per_h: float) -> float | None:
    """Return the flow in L/h that changes the value at exactly a rate just now; None once it is there.

    It rises as the target nears. Source: ``r V / |X - Xt|``.
    """
    return drip_flow_most(now, target, litres, rate_per_h)


def constant_rate_hours(start: float, target: float, rate_per_h: float) -> float:
    """Return the hours that a constant rate takes. Source: ``|X0 - Xt| / r``."""
    require(Within("rate", rate_per_h, 1e-6, 1e3, " per hour"))
    return abs(start - target) / rate_per_h
