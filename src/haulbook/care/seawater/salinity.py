"""Practical salinity from conductivity (PSS-78), its inverse, and from chlorinity."""

from __future__ import annotations

import math

from haulbook.care.ranges import Within, require

STANDARD_MS_CM = 42.914
"""Conductivity of sea water of salinity 35 at 15 °C (1968 scale) and the surface, in mS/cm."""

_RT = (0.6766097, 2.00564e-2, 1.104259e-4, -6.9698e-7, 1.0031e-9)
_A = (0.0080, -0.1692, 25.3851, 14.0941, -7.0261, 2.7081)
_B = (0.0005, -0.0056, -0.0066, -0.0375, 0.0636, -0.0144)


def conductivity_ratio_35(t68: float) -> float:
    """Return conductivity of salinity 35 at ``t68`` over that at 15 °C (1968 scale); no range check.

    Source: PSS-78, UNESCO Tech. Pap. Mar. Sci. 44.
    """
    return math.fsum(coefficient * t68**power for power, coefficient in enumerate(_RT))


def _pss78(conductivity_ms_cm: float, temperature_c: float) -> float:
    t68 = 1.00024 * temperature_c
    x = math.sqrt(conductivity_ms_cm / STANDARD_MS_CM / conductivity_ratio_35(t68))
    warmth = (t68 - 15.0) / (1.0 + 0.0162 * (t68 - 15.0))
    return math.fsum((a + warmth * b) * x**power for power, (a, b) in enumerate(zip(_A, _B, strict=True)))


def salinity_from_conductivity(conductivity_ms_cm: float, temperature_c: float) -> float:
    """Return practical salinity from conductivity in mS/cm *at the temperature of the sample*.

    A meter that shows "25 °C compensated" conductance has to have that switched off first.
    Range -2 to 35 °C, resulting salinity 2 to 42; refused outside.
    Source: PSS-78 at the surface, UNESCO Tech. Pap. Mar. Sci. 44.
    """
    require(
        Within("temperature", temperature_c, -2, 35, " °C", "PSS-78"),
        Within("conductivity", conductivity_ms_cm, 0, 100, " mS/cm", "PSS-78; is the meter set to mS/cm?"),
    )
    salinity = _pss78(conductivity_ms_cm, temperature_c)
    require(Within("the salinity of that conductivity,", salinity, 2, 42, "", "PSS-78"))
    return salinity


def conductivity_low_high(
    conductivity_ms_cm: float, temperature_c: float, doubt: float
) -> tuple[float, float]:
    """Return lowest and highest salinity of a reading that may be off by a share, cut at 2 and 42."""
    salinity_from_conductivity(conductivity_ms_cm, temperature_c)
    low, high = (_pss78(conductivity_ms_cm * (1.0 + sign * doubt), temperature_c) for sign in (-1.0, 1.0))
    return max(2.0, low), min(42.0, high)


def conductivity_from_salinity(salinity: float, temperature_c: float) -> float:
    """Return the conductivity in mS/cm at the sample's temperature that belongs to a salinity.

    Range as in `salinity_from_conductivity`, which this inverts by halving to 1e-9 mS/cm.
    """
    require(
        Within("temperature", temperature_c, -2, 35, " °C", "PSS-78"),
        Within("salinity", salinity, 2, 42, "", "PSS-78"),
    )
    low, high = 0.0, 100.0
    while high - low > 1e-9:
        middle = (low + high) / 2.0
        low, high = (middle, high) if _pss78(middle, temperature_c) < salinity else (low, middle)
    return (low + high) / 2.0


def salinity_from_chlorinity(chlorinity: float) -> float:
    """Return the salinity behind a chlorinity: old oxygen tables with columns 0 5 10 15 20 mean chlorinity.

    Range 0 to 23; refused outside. Source: S = 1.80655 Cl (UNESCO 1966).
    """
    require(Within("chlorinity", chlorinity, 0, 23))
    return 1.80655 * chlorinity
