"""What the catch says about the bed, and how sure that is."""

from __future__ import annotations

from haulbook.estimate.catch_per_area import (
    PATCHY_K,
    UNDERCOUNT,
    Comparable,
    catch_per_area,
    catches_per_area,
)
from haulbook.estimate.estimate import Estimate, HaulDensity, HaulRow, LeftOut, figure, in_figures, in_words
from haulbook.estimate.subsample import Expanded

__all__ = [
    "PATCHY_K",
    "UNDERCOUNT",
    "Comparable",
    "Estimate",
    "Expanded",
    "HaulDensity",
    "HaulRow",
    "LeftOut",
    "catch_per_area",
    "catches_per_area",
    "figure",
    "in_figures",
    "in_words",
]
