"""Which share of ammonia is un-ionised, and so poisonous, by the scale that pH was measured on."""

from __future__ import annotations

import math
from typing import Literal

from haulbook.care.ranges import Within, require
from haulbook.problems import Refusal, unknown

Scale = Literal["nbs", "total"]
SCALES = ("nbs", "total")
NH3_PER_N = 17.0305 / 14.0067
"""Grams of NH3 for a gram of nitrogen in it, from the molar masses."""


def pka_nbs(temperature_c: float, salinity: float) -> float:
    """Return pKa of ammonium for an ordinary pH meter on NBS buffers, in sea water.

    Range 5 to 30 °C, salinity 5 to 40; refused outside.
    Source: fitted to Bower & Bidwell (1978) at salinity 34; slope with salinity of Bell et al. (2007),
    from memory.
    """
    require(
        Within("temperature", temperature_c, 5, 30, " °C", "Bower & Bidwell 1978 as fitted"),
        Within("salinity", salinity, 5, 40, "", "Bell et al. 2007; for fresh water give salinity 0"),
    )
    return 9.350 + 0.0324 * (25.0 - temperature_c) + 0.0031 * (salinity - 34.0)


def pka_fresh(temperature_c: float) -> float:
    """Return pKa of ammonium in fresh water, 0 to 30 °C; refused outside.

    Source: Emerson et al. (1975), with the constant 2729.92 of California's ammonia criterion (the 2727.92 in
    circulation is a misprint).
    """
    require(Within("temperature", temperature_c, 0, 30, " °C", "Emerson et al. 1975"))
    return 0.09018 + 2729.92 / (temperature_c + 273.15)


def pka_total(temperature_c: float, salinity: float, *, per_kg_water: bool = False) -> float:
    """Return pKa of ammonium on the total pH scale, mol per kg of sea water (or of the water in it).

    Range -2 to 40 °C, salinity 0 to 40, doubt about 5 % in the share; refused outside.
    Source: Clegg & Whitfield (1995), eq. 18; (1 - 0.001005 S) turns kg of water into kg of sea water.
    """
    require(
        Within("temperature", temperature_c, -2, 40, " °C", "Clegg & Whitfield 1995"),
        Within("salinity", salinity, 0, 40, "", "Clegg & Whitfield 1995"),
    )
    k = temperature_c + 273.15
    root = math.sqrt(k)
    pk = (
        9.244605
        - 2729.33 * (1.0 / 298.15 - 1.0 / k)
        + (0.04203362 - 11.24742 / k) * math.pow(salinity, 0.25)
        + (-13.6416 + 1.176949 * root - 0.02860785 * k + 545.4834 / k) * math.sqrt(salinity)
        + (-0.1462507 + 0.0090226468 * root - 0.0001471361 * k + 10.5425 / k) * math.pow(salinity, 1.5)
        + (0.004669309 - 0.0001691742 * root - 0.5677934 / k) * salinity**2
        + (-2.354039e-5 + 0.009698623 / k) * math.pow(salinity, 2.5)
    )
    return pk if per_kg_water else pk - math.log10(1.0 - 0.001005 * salinity)


def unionised_fraction(ph: float, pka: float) -> float:
    """Return the un-ionised share (0 to 1) of total ammonia at a pH, 5 to 10, both on one scale."""
    require(Within("pH", ph, 5, 10))
    return 1.0 / (1.0 + math.pow(10.0, pka - ph))


def ammonia_fraction(temperature_c: float, salinity: float, ph: float, scale: str) -> float:
    """Return the un-ionised share (0 to 1) of total ammonia.

    Parameters
    ----------
    temperature_c, salinity : float
        Ranges as in `pka_nbs` and `pka_total`; NBS with salinity up to 0.5 is taken as fresh water.
    ph : float
        5 to 10.
    scale : {"nbs", "total"}
        ``nbs``: an ordinary meter on NBS buffers. ``total``: spectrophotometer or Tris buffers in sea water.

    Raises
    ------
    Refusal
        Outside a range, or a scale that is not one of the two.
    """
    if scale not in SCALES:
        raise Refusal(
            unknown("pH scale", scale, SCALES)
            + "; an ordinary meter on NBS buffers is nbs, Tris buffers or dye are total"
        )
    if scale == "total":
        return unionised_fraction(ph, pka_total(temperature_c, salinity))
    fresh = 0.0 <= salinity <= 0.5
    return unionised_fraction(ph, pka_fresh(temperature_c) if fresh else pka_nbs(temperature_c, salinity))


def nh3_mg_per_l(tan_mg_n_l: float, fraction: float) -> float:
    """Return un-ionised ammonia in mg NH3/L from total ammonia in mg of *nitrogen* per litre (0 to 100)."""
    require(Within("total ammonia nitrogen", tan_mg_n_l, 0, 100, " mg N/L"))
    return tan_mg_n_l * fraction * NH3_PER_N
