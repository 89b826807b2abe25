"""What every predicted tide can say: heights, rates, turns and level crossings.

Three kinds: the agency's harmonic curve (``harmonic``), the same curve moved as one to a site, and a
half-cosine drawn between highs and lows where only those are known (``derived``).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from haulbook.tide.curve import Floats
from haulbook.tide.roots import Flags


@dataclass(frozen=True, slots=True, eq=False)
class Turns:
    """Highs and lows in order of time.

    Attributes
    ----------
    times : array of float
        Seconds since 1970-01-01 00:00 UTC.
    heights : array of float
        Metres above mean lower low water.
    high : array of bool
        True for a high, False for a low.
    """

    times: Floats
    heights: Floats
    high: Flags

    def between(self, start: float, end: float) -> Turns:
        """Return those in [start, end)."""
        kept = (self.times >= start) & (self.times < end)
        return Turns(self.times[kept], self.heights[kept], self.high[kept])


class Water(Protocol):
    """A predicted tide; times are seconds since 1970-01-01 00:00 UTC, heights metres above MLLW."""

    @property
    def interpolated(self) -> bool:
        """Whether the curve is drawn between highs and lows rather than predicted."""
        ...

    def heights(self, times: Floats) -> Floats:
        """Return the height in metres at each instant."""
        ...

    def grid(self, first: float, step: float, count: int) -> Floats:
        """Return ``count`` heights from ``first`` at equal steps in seconds."""
        ...

    def rates(self, times: Floats) -> Floats:
        """Return the change of height in metres per hour at each instant."""
        ...

    def turns(self, start: float, end: float) -> Turns:
        """Return the highs and lows in [start, end)."""
        ...

    def crossings(self, level: float, start: float, end: float) -> Floats:
        """Return the instants in [start, end] at which the height passes ``level``, ascending."""
        ...
