"""Where something is, said no finer than allowed: the middle of a cell of a fixed grid, and how wide the cell is."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

KM_A_DEGREE = math.pi * 6371.0088 / 180
"""Kilometres of a degree of latitude on the sphere of mean radius (IUGG; Moritz 2000, J. Geodesy 74: 128)."""
LEAST_KM = 1.0
"""What is open to everyone is never finer, whatever a site allows. House value (common practice, no source)."""
_STEPS = tuple(Decimal(n).scaleb(k) for k in (-3, -2, -1, 0) for n in (1, 2, 5)) + tuple(
    Decimal(n) for n in (10, 20, 45, 90)
)


@dataclass(frozen=True, slots=True)
class Coarse:
    """A cell of the grid.

    Attributes
    ----------
    lat, lon : Decimal
        Middle of the cell, degrees north and east, EPSG:4326; written with no more decimals than the cell is wide.
    km : float
        The longer side of the cell, at least what was asked for.
    """

    lat: Decimal
    lon: Decimal
    km: float


def coarse(lat: float, lon: float, km: float) -> Coarse | None:
    """Return the cell in which a position lies; every position of a cell gives the same.

    Parameters
    ----------
    lat, lon : float
        Decimal degrees north and east.
    km : float
        How wide the cell is at least; below ``LEAST_KM`` that is taken.

    Returns
    -------
    Coarse or None
        None where no cell of the grid is wide enough, as near the poles.
    """
    km = max(km, LEAST_KM)
    high = _step(km / KM_A_DEGREE)
    if high is None:
        return None
    north = _middle(lat, high)
    across = KM_A_DEGREE * math.cos(math.radians(min(90.0, abs(float(north)) + float(high) / 2)))
    wide = _step(km / across) if across > 0 else None
    if wide is None:
        return None
    east = _middle(lon, wide)
    if east > 180:
        east -= 360
    elif east <= -180:  # one meridian, which is written one way
        east += 360
    return Coarse(north, east, max(float(high) * KM_A_DEGREE, float(wide) * across))


def _step(least: float) -> Decimal | None:
    return next((step for step in _STEPS if step >= Decimal(str(least))), None)


def _middle(degrees: float, step: Decimal) -> Decimal:
    """Return the multiple of a step that is nearest to a position."""
    return (Decimal(str(degrees)) / step).quantize(Decimal(1), ROUND_HALF_EVEN) * step + Decimal(
        0
    )  # which makes −0 a 0
