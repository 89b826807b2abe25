"""Salinity from a float in a jar: it means nothing without the pair of temperatures it was made for."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from haulbook.care.ranges import Within, require
from haulbook.care.seawater.density import eos80, pure_water_density
from haulbook.problems import Refusal, unknown

GLASS_PER_C = 25e-6
"""Cubic expansion of soda-lime glass per °C (from memory; it moves salinity by less than 0.2 over 10 °C)."""

_SIXTY_F = (60.0 - 32.0) / 1.8
_AT_4_C = 999.975

CALIBRATIONS: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "60/60F": (_SIXTY_F, pure_water_density(1.00024 * _SIXTY_F)),
        "15/4": (15.0, _AT_4_C),
        "20/20": (20.0, pure_water_density(1.00024 * 20.0)),
        "25/25": (25.0, pure_water_density(1.00024 * 25.0)),
    }
)
"""Mark on the float: temperature of calibration in °C, and density of the reference water in kg/m3."""

_TOP = 45.0


def _pair(calibration: str) -> tuple[float, float]:
    if calibration not in CALIBRATIONS:
        raise Refusal(
            unknown("hydrometer calibration", calibration, CALIBRATIONS)
            + "; it is printed on the float's paper scale"
        )
    return CALIBRATIONS[calibration]


def _solve(reading: float, temperature_c: float, pair: tuple[float, float], expansion_per_c: float) -> float:
    """Return salinity, or an infinity where the reading lies below fresh water or above the top."""
    calibrated_c, reference = pair
    density = reading * reference / (1.0 + expansion_per_c * (temperature_c - calibrated_c))
    t68 = 1.00024 * temperature_c
    low, high = 0.0, _TOP
    if density < eos80(t68, low):
        return -math.inf
    if density > eos80(t68, high):
        return math.inf
    while high - low > 1e-9:
        middle = (low + high) / 2.0
        low, high = (middle, high) if eos80(t68, middle) < density else (low, middle)
    return (low + high) / 2.0


def _check(reading: float, temperature_c: float) -> None:
    require(
        Within("temperature", temperature_c, -2, 40, " °C", "EOS-80"),
        Within("hydrometer reading", reading, 0.99, 1.04, "", "read it as 1.022, not 22"),
    )


def salinity_from_hydrometer(
    reading: float, temperature_c: float, calibration: str, expansion_per_c: float = GLASS_PER_C
) -> float:
    """Return practical salinity from a float's specific gravity, its calibration pair and the temperature.

    ``reading`` 0.99 to 1.04, ``temperature_c`` -2 to 40, result 0 to 45; refused outside.
    ``expansion_per_c``: cubic expansion of the float, glass 25e-6, borosilicate 10e-6, plastic 2e-4.
    Source: S such that EOS-80 density = reading * reference density / (1 + expansion * (T - Tcal)).
    """
    _check(reading, temperature_c)
    salinity = _solve(reading, temperature_c, _pair(calibration), expansion_per_c)
    if math.isinf(salinity):
        raise Refusal(
            f"a reading of {reading:g} at {temperature_c:g} °C on a {calibration} float belongs to no "
            f"salinity between 0 and {_TOP:g}; check the reading, the temperature and the mark on the float"
        )
    return salinity


def hydrometer_low_high(
    reading: float, temperature_c: float, calibration: str | None, graduation: float
) -> tuple[float, float]:
    """Return lowest and highest salinity that a reading can mean.

    Half a graduation either way, borosilicate or soda-lime glass and, where ``calibration`` is None, any of
    the four pairs in use. Ends are cut at salinity 0 and 45. Refuses when no pair gives a salinity.
    """
    _check(reading, temperature_c)
    pairs = list(CALIBRATIONS.values()) if calibration is None else [_pair(calibration)]
    ends = [
        _solve(reading + sign * graduation / 2.0, temperature_c, pair, expansion)
        for pair in pairs
        for sign in (-1.0, 0.0, 1.0)
        for expansion in (10e-6, GLASS_PER_C)
    ]
    if all(math.isinf(salinity) for salinity in ends):
        raise Refusal(
            f"a reading of {reading:g} at {temperature_c:g} °C belongs to no salinity between 0 and {_TOP:g} "
            "on any float in use; check the reading and the temperature"
        )
    return max(0.0, min(ends)), min(_TOP, max(ends))
