"""What has to be on hand before an animal is kept. The rule: hold only what you can feed tomorrow."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

RULE = "Hold only what you can feed tomorrow."
START = (
    "First food 12 to 24 h after arrival, little, and watch it taken; write down ate or refused. "
    "Do not overfeed on day 1, mix batches or chase with nets; no freshwater feeder fish."
)


@dataclass(frozen=True, slots=True)
class FirstFood:
    """What an animal takes first.

    Attributes
    ----------
    food : str
    live : bool
        Takes only what moves, at least at first.
    feeds_per_day : tuple of (int, int)
        From, to.
    standing : str
        What the advice rests on.
    """

    food: str
    live: bool
    feeds_per_day: tuple[int, int]
    standing: str


_COMMON = "common practice, no source"
_PIPEFISH = FirstFood(
    "live mysids, copepods, amphipods; brine shrimp only beside them; lid, eelgrass cover, running sea water",
    live=True,
    feeds_per_day=(2, 4),
    standing="a marine station's care sheet for bay pipefish; for other pipefish by likeness",
)
_BY_TAXON = {
    "syngnathidae": _PIPEFISH,
    "aulorhynchidae": FirstFood(
        "live mysids, amphipods, crab larvae, later frozen mysis",
        live=True,
        feeds_per_day=(2, 4),
        standing="diet from a general reference; weaning is common practice",
    ),
}
_SMALL_FISH = FirstFood(
    "live mysids or amphipods, weaned to chopped shrimp or mysis in 1 to 2 weeks", True, (2, 4), _COMMON
)
_SCAVENGER = FirstFood(
    "clam, fish, algae pellets; remove leftovers; a shelter before the moult", False, (1, 1), _COMMON
)
_BY_GROUP = {
    "pipefish-stickleback": _SMALL_FISH,
    "sculpin": _SMALL_FISH,
    "gunnel-prickleback": _SMALL_FISH,
    "surfperch": FirstFood(
        "mysis, krill, chopped clam or shrimp; several small feeds", False, (2, 4), _COMMON
    ),
    "flatfish": FirstFood("worm or clam strips at dusk, on the bottom", False, (1, 2), _COMMON),
    "crab": _SCAVENGER,
    "hermit": _SCAVENGER,
    "shrimp": _SCAVENGER,
    "lobster": _SCAVENGER,
}


def first_food(group: str, lineage: Collection[str] = ()) -> FirstFood | None:
    """Return what an animal takes first; None where nothing is known, and then it is not kept unasked.

    ``lineage``: the taxon's key and its ancestors'.
    """
    for key, food in _BY_TAXON.items():
        if key in lineage:
            return food
    return _BY_GROUP.get(group)
