"""The band of water height in which a crew can work a bed, and when the water is in it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from haulbook.problems import Refusal
from haulbook.tide.spans import Span, tidy
from haulbook.tide.water import Water

LEAST_DEPTH_M, GREATEST_DEPTH_M = 0.3, 1.0
"""Depths over the bed offered where nobody says others: enough to keep net and catch afloat, and what a crew
may wade. Common practice, no single source."""


@dataclass(frozen=True, slots=True)
class Band:
    """Heights above mean lower low water at which the water is neither too low nor too high.

    Attributes
    ----------
    least_m : float
        Below it the bed is bare or the net drags animals through too little water; minus infinity: no limit.
    most_m : float
        Above it the crew cannot wade.
    """

    least_m: float
    most_m: float

    def __post_init__(self) -> None:
        if not (self.least_m < math.inf and abs(self.most_m) < math.inf):
            raise Refusal("the heights of a band are numbers of metres above mean lower low water")
        if self.least_m >= self.most_m:
            raise Refusal(
                f"the band is upside down: its lower edge {self.least_m:.2f} m is not below its upper edge "
                f"{self.most_m:.2f} m; swap them"
            )

    def moved(self, metres: float) -> Band:
        """Return the band as the prediction has to meet it when weather lowers the water by ``metres``."""
        return Band(self.least_m + metres, self.most_m + metres)

    def __str__(self) -> str:
        if self.least_m == -math.inf:
            return f"at or below {self.most_m:.2f} m"
        return f"between {self.least_m:.2f} and {self.most_m:.2f} m"


def below(level_m: float) -> Band:
    """Return every height at or below a level."""
    return Band(-math.inf, level_m)


def over_bed(
    bed_m: float, least_depth_m: float = LEAST_DEPTH_M, greatest_depth_m: float = GREATEST_DEPTH_M
) -> Band:
    """Return the band that gives a working depth over a bed.

    Parameters
    ----------
    bed_m : float
        Elevation of the bed above mean lower low water, metres; negative below it.
    least_depth_m, greatest_depth_m : float
        Depth of water over the bed, metres, not negative.

    Raises
    ------
    Refusal
        A negative depth, or the least depth not below the greatest.
    """
    if not least_depth_m >= 0:
        raise Refusal(f"a depth over the bed is not negative, as {least_depth_m:g} m is")
    if not least_depth_m < greatest_depth_m:
        raise Refusal(
            f"the band is upside down: the least depth {least_depth_m:g} m is not below the greatest "
            f"{greatest_depth_m:g} m; swap them"
        )
    return Band(bed_m + least_depth_m, bed_m + greatest_depth_m)


def spans_in(band: Band, water: Water, start: float, end: float) -> list[Span]:
    """Return when the predicted height lies in the band, within [start, end] (seconds since 1970 UTC)."""
    edges = [level for level in (band.least_m, band.most_m) if math.isfinite(level)]
    passes = [water.crossings(level, start, end) for level in edges]
    knots = np.unique(np.concatenate([[start], *passes, [end]]))
    # Between two crossings the height stays on one side: its middle speaks for the whole.
    heights = water.heights((knots[:-1] + knots[1:]) / 2)
    inside = (heights >= band.least_m) & (heights <= band.most_m)
    return tidy(zip(knots[:-1][inside].tolist(), knots[1:][inside].tolist(), strict=True))
