"""Density and freezing point of sea water at the surface."""

from __future__ import annotations

import math

from haulbook.care.ranges import Within, require


def pure_water_density(t68: float) -> float:
    """Return the density of pure water in kg/m3 at a temperature on the 1968 scale; no range check.

    Source: EOS-80, Millero & Poisson (1981); coefficients as in UNESCO Tech. Pap. Mar. Sci. 44.
    """
    return (
        999.842594
        + 6.793952e-2 * t68
        - 9.095290e-3 * t68**2
        + 1.001685e-4 * t68**3
        - 1.120083e-6 * t68**4
        + 6.536332e-9 * t68**5
    )


def eos80(t68: float, salinity: float) -> float:
    """Return density in kg/m3 from a temperature on the 1968 scale; no range check.

    Source: EOS-80 at the surface, Millero & Poisson (1981).
    """
    linear = 0.824493 - 4.0899e-3 * t68 + 7.6438e-5 * t68**2 - 8.2467e-7 * t68**3 + 5.3875e-9 * t68**4
    power = -5.72466e-3 + 1.0227e-4 * t68 - 1.6546e-6 * t68**2
    return (
        pure_water_density(t68)
        + salinity * linear
        + math.pow(salinity, 1.5) * power
        + 4.8314e-4 * salinity**2
    )


def density_kg_m3(temperature_c: float, salinity: float) -> float:
    """Return the density of sea water at the surface in kg/m3.

    Range -2 to 40 °C, salinity 0 to 42; refused outside. Source: EOS-80, Millero & Poisson (1981).
    """
    require(
        Within("temperature", temperature_c, -2, 40, " °C", "EOS-80"),
        Within("salinity", salinity, 0, 42, "", "EOS-80"),
    )
    return eos80(1.00024 * temperature_c, salinity)


def freezing_c(salinity: float) -> float:
    """Return the temperature in °C at which sea water begins to freeze at the surface.

    Range: salinity 0 to 40; refused outside.
    Source: Millero (1978), UNESCO Tech. Pap. Mar. Sci. 44; 1.00024 turns the 1968 scale into ITS-90.
    """
    require(Within("salinity", salinity, 0, 40, "", "Millero 1978"))
    return (-0.0575 * salinity + 1.710523e-3 * math.pow(salinity, 1.5) - 2.154996e-4 * salinity**2) / 1.00024
