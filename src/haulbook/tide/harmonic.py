"""The agency's own curve over any stretch of years, with its exact turns and level crossings."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache

import numpy as np

from haulbook.tide.curve import Floats, YearCurve, year_curve
from haulbook.tide.roots import ARTEFACT_S, SignChanges, sign_changes, stitch
from haulbook.tide.station import Constant
from haulbook.tide.water import Turns

# Two turns inside one step differ in height by at most h"' step^3 / 12: below 1 mm even where the third
# derivative reaches 2 m/h^3 (ranges of 9 m), so that missing the pair changes nothing.
TURN_STEP_S = 600.0


def year_of(time: float) -> int:
    """Return the calendar year (UTC) of an instant."""
    return datetime.fromtimestamp(time, UTC).year


@dataclass(frozen=True, slots=True)
class HarmonicWater:
    """The agency's curve: one sum of cosines per calendar year (UTC), stitched at New Year.

    Attributes
    ----------
    constants : tuple of Constant
        Of the station.
    mean_m : float
        Mean sea level above mean lower low water.
    """

    constants: tuple[Constant, ...]
    mean_m: float

    @property
    def interpolated(self) -> bool:
        """Never."""
        return False

    def heights(self, times: Floats) -> Floats:
        """Return the height in metres at each instant."""
        return self._at(times, 0)

    def rates(self, times: Floats) -> Floats:
        """Return the change of height in metres per hour at each instant."""
        return 3600 * self._at(times, 1)

    def grid(self, first: float, step: float, count: int) -> Floats:
        """Return ``count`` heights from ``first`` at equal steps in seconds."""
        return self._grid(first, step, count, 0)

    def turns(self, start: float, end: float) -> Turns:
        """Return the highs and lows in [start, end): the roots of the derivative."""
        years = range(year_of(start - ARTEFACT_S), year_of(end + ARTEFACT_S) + 1)
        found = stitch([_turns_of(self.constants, self.mean_m, year) for year in years])
        return Turns(found.times, self.heights(found.times), ~found.upward).between(start, end)

    def crossings(self, level: float, start: float, end: float) -> Floats:
        """Return the instants in [start, end] at which the height passes ``level``, ascending."""
        return stitch([self._level(curve, level, a, b) for curve, a, b in self._years(start, end)]).times

    def _curve(self, year: int) -> YearCurve:
        return year_curve(self.constants, self.mean_m, year)

    def _years(self, start: float, end: float) -> list[tuple[YearCurve, float, float]]:
        """Each year's curve with its part of [start, end]."""
        last = max(year_of(start), year_of(np.nextafter(end, start)))
        curves = [self._curve(year) for year in range(year_of(start), last + 1)]
        return [(curve, max(start, curve.start), min(end, curve.end)) for curve in curves]

    def _at(self, times: Floats, order: int) -> Floats:
        times = np.asarray(times, dtype=np.float64)
        if not times.size:
            return np.empty_like(times)
        values = np.empty_like(times)
        for curve, _, _ in self._years(float(times.min()), float(times.max()) + 1e-3):
            here = (times >= curve.start) & (times < curve.end)
            values[here] = curve.at(times[here], order)
        return values

    def _grid(self, first: float, step: float, count: int, order: int) -> Floats:
        parts, done = [np.empty(0)], 0
        while done < count:
            at = first + done * step
            curve = self._curve(year_of(at))
            fits = min(count - done, int(np.ceil((curve.end - at) / step)))
            parts.append(curve.grid(at, step, fits, order))
            done += fits
        return np.concatenate(parts)

    def _level(self, curve: YearCurve, level: float, start: float, end: float) -> SignChanges:
        # Between two turns the height goes one way, so turns are all the knots that are needed.
        turns = _turns_of(self.constants, self.mean_m, year_of(curve.start)).times
        inside = turns[(turns > start) & (turns < end)]
        knots = np.concatenate([[start], inside, [end]])
        return sign_changes(
            knots,
            curve.at(knots) - level,
            lambda times: curve.at(times) - level,
            lambda times: curve.at(times, 1),
        )


@lru_cache(maxsize=64)
def _turns_of(constants: tuple[Constant, ...], mean_m: float, year: int) -> SignChanges:
    """Sign changes of the derivative through one calendar year (UTC)."""
    curve = year_curve(constants, mean_m, year)
    count = round((curve.end - curve.start) / TURN_STEP_S) + 1
    return sign_changes(
        curve.start + TURN_STEP_S * np.arange(count, dtype=np.float64),
        curve.grid(curve.start, TURN_STEP_S, count, 1),
        lambda times: curve.at(times, 1),
        lambda times: curve.at(times, 2),
    )
