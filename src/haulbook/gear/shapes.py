"""Area that a set of the net sweeps, one function a geometry: metres in, square metres out.

Lengths: L net in the water; w straight distance between the wing ends while hauling; d distance hauled;
D offset of a parallel set from the water line; c chord along the shore between the landing points; b greatest
reach. All formulas are plane geometry (circle, ellipse, trapezium); ``docs/reference/gear.md`` lists each
with its assumption and a worked value.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass


def straight(w: float, d: float) -> float:
    """Return the area of two poles walked abreast, w·d: the width held and the path was straight."""
    return w * d


def quarter(L: float) -> float:  # noqa: N803 (the field's own letter)
    """Return the area of a net swung as a taut radius to the beach: a quarter disc, πL²/4."""
    return math.pi * L**2 / 4


def largest_enclosed(L: float) -> float:  # noqa: N803
    """Return the most that an arc of length L can close off against a straight shore: L²/(2π), a half circle.

    Source: Dido's problem, the isoperimetric inequality with a straight side.
    """
    return L**2 / (2 * math.pi)


def segment(L: float, c: float) -> float:  # noqa: N803
    """Return the area between a circular arc of length L and its chord c, with 0 < c <= L.

    Half angle θ in [0, π] solves sin θ / θ = c/L; r = L/(2θ); area r²(2θ - sin 2θ)/2. At c = L the net lies
    along the shore and the area is 0.
    """
    if c >= L:
        return 0.0
    low, high = 0.0, math.pi
    while (theta := (low + high) / 2) not in (low, high):
        if math.sin(theta) / theta > c / L:
            low = theta
        else:
            high = theta
    return (L / (2 * theta)) ** 2 * (2 * theta - math.sin(2 * theta)) / 2


def half_ellipse(c: float, b: float) -> float:
    """Return the area of half an ellipse with chord c on the shore and reach b: π(c/2)b/2."""
    return math.pi * (c / 2) * b / 2


def trapezoid(w: float, c: float, D: float) -> float:  # noqa: N803
    """Return the area of a parallel set: wide w at the set, c at the landing, from offset D: D(w + c)/2."""
    return D * (w + c) / 2


def rectangle_half_disc(w: float, b: float) -> float:
    """Return the area of a straight haul with a rounded head: (b - w/2)·w + π(w/2)²/2, with b >= w/2.

    Source: data dictionary of the Hakai Institute beach seine data, BC central coast, 2014-2018 (area_set1);
    w is the width at retrieval, b how far from shore the net reached.
    """
    return (b - w / 2) * w + math.pi * (w / 2) ** 2 / 2


@dataclass(frozen=True, slots=True)
class Shape:
    """A geometry: the letters it needs, in the order of its formula, and what it is in words."""

    needs: tuple[str, ...]
    formula: Callable[..., float]
    words: str


SHAPES: dict[str, Shape] = {
    "straight": Shape(("w", "d"), straight, "two poles walked along or toward the shore"),
    "quarter": Shape(("L",), quarter, "inner pole held at the water line, outer pole swung to the beach"),
    "semicircle": Shape(("L",), largest_enclosed, "round haul paid out as a half circle"),
    "segment": Shape(("L", "c"), segment, "round haul with the landing points measured"),
    "half_ellipse": Shape(("c", "b"), half_ellipse, "round haul with landing points and reach measured"),
    "trapezoid": Shape(("w", "c", "D"), trapezoid, "parallel set hauled in by lines"),
    "rectangle_half_disc": Shape(("w", "b"), rectangle_half_disc, "straight haul with a rounded head"),
}
"""The seven geometries that follow from lengths; ``polygon`` and ``given`` need none."""

SET_TYPES: tuple[str, ...] = (
    "straight",
    "quarter",
    "semicircle",
    "segment",
    "half_ellipse",
    "trapezoid",
    "polygon",
    "given",
    "rectangle_half_disc",
)
"""Every set type that a haul can name."""

LETTERS: dict[str, str] = {
    "L": "net length in the water",
    "w": "width between the wing ends",
    "d": "distance hauled",
    "D": "offset from the water line",
    "c": "distance between the landing points",
    "b": "greatest reach from the shore",
}
"""What each letter of a haul's measures means."""


def wedge_volume_m3(area_m2: float, depth_outer_m: float) -> float:
    """Return the water swept over a bottom that slopes evenly from 0 to ``depth_outer_m``: A·z/2, in m³.

    Source: the data dictionary of the Hakai Institute beach seine data (vol_set1).
    """
    return area_m2 * depth_outer_m / 2
