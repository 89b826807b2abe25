"""Sea water in plain numbers: nothing here needs more than ``math``, so that the phone computes the same.

Temperatures are degrees Celsius (ITS-90), salinities practical salinity (no unit), oxygen milligrams per
litre of water. Every function refuses what lies outside the range its source covers.
"""

from haulbook.care.seawater.ammonia import (
    ammonia_fraction,
    nh3_mg_per_l,
    pka_fresh,
    pka_nbs,
    pka_total,
    unionised_fraction,
)
from haulbook.care.seawater.density import density_kg_m3, freezing_c
from haulbook.care.seawater.hydrometer import (
    CALIBRATIONS,
    hydrometer_low_high,
    salinity_from_hydrometer,
)
from haulbook.care.seawater.oxygen import (
    STANDARD_HPA,
    mg_per_l_from_umol_per_kg,
    oxygen_meter_corrected,
    oxygen_mg_per_l,
    oxygen_percent,
    oxygen_umol_per_kg,
    pressure_factor,
)
from haulbook.care.seawater.salinity import (
    conductivity_from_salinity,
    conductivity_low_high,
    salinity_from_chlorinity,
    salinity_from_conductivity,
)

__all__ = [
    "CALIBRATIONS",
    "STANDARD_HPA",
    "ammonia_fraction",
    "conductivity_from_salinity",
    "conductivity_low_high",
    "density_kg_m3",
    "freezing_c",
    "hydrometer_low_high",
    "mg_per_l_from_umol_per_kg",
    "nh3_mg_per_l",
    "oxygen_meter_corrected",
    "oxygen_mg_per_l",
    "oxygen_percent",
    "oxygen_umol_per_kg",
    "pka_fresh",
    "pka_nbs",
    "pka_total",
    "pressure_factor",
    "salinity_from_chlorinity",
    "salinity_from_conductivity",
    "salinity_from_hydrometer",
    "unionised_fraction",
]
