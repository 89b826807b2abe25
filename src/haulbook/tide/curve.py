"""The height of the tide in one calendar year: a sum of cosines with constant speed.

h(t) = H0 + sum of f A cos(a t + (V0 + u) - k), t in hours from 1 January 00:00 UTC (Schureman 1940; NOAA Tide
and Current Glossary). Times in this room are seconds since 1970-01-01 00:00 UTC as floats, or arrays of them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from haulbook.tide.constituents import CONSTITUENTS, NAMES
from haulbook.tide.nodes import equilibrium
from haulbook.tide.station import Constant

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class YearCurve:
    """One station in one calendar year.

    Attributes
    ----------
    start, end : float
        1 January 00:00 UTC of the year and of the next.
    mean_m : float
        Mean sea level above mean lower low water.
    amplitude, speed, phase : array of float
        f A in metres, radians per second, radians at ``start``; one value per constituent.
    """

    start: float
    end: float
    mean_m: float
    amplitude: Floats
    speed: Floats
    phase: Floats

    def at(self, times: Floats, order: int = 0) -> Floats:
        """Return the height in metres at ``times``, or its derivative of ``order`` in m per s^order."""
        since = np.asarray(times, dtype=np.float64) - self.start
        total = np.zeros_like(since)
        weights, phases = self._derivative(order)
        for weight, speed, phase in zip(weights, self.speed, phases, strict=True):
            total += weight * np.cos(speed * since + phase)
        return total + self.mean_m if order == 0 else total

    def grid(self, first: float, step: float, count: int, order: int = 0) -> Floats:
        """Return ``count`` values from ``first`` at equal steps, fast.

        cos(A + B) = cos A cos B - sin A sin B splits the grid in blocks, so that one matrix product of
        2 x sqrt(count) columns does the work of count cosines per constituent.
        """
        width = max(1, math.isqrt(count))
        rows = -(-count // width)
        weights, phases = self._derivative(order)
        begin = (first - self.start) + step * width * np.arange(rows)
        outer = np.multiply.outer(begin, self.speed) + phases
        inner = np.multiply.outer(self.speed, step * np.arange(width))
        left = np.hstack([weights * np.cos(outer), -weights * np.sin(outer)])
        values: Floats = (left @ np.vstack([np.cos(inner), np.sin(inner)])).reshape(-1)[:count]
        return values + self.mean_m if order == 0 else values

    def _derivative(self, order: int) -> tuple[Floats, Floats]:
        return self.amplitude * self.speed**order, self.phase + order * (math.pi / 2)


@lru_cache(maxsize=64)
def year_curve(constants: tuple[Constant, ...], mean_m: float, year: int) -> YearCurve:
    """Return the curve of a station for a calendar year (UTC)."""
    held = equilibrium(year)
    rows = [NAMES.index(one.name) for one in constants]
    pairs = list(zip(rows, constants, strict=True))
    return YearCurve(
        start=datetime(year, 1, 1, tzinfo=UTC).timestamp(),
        end=datetime(year + 1, 1, 1, tzinfo=UTC).timestamp(),
        mean_m=mean_m,
        amplitude=np.array([held.factors[row] * one.amplitude_m for row, one in pairs], dtype=np.float64),
        speed=np.radians([CONSTITUENTS[row].speed / 3600 for row in rows]),
        phase=np.radians([held.arguments[row] - one.phase_deg for row, one in pairs]),
    )
