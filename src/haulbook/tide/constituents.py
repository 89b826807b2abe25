"""The 37 constituents in which the national agency publishes a tide: speed, argument, node factor.

Source: Schureman, Manual of Harmonic Analysis and Prediction of Tides, US Coast and Geodetic Survey Special
Publication 98 (1940), Table 2; speeds as in NOAA CO-OPS's own table for station 1612340. SA has the plain
argument h, as the agency has it; many libraries use h - p1 and read its phase some 77 degrees wrong.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Constituent:
    """One constituent of the tide.

    Attributes
    ----------
    name : str
        As the agency writes it, in capitals.
    speed : float
        Degrees per hour.
    argument : tuple of int
        Multiples of T, s, h, p and p1 in V: hour angle of the mean sun and mean longitudes of moon, sun,
        lunar perigee and solar perigee.
    degrees : int
        Constant part of V.
    factors : tuple of str
        Node factors whose product is f; none means 1. Names are the keys of ``nodes.Nodes.factors``.
    shift : tuple of int
        Multiples of xi, nu, nu', 2nu'', Q and R in u.
    """

    name: str
    speed: float
    argument: tuple[int, int, int, int, int]
    degrees: int
    factors: tuple[str, ...]
    shift: tuple[int, int, int, int, int, int]


_M2 = (2, -2, 0, 0, 0, 0)
_M2_BACK = (-2, 2, 0, 0, 0, 0)
_O1 = (2, -1, 0, 0, 0, 0)
_NONE = (0, 0, 0, 0, 0, 0)

CONSTITUENTS = (
    Constituent("M2", 28.984104, (2, -2, 2, 0, 0), 0, ("M2",), _M2),
    Constituent("S2", 30.0, (2, 0, 0, 0, 0), 0, (), _NONE),
    Constituent("N2", 28.43973, (2, -3, 2, 1, 0), 0, ("M2",), _M2),
    Constituent("K1", 15.041069, (1, 0, 1, 0, 0), -90, ("K1",), (0, 0, -1, 0, 0, 0)),
    Constituent("M4", 57.96821, (4, -4, 4, 0, 0), 0, ("M2", "M2"), (4, -4, 0, 0, 0, 0)),
    Constituent("O1", 13.943035, (1, -2, 1, 0, 0), 90, ("O1",), _O1),
    Constituent("M6", 86.95232, (6, -6, 6, 0, 0), 0, ("M2", "M2", "M2"), (6, -6, 0, 0, 0, 0)),
    Constituent("MK3", 44.025173, (3, -2, 3, 0, 0), -90, ("M2", "K1"), (2, -2, -1, 0, 0, 0)),
    Constituent("S4", 60.0, (4, 0, 0, 0, 0), 0, (), _NONE),
    Constituent("MN4", 57.423832, (4, -5, 4, 1, 0), 0, ("M2", "M2"), (4, -4, 0, 0, 0, 0)),
    Constituent("NU2", 28.512583, (2, -3, 4, -1, 0), 0, ("M2",), _M2),
    Constituent("S6", 90.0, (6, 0, 0, 0, 0), 0, (), _NONE),
    Constituent("MU2", 27.968208, (2, -4, 4, 0, 0), 0, ("M2",), _M2),
    Constituent("2N2", 27.895355, (2, -4, 2, 2, 0), 0, ("M2",), _M2),
    Constituent("OO1", 16.139101, (1, 2, 1, 0, 0), -90, ("OO1",), (-2, -1, 0, 0, 0, 0)),
    Constituent("LAM2", 29.455626, (2, -1, 0, 1, 0), 180, ("M2",), _M2),
    Constituent("S1", 15.0, (1, 0, 0, 0, 0), 0, (), _NONE),
    # Without p: its motion is in the speed, and its place at mid-year is in Q. Adding p at the start of the
    # year as well makes the argument 20 degrees wrong.
    Constituent("M1", 14.496694, (1, -1, 1, 0, 0), -90, ("M1",), (1, -1, 0, 0, 1, 0)),
    Constituent("J1", 15.5854435, (1, 1, 1, -1, 0), -90, ("J1",), (0, -1, 0, 0, 0, 0)),
    Constituent("MM", 0.5443747, (0, 1, 0, -1, 0), 0, ("MM",), _NONE),
    Constituent("SSA", 0.0821373, (0, 0, 2, 0, 0), 0, (), _NONE),
    Constituent("SA", 0.0410686, (0, 0, 1, 0, 0), 0, (), _NONE),
    Constituent("MSF", 1.0158958, (0, 2, -2, 0, 0), 0, ("M2",), _M2_BACK),
    Constituent("MF", 1.0980331, (0, 2, 0, 0, 0), 0, ("MF",), (-2, 0, 0, 0, 0, 0)),
    Constituent("RHO", 13.471515, (1, -3, 3, -1, 0), 90, ("O1",), _O1),
    Constituent("Q1", 13.398661, (1, -3, 1, 1, 0), 90, ("O1",), _O1),
    Constituent("T2", 29.958933, (2, 0, -1, 0, 1), 0, (), _NONE),
    Constituent("R2", 30.041067, (2, 0, 1, 0, -1), 180, (), _NONE),
    Constituent("2Q1", 12.854286, (1, -4, 1, 2, 0), 90, ("O1",), _O1),
    Constituent("P1", 14.958931, (1, 0, -1, 0, 0), 90, (), _NONE),
    Constituent("2SM2", 31.015896, (2, 2, -2, 0, 0), 0, ("M2",), _M2_BACK),
    Constituent("M3", 43.47616, (3, -3, 3, 0, 0), 0, ("M3",), (3, -3, 0, 0, 0, 0)),
    Constituent("L2", 29.528479, (2, -1, 2, -1, 0), 180, ("L2",), (2, -2, 0, 0, 0, -1)),
    Constituent("2MK3", 42.92714, (3, -4, 3, 0, 0), 90, ("M2", "M2", "K1"), (4, -4, 1, 0, 0, 0)),
    Constituent("K2", 30.082138, (2, 0, 2, 0, 0), 0, ("K2",), (0, 0, 0, -1, 0, 0)),
    Constituent("M8", 115.93642, (8, -8, 8, 0, 0), 0, ("M2", "M2", "M2", "M2"), (8, -8, 0, 0, 0, 0)),
    Constituent("MS4", 58.984104, (4, -2, 2, 0, 0), 0, ("M2",), _M2),
)
"""In the order in which the agency lists them."""

NAMES = tuple(constituent.name for constituent in CONSTITUENTS)
