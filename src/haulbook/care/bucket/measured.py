"""What readings say about this very bucket: they go before every regression."""

from __future__ import annotations

import math

from haulbook.care.demand import Demand
from haulbook.care.ranges import Within, require
from haulbook.problems import Refusal


def demand_from_readings(first_mg_l: float, second_mg_l: float, hours: float, volume_l: float) -> float:
    """Return the demand in mg/h of what is in a bucket without air, from two oxygen readings; may be below 0.

    Source: ``V (C1 - C2) / t``, the same animals all the time.
    """
    require(
        Within("first oxygen reading", first_mg_l, 0, 30, " mg/L"),
        Within("second oxygen reading", second_mg_l, 0, 30, " mg/L"),
        Within("time between the readings", hours, 1 / 120, 100, " h"),
        Within("water volume", volume_l, 0.01, 100_000, " L"),
    )
    return volume_l * (first_mg_l - second_mg_l) / hours


def measured_demand(
    first_mg_l: float, second_mg_l: float, hours: float, volume_l: float, meter_doubt_mg_l: float
) -> Demand:
    """Return the measured demand with the doubt of two readings; it includes the stress of that time.

    Raises
    ------
    Refusal
        Oxygen did not fall: two readings of that meter cannot tell the demand. Wait longer, air off.
    """
    middle = demand_from_readings(first_mg_l, second_mg_l, hours, volume_l)
    if middle <= 0.0:
        raise Refusal(
            f"oxygen went from {first_mg_l:g} to {second_mg_l:g} mg/L: no demand can be read from that; "
            "take the second reading later, with the air off"
        )
    doubt = volume_l * 2.0 * meter_doubt_mg_l / hours
    note = f"measured: {first_mg_l:g} to {second_mg_l:g} mg/L in {hours * 60:.0f} min without air"
    return Demand(middle, max(0.0, middle - doubt), middle + doubt, (note,))


def air_from_readings(first_mg_l: float, second_mg_l: float, saturation_mg_l: float, hours: float) -> float:
    """Return a pump's exchange per hour from two readings on the way to saturation, without animals.

    Source: ``ln[(Cs - C1) / (Cs - C2)] / t``.

    Raises
    ------
    Refusal
        The readings stand still, part from saturation, or stand on two sides of it.
    """
    require(Within("time between the readings", hours, 1 / 120, 100, " h"))
    before, after = saturation_mg_l - first_mg_l, saturation_mg_l - second_mg_l
    if before * after <= 0.0 or abs(after) >= abs(before):
        raise Refusal(
            f"{first_mg_l:g} and {second_mg_l:g} mg/L do not approach {saturation_mg_l:.2f} mg/L; "
            "start from water well below saturation, without animals, and stop before it is reached"
        )
    return math.log(before / after) / hours


def schmidt_number(temperature_c: float) -> float:
    """Return the Schmidt number of oxygen in fresh water, 4 to 35 °C; sea water lies about 10 % higher.

    Source: Raymond et al. (2012).
    """
    require(Within("temperature", temperature_c, 4, 35, " °C", "Raymond et al. 2012"))
    t = temperature_c
    return 1568.0 - 86.04 * t + 2.142 * t**2 - 0.0216 * t**3


def surface_air_per_h(temperature_c: float, depth_m: float, wind_m_s: float = 0.0) -> float:
    """Return the exchange per hour through the open surface of a still bucket: an order of magnitude.

    Range 4 to 35 °C, 0.05 to 2 m deep, wind 0 to 15 m/s (at 10 m); refused outside. Lid on: take 0.
    Source: k600 = 2.07 + 0.215 U^1.7 cm/h (Cole & Caraco 1998, lakes), times (Sc / 600)^-1/2, over depth.
    """
    require(
        Within("water depth", depth_m, 0.05, 2, " m"),
        Within("wind", wind_m_s, 0, 15, " m/s", "Cole & Caraco 1998"),
    )
    k600_cm_h = 2.07 + 0.215 * math.pow(wind_m_s, 1.7)
    return k600_cm_h / math.sqrt(schmidt_number(temperature_c) / 600.0) / (depth_m * 100.0)
