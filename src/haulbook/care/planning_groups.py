"""What is assumed of an animal when only its group is known: house values, label "planning default".

Masses err on the heavy side for what a small seine brings up in a seagrass bed: for oxygen an overestimate
is the cautious side.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

Uptake = Literal["fish", "shrimp", "crab", "squid"]


@dataclass(frozen=True, slots=True)
class GroupDefault:
    """How the oxygen demand of a group is reckoned where its species says nothing.

    Attributes
    ----------
    uptake : {"fish", "shrimp", "crab", "squid"}
        Which formula of `demand` is used.
    mass_g : float
        Assumed when no size is known, g wet.
    a, b : float
        ``W g = a * L cm ** b`` when a length is known but the species has no pair of its own.
    """

    uptake: Uptake
    mass_g: float
    a: float
    b: float


GROUPS: Mapping[str, GroupDefault] = MappingProxyType(
    {
        "other-fish": GroupDefault("fish", 20.0, 0.013, 3.0),
        "pipefish-stickleback": GroupDefault("fish", 2.0, 0.010, 3.07),
        "forage-fish": GroupDefault("fish", 8.0, 0.008, 3.03),
        "flatfish": GroupDefault("fish", 15.0, 0.012, 3.0),
        "sculpin": GroupDefault("fish", 20.0, 0.013, 3.1),
        "gunnel-prickleback": GroupDefault("fish", 6.0, 0.0043, 3.02),
        "cod": GroupDefault("fish", 15.0, 0.010, 3.0),
        "salmonid": GroupDefault("fish", 20.0, 0.010, 3.05),
        "surfperch": GroupDefault("fish", 20.0, 0.0195, 3.02),
        "greenling-rockfish": GroupDefault("fish", 20.0, 0.010, 3.1),
        "small-crustacean": GroupDefault("shrimp", 0.22, 0.010, 3.0),
        "shrimp": GroupDefault("shrimp", 1.0, 0.010, 3.0),
        "crab": GroupDefault("crab", 50.0, 0.108, 3.14),
        "lobster": GroupDefault("crab", 300.0, 0.030, 3.0),
        "hermit": GroupDefault("crab", 10.0, 0.100, 3.0),
        "other-invert": GroupDefault("crab", 50.0, 0.100, 3.0),
        "slug-snail": GroupDefault("crab", 10.0, 0.250, 3.0),
        "clam": GroupDefault("crab", 10.0, 0.250, 3.0),
        "cephalopod": GroupDefault("squid", 30.0, 0.100, 2.7),
        "echinoderm": GroupDefault("crab", 50.0, 0.100, 3.0),
        "jelly": GroupDefault("crab", 50.0, 0.100, 3.0),
        "worm": GroupDefault("crab", 5.0, 0.002, 3.0),
        "cover-seagrass": GroupDefault("crab", 20.0, 0.001, 3.0),
        "cover-algae": GroupDefault("crab", 50.0, 0.001, 3.0),
        "higher": GroupDefault("fish", 20.0, 0.013, 3.0),
    }
)
"""Group of the taxon pack: what is assumed. Crab a, b: shape of a swimming crab, W = 7.85e-5 CW_mm^3.14."""

UNKNOWN_GROUP = GROUPS["higher"]
"""For a group that no table names, and for names still open: reckoned as a fish of 20 g."""
