"""How fast a bucket warms, what sun adds, and how much sealed ice takes it back."""

from __future__ import annotations

import math

from haulbook.care.ranges import Within, require

HEAT_KJ_KG_K = 3.99
"""Specific heat of sea water."""

BOX_CM_PER_H = 0.11
"""Polystyrene fish box, 2.5 cm wall: published constant I of ``T = Ta + (T0 - Ta) exp(-I t Ws / Wv)``."""

MELTING_KJ_KG = 334.0
KG_PER_L = 1.023
"""Sea water of salinity 30 at 12 °C."""


def _check(*temperatures_c: float) -> None:
    require(*(Within("temperature", each, -5, 60, " °C") for each in temperatures_c))


def temperature_after(hours: float, start_c: float, towards_c: float, constant_h: float) -> float:
    """Return the water's temperature in °C after ``hours``: it nears ``towards_c`` with one time constant.

    ``towards_c``: air in the shade (wet-bulb when windy), or `sun_towards_c`.
    Source: ``T = Teq + (T0 - Teq) exp(-t / tau)``, heat balance of a stirred vessel.
    """
    _check(start_c, towards_c)
    require(Within("time constant", constant_h, 0.01, 1000, " h"))
    return towards_c + (start_c - towards_c) * math.exp(-hours / constant_h)


def hours_until_rise(rise_c: float, start_c: float, towards_c: float, constant_h: float) -> float | None:
    """Return hours until the water has warmed by ``rise_c``; None where the air is not that warm.

    Source: ``-tau ln[1 - rise / (Teq - T0)]``.
    """
    _check(start_c, towards_c)
    require(Within("time constant", constant_h, 0.01, 1000, " h"))
    if rise_c <= 0.0:
        return 0.0
    if rise_c >= towards_c - start_c:
        return None
    return -constant_h * math.log(1.0 - rise_c / (towards_c - start_c))


def constant_from_readings(first_c: float, second_c: float, towards_c: float, hours: float) -> float | None:
    """Return a bucket's own time constant in hours from two thermometer readings; None where it did not move.

    Source: ``t / ln[(Teq - T1) / (Teq - T2)]``.
    """
    _check(first_c, second_c, towards_c)
    before, after = towards_c - first_c, towards_c - second_c
    if before * after <= 0.0 or abs(after) >= abs(before):
        return None
    return hours / math.log(before / after)


def pail_constant_h(litres: float, area_m2: float, w_per_m2_k: float) -> float:
    """Return the time constant in hours of a plastic pail from its heat balance.

    ``area_m2``: wetted side and water surface. ``w_per_m2_k``: 8 still shade, 12 light air, 25 breeze.
    Source: ``tau = m c / (h A)``, 1.023 kg/L, c 3.99 kJ/kg/K.
    """
    require(
        Within("water volume", litres, 0.1, 1000, " L"),
        Within("area", area_m2, 0.01, 20, " m2"),
        Within("heat transfer", w_per_m2_k, 1, 100, " W/m2K"),
    )
    return litres * KG_PER_L * HEAT_KJ_KG_K * 1000.0 / (w_per_m2_k * area_m2) / 3600.0


def box_constant_h(water_ml: float, length_cm: float, width_cm: float) -> float:
    """Return the time constant in hours of water in a polystyrene box of 2.5 cm wall.

    Source: published box constant 0.11 cm/h, water surface on all sides ``2 L W + 2 V/W + 2 V/L``.
    """
    surface = 2.0 * length_cm * width_cm + 2.0 * water_ml / width_cm + 2.0 * water_ml / length_cm
    return water_ml / (BOX_CM_PER_H * surface)


def sun_c_per_h(litres: float, sunlit_m2: float, w_per_m2: float, absorbed: float) -> float:
    """Return by how many °C per hour direct sun warms a bucket, before it loses any.

    Source: heat balance, ``absorbed * G * A / (m c)``, 1.023 kg/L.
    """
    require(
        Within("sunlight", w_per_m2, 0, 1200, " W/m2"),
        Within("absorbed share", absorbed, 0, 1),
        Within("water volume", litres, 0.1, 1000, " L"),
    )
    return absorbed * w_per_m2 * sunlit_m2 * 3600.0 / (litres * KG_PER_L * HEAT_KJ_KG_K * 1000.0)


def sun_towards_c(air_c: float, warming_c_per_h: float, constant_h: float) -> float:
    """Return the temperature that a bucket in the sun nears: air plus one time constant of sun."""
    _check(air_c)
    return air_c + warming_c_per_h * constant_h


def ice_kg(water_kg: float, cool_by_c: float, to_c: float) -> float:
    """Return the sealed ice, in kg, that cools water by ``cool_by_c`` to ``to_c``; bottled, never loose.

    Source: ``m c dT / (334 + 4.18 T)``, kJ and kg.
    """
    require(
        Within("cooling", cool_by_c, 0, 15, " °C"),
        Within("end temperature", to_c, 0, 30, " °C"),
        Within("water", water_kg, 0.1, 1000, " kg"),
    )
    return water_kg * HEAT_KJ_KG_K * cool_by_c / (MELTING_KJ_KG + 4.18 * to_c)
