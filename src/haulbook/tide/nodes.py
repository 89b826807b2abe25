"""Where moon and sun stand in a calendar year, and what the lunar node does to each constituent in it.

Source of every formula: Schureman, Manual of Harmonic Analysis and Prediction of Tides, US Coast and Geodetic
Survey Special Publication 98 (1940): Table 1 (mean longitudes), paragraphs on I, xi, nu, P, Q, R and Table 2
(node factors). The agency evaluates f and u once, at the middle of the year, and holds them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from math import atan, atan2, cos, degrees, prod, radians, sin, sqrt, tan

from haulbook.tide.constituents import CONSTITUENTS

_ORIGIN = datetime(1899, 12, 31, 12, tzinfo=UTC)
_OBLIQUITY = radians(23.452)
_INCLINATION = radians(5.145)


@dataclass(frozen=True, slots=True)
class Longitudes:
    """Mean longitudes in degrees: moon, sun, lunar perigee, ascending lunar node, solar perigee."""

    s: float
    h: float
    p: float
    n: float
    p1: float


@dataclass(frozen=True, slots=True)
class Nodes:
    """What the node does at one instant.

    Attributes
    ----------
    factors : mapping of str to float
        Node factor f by name.
    shifts : tuple of float
        xi, nu, nu', 2nu'', Q and R, degrees.
    """

    factors: Mapping[str, float]
    shifts: tuple[float, float, float, float, float, float]


@dataclass(frozen=True, slots=True)
class Equilibrium:
    """The 37 constituents in one calendar year, in the order of ``CONSTITUENTS``.

    Attributes
    ----------
    factors : tuple of float
        f, held for the year.
    arguments : tuple of float
        V0 + u at 1 January 00:00 UTC, degrees in [0, 360).
    """

    factors: tuple[float, ...]
    arguments: tuple[float, ...]


def longitudes(at: datetime) -> Longitudes:
    """Return the mean longitudes at an aware instant (Schureman, Table 1)."""
    c = (at - _ORIGIN).total_seconds() / 86400 / 36525
    return Longitudes(
        s=270.43659 + 481267.89057 * c + 0.00198 * c**2,
        h=279.69660 + 36000.76892 * c + 0.00030 * c**2,
        p=334.32956 + 4069.03403 * c - 0.01032 * c**2,
        n=259.18328 - 1934.14201 * c + 0.00208 * c**2,
        p1=281.22083 + 1.71902 * c + 0.00045 * c**2,
    )


def nodes(at: datetime) -> Nodes:
    """Return node factors and shifts at an aware instant (Schureman, Table 2 and the text before it)."""
    mean = longitudes(at)
    n = radians((mean.n + 180) % 360 - 180)
    w, i = _OBLIQUITY, _INCLINATION
    tilt = atan2(sqrt(1 - _cos_tilt(n) ** 2), _cos_tilt(n))
    a = atan(cos((w - i) / 2) / cos((w + i) / 2) * tan(n / 2))
    b = atan(sin((w - i) / 2) / sin((w + i) / 2) * tan(n / 2))
    xi, nu = n - a - b, a - b
    perigee = radians(mean.p) - xi
    nu1 = atan2(sin(2 * tilt) * sin(nu), sin(2 * tilt) * cos(nu) + 0.3347)
    nu2 = atan2(sin(tilt) ** 2 * sin(2 * nu), sin(tilt) ** 2 * cos(2 * nu) + 0.0727)
    # Q stays in the quadrant of P, hence the two-argument arctangent.
    q = atan2((5 * cos(tilt) - 1) * sin(perigee), (7 * cos(tilt) + 1) * cos(perigee))
    r = atan(sin(2 * perigee) / (1 / tan(tilt / 2) ** 2 / 6 - cos(2 * perigee)))
    shifts = tuple(degrees(angle) for angle in (xi, nu, nu1, nu2, q, r))
    return Nodes(_factors(tilt, nu, perigee), shifts)  # type: ignore[arg-type]


def _cos_tilt(n: float) -> float:
    return cos(_INCLINATION) * cos(_OBLIQUITY) - sin(_INCLINATION) * sin(_OBLIQUITY) * cos(n)


def _factors(tilt: float, nu: float, perigee: float) -> dict[str, float]:
    half, sine, double = cos(tilt / 2), sin(tilt), sin(2 * tilt)
    m2, o1 = half**4 / 0.9154, sine * half**2 / 0.3800
    t = tan(tilt / 2)
    return {
        "M2": m2,
        "M3": half**6 / 0.8758,
        "O1": o1,
        "K1": sqrt(0.8965 * double**2 + 0.6001 * double * cos(nu) + 0.1006),
        "K2": sqrt(19.0444 * sine**4 + 2.7702 * sine**2 * cos(2 * nu) + 0.0981),
        "J1": double / 0.7214,
        "OO1": sine * sin(tilt / 2) ** 2 / 0.0164,
        "MF": sine**2 / 0.1578,
        "MM": (2 / 3 - sine**2) / 0.5021,
        "M1": o1 * sqrt(2.310 + 1.435 * cos(2 * perigee)),
        "L2": m2 * sqrt(1 - 12 * t**2 * cos(2 * perigee) + 36 * t**4),
    }


@cache
def equilibrium(year: int) -> Equilibrium:
    """Return f and V0 + u of all 37 constituents as the agency has them for a calendar year (UTC)."""
    start, end = datetime(year, 1, 1, tzinfo=UTC), datetime(year + 1, 1, 1, tzinfo=UTC)
    mean, held = longitudes(start), nodes(start + (end - start) / 2)
    # T, the hour angle of the mean sun, is 180 degrees at midnight.
    angles = (180.0, mean.s, mean.h, mean.p, mean.p1)
    return Equilibrium(
        tuple(prod(held.factors[name] for name in one.factors) for one in CONSTITUENTS),
        tuple(
            (
                sum(k * angle for k, angle in zip(one.argument, angles, strict=True))
                + one.degrees
                + sum(k * angle for k, angle in zip(one.shift, held.shifts, strict=True))
            )
            % 360
            for one in CONSTITUENTS
        ),
    )
