"""Tides that follow from another tide: moved as one, or drawn between highs and lows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from haulbook.tide.curve import Floats
from haulbook.tide.station import Differences
from haulbook.tide.water import Turns, Water

_MARGIN_S = 2 * 86400.0


@dataclass(frozen=True, slots=True)
class MovedWater:
    """A curve moved as one: later by some minutes, heights times a factor plus an amount.

    Attributes
    ----------
    base : Water
        The curve that is moved.
    differences : Differences
        With highs and lows treated alike.
    """

    base: Water
    differences: Differences

    @property
    def interpolated(self) -> bool:
        """As the curve that is moved."""
        return self.base.interpolated

    def heights(self, times: Floats) -> Floats:
        """Return the height in metres at each instant."""
        return self._height(self.base.heights(np.asarray(times) - self._late))

    def grid(self, first: float, step: float, count: int) -> Floats:
        """Return ``count`` heights from ``first`` at equal steps in seconds."""
        return self._height(self.base.grid(first - self._late, step, count))

    def rates(self, times: Floats) -> Floats:
        """Return the change of height in metres per hour at each instant."""
        return self.differences.factor_high * self.base.rates(np.asarray(times) - self._late)

    def turns(self, start: float, end: float) -> Turns:
        """Return the highs and lows in [start, end)."""
        found = self.base.turns(start - self._late, end - self._late)
        return Turns(found.times + self._late, self._height(found.heights), found.high)

    def crossings(self, level: float, start: float, end: float) -> Floats:
        """Return the instants in [start, end] at which the height passes ``level``, ascending."""
        there = (level - self.differences.add_high_m) / self.differences.factor_high
        return self.base.crossings(there, start - self._late, end - self._late) + self._late

    @property
    def _late(self) -> float:
        return 60 * self.differences.minutes_high

    def _height(self, heights: Floats) -> Floats:
        return self.differences.factor_high * heights + self.differences.add_high_m


@dataclass(frozen=True, slots=True)
class DrawnWater:
    """A half-cosine between the highs and lows that follow by differences from another tide.

    The highs and lows are the agency's method for subordinate stations (NOS explanation of tidal differences:
    add the minutes, multiply the height above MLLW by the ratio or add the fixed amount). The curve between
    them is common practice, no single source: it is drawn, not predicted.

    Attributes
    ----------
    base : Water
        The tide whose turns are taken.
    differences : Differences
        What turns them into turns here.
    """

    base: Water
    differences: Differences

    @property
    def interpolated(self) -> bool:
        """Always."""
        return True

    def turns(self, start: float, end: float) -> Turns:
        """Return the highs and lows in [start, end)."""
        there = self.base.turns(start - _MARGIN_S, end + _MARGIN_S)
        by, high = self.differences, there.high
        times = there.times + 60 * np.where(high, by.minutes_high, by.minutes_low)
        heights = there.heights * np.where(high, by.factor_high, by.factor_low)
        heights = heights + np.where(high, by.add_high_m, by.add_low_m)
        order = np.argsort(times, kind="stable")
        return Turns(times[order], heights[order], high[order]).between(start, end)

    def heights(self, times: Floats) -> Floats:
        """Return the drawn height in metres at each instant."""
        share, before, after, _ = self._place(np.asarray(times, dtype=np.float64))
        drawn: Floats = before + (after - before) * (1 - np.cos(np.pi * share)) / 2
        return drawn

    def grid(self, first: float, step: float, count: int) -> Floats:
        """Return ``count`` drawn heights from ``first`` at equal steps in seconds."""
        return self.heights(first + step * np.arange(count, dtype=np.float64))

    def rates(self, times: Floats) -> Floats:
        """Return the change of the drawn height in metres per hour at each instant."""
        share, before, after, length = self._place(np.asarray(times, dtype=np.float64))
        return 3600 * (after - before) * np.pi / 2 * np.sin(np.pi * share) / length

    def crossings(self, level: float, start: float, end: float) -> Floats:
        """Return the instants in [start, end] at which the drawn height passes ``level``, ascending."""
        turns = self.turns(start - _MARGIN_S, end + _MARGIN_S)
        above = turns.heights >= level
        at = np.flatnonzero(above[:-1] != above[1:])
        rise = turns.heights[at + 1] - turns.heights[at]
        share = np.arccos(np.clip(1 - 2 * (level - turns.heights[at]) / rise, -1, 1)) / np.pi
        times = turns.times[at] + share * (turns.times[at + 1] - turns.times[at])
        return times[(times >= start) & (times <= end)]

    def _place(self, times: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """Share of the way from the turn before to the turn after, both heights, and the time between."""
        if not times.size:
            return times, times, times, times
        turns = self.turns(float(times.min()) - _MARGIN_S, float(times.max()) + _MARGIN_S)
        after = np.searchsorted(turns.times, times, side="right")
        length = turns.times[after] - turns.times[after - 1]
        share = (times - turns.times[after - 1]) / length
        return share, turns.heights[after - 1], turns.heights[after], length
