"""How much oxygen sea water holds in balance with moist air."""

from __future__ import annotations

import math

from haulbook.care.ranges import Within, require
from haulbook.care.seawater.density import density_kg_m3

STANDARD_HPA = 1013.25
O2_G_PER_MOL = 31.9988

# Garcia & Gordon 1992 (erratum 1993), Table 1, the column fitted to Benson & Krause 1984. The other column in
# circulation ("combined fit") differs in every coefficient: never mix rows.
_A = (5.80871, 3.20291, 4.17887, 5.10006, -9.86643e-2, 3.80369)
_B = (-7.01577e-3, -7.70028e-3, -1.13864e-2, -9.51519e-3)
_C = -2.75915e-7


def _polynomial(coefficients: tuple[float, ...], x: float) -> float:
    return math.fsum(coefficient * x**power for power, coefficient in enumerate(coefficients))


def _barometer(pressure_hpa: float) -> Within:
    return Within("air pressure", pressure_hpa, 900, 1060, " hPa", "a barometer at sea level")


def oxygen_umol_per_kg(temperature_c: float, salinity: float) -> float:
    """Return the oxygen that sea water holds at 1 atm of moist air, in micromoles per kilogram.

    Range -2 to 40 °C, salinity 0 to 42; refused outside.
    Source: Garcia & Gordon (1992, erratum 1993), Limnol. Oceanogr., Table 1, Benson & Krause column.
    """
    require(
        Within("temperature", temperature_c, -2, 40, " °C", "Garcia & Gordon 1992"),
        Within("salinity", salinity, 0, 42, "", "Garcia & Gordon 1992"),
    )
    t68 = 1.00024 * temperature_c
    y = math.log((298.15 - t68) / (273.15 + t68))
    return math.exp(_polynomial(_A, y) + salinity * _polynomial(_B, y) + _C * salinity**2)


def oxygen_mg_per_l(temperature_c: float, salinity: float, pressure_hpa: float = STANDARD_HPA) -> float:
    """Return the oxygen that water holds in balance with moist air, in milligrams per litre.

    Range 0 to 40 °C, salinity 0 to 40, 900 to 1060 hPa; refused outside.
    Source: Benson & Krause (1984), as in Standard Methods.
    """
    require(
        Within("temperature", temperature_c, 0, 40, " °C", "Benson & Krause 1984"),
        Within("salinity", salinity, 0, 40, "", "Benson & Krause 1984"),
        _barometer(pressure_hpa),
    )
    k = temperature_c + 273.15
    fresh = -139.34411 + 1.575701e5 / k - 6.642308e7 / k**2 + 1.243800e10 / k**3 - 8.621949e11 / k**4
    salt = salinity * (1.7674e-2 - 10.754 / k + 2140.7 / k**2)
    return math.exp(fresh - salt) * pressure_factor(temperature_c, pressure_hpa)


def pressure_factor(temperature_c: float, pressure_hpa: float) -> float:
    """Return by how much solubility at ``pressure_hpa`` differs from that at 1 atm, as a factor.

    Range 0 to 40 °C, 900 to 1060 hPa (a barometer at sea level); refused outside.
    Source: USGS Office of Water Quality memoranda 81.11 and 81.15, vapour pressure in mmHg.
    """
    require(
        Within("temperature", temperature_c, 0, 40, " °C", "USGS memorandum 81.11"),
        _barometer(pressure_hpa),
    )
    vapour_mmhg = math.pow(10.0, 8.10765 - 1750.286 / (235.0 + temperature_c))
    return (0.750062 * pressure_hpa - vapour_mmhg) / (760.0 - vapour_mmhg)


def oxygen_percent(
    oxygen_mg_l: float, temperature_c: float, salinity: float, pressure_hpa: float = STANDARD_HPA
) -> float:
    """Return percent of saturation of water that holds ``oxygen_mg_l`` (0 to 30 mg/L).

    Source: 100 C / Cs, with Cs as in `oxygen_mg_per_l`.
    """
    require(Within("oxygen", oxygen_mg_l, 0, 30, " mg/L", "more is a meter out of order"))
    return 100.0 * oxygen_mg_l / oxygen_mg_per_l(temperature_c, salinity, pressure_hpa)


def oxygen_meter_corrected(
    shown_mg_l: float, temperature_c: float, salinity_set: float, salinity: float
) -> float:
    """Return the oxygen in mg/L behind a meter that was set to another salinity than the water's.

    A meter senses the share of saturation and multiplies by the solubility it was told: set to 0 in water of
    salinity 30 it shows about a fifth too much. Source: ratio of the two values of `oxygen_mg_per_l`.
    """
    require(Within("oxygen", shown_mg_l, 0, 30, " mg/L", "more is a meter out of order"))
    told = oxygen_mg_per_l(temperature_c, salinity_set)
    return shown_mg_l * oxygen_mg_per_l(temperature_c, salinity) / told


def mg_per_l_from_umol_per_kg(umol_per_kg: float, temperature_c: float, salinity: float) -> float:
    """Return mg/L of oxygen given as micromoles per kilogram of sea water.

    Source: molar mass 31.9988 g/mol and `density_kg_m3` (kg/m3 is g/L).
    """
    return umol_per_kg * O2_G_PER_MOL * 1e-6 * density_kg_m3(temperature_c, salinity)
