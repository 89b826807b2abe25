"""Where an animal can be: sources, inside places, and sinks.

Inside places of an outing are its own (bucket 1 of Tuesday is not bucket 1 of Wednesday); tanks are the
station's. Each sink gives the animals that went straight to it their fate.
"""

from __future__ import annotations

import re
from typing import Literal

from haulbook.custody.fates import Fate

Purpose = Literal["keep", "hold", "release"]
PURPOSES = ("keep", "hold", "release")

SOURCES = ("sea", "born", "brought")
"""Where animals come from: a haul; born in holding; opening stock or another institution."""

SINKS: dict[str, Fate] = {
    "escaped": Fate.SEEN_ESCAPED,
    "back-in-net": Fate.RELEASED_IN_NET,
    "back": Fate.RELEASED_ALIVE,
    "dead-back": Fate.DIED_RELEASED,
    "dead-kept": Fate.DIED_RETAINED,
    "killed-kept": Fate.RETAINED_DEAD,
    "killed-back": Fate.KILLED_NOT_KEPT,
    "given": Fate.RETAINED_ALIVE,
    "lost": Fate.FATE_UNKNOWN,
}
"""Outside places, and the fate of animals that went there before any cut-off."""

_INSIDE = re.compile(r"net|(?:bucket|cooler) [1-9][0-9]*|tank [A-Za-z0-9][A-Za-z0-9_-]*")


def is_inside(place: str) -> bool:
    """Say whether ``place`` is one that can never hold less than nothing: net, bucket, cooler or tank."""
    return _INSIDE.fullmatch(place) is not None


def is_tank(place: str) -> bool:
    """Say whether ``place`` is a tank: the station's, not an outing's."""
    return place.startswith("tank ")


def fate_in(place: str, purpose: str | None) -> Fate:
    """Return the fate of animals whose cut-off falls while they are in ``place``.

    Parameters
    ----------
    place : str
        A sink or an inside place.
    purpose : {"keep", "hold", "release"} or None
        What the bucket is for; None where nobody said, which keeps nothing.
    """
    if place in SINKS:
        return SINKS[place]
    kept = (
        is_tank(place) or place.startswith("cooler ") or (place.startswith("bucket ") and purpose == "keep")
    )
    return Fate.RETAINED_ALIVE if kept else Fate.UNACCOUNTED
