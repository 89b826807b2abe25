"""The table behind `company`: classes, verdicts and reasons. Common practice; evidence where read."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

Class = Literal[
    "soft pelagics, salmonids",
    "pipefish, sticklebacks",
    "shrimp, mysids",
    "small crabs",
    "sculpins, rockfish",
    "surfperch, flatfish",
    "large crabs",
    "jellies, anemones",
    "snails, clams",
    "alone",
]
ALONE: Class = "alone"
PELAGIC: Class = "soft pelagics, salmonids"
PIPE: Class = "pipefish, sticklebacks"
SHRIMP: Class = "shrimp, mysids"
SMALL_CRAB: Class = "small crabs"
SCULPIN: Class = "sculpins, rockfish"
PERCH: Class = "surfperch, flatfish"
LARGE_CRAB: Class = "large crabs"
JELLY: Class = "jellies, anemones"
SHELL: Class = "snails, clams"

BY_GROUP: Mapping[str, Class] = MappingProxyType(
    {
        "forage-fish": PELAGIC,
        "salmonid": PELAGIC,
        "pipefish-stickleback": PIPE,
        "shrimp": SHRIMP,
        "small-crustacean": SHRIMP,
        "hermit": SMALL_CRAB,
        "sculpin": SCULPIN,
        "greenling-rockfish": SCULPIN,
        "cod": SCULPIN,
        "other-fish": SCULPIN,  # wrasses, eels, sea bass: hunters until somebody knows better
        "surfperch": PERCH,
        "flatfish": PERCH,
        "gunnel-prickleback": PERCH,
        "crab": LARGE_CRAB,
        "lobster": LARGE_CRAB,
        "jelly": JELLY,
        "slug-snail": SHELL,
        "clam": SHELL,
        "cover-seagrass": SHELL,
        "cover-algae": SHELL,
    }
)
"""Animal group to class; a crab of known small width is a small crab. What is missing travels alone."""

ALONE_UNDER = frozenset(
    {
        "cephalopoda",
        "asteroidea",
        "holothuroidea",
        "nudibranchia",
        "spiny-dogfish",
        "spotted-ratfish",
        "plainfin-midshipman",
        "horseshoe-crab",
    }
)
"""Taxa that travel alone with all below them: squid, sea stars, what sheds mucus or toxin, spined sharks."""

HUNTERS = frozenset({PELAGIC, SMALL_CRAB, SCULPIN, PERCH, LARGE_CRAB})
"""Classes between which the size rule holds even where they get on."""

PairVerdict = Literal["ok", "short", "by size", "no", "never"]


def _table() -> dict[frozenset[Class], PairVerdict]:
    order: tuple[Class, ...] = (PELAGIC, PIPE, SHRIMP, SMALL_CRAB, SCULPIN, PERCH, LARGE_CRAB, JELLY, SHELL)
    rows: dict[Class, str] = {
        # with:   pelagic pipe shrimp s.crab sculpin perch l.crab jelly shell
        PELAGIC: "ok no ok no no short never never ok",
        PIPE: "no ok no no no no never never ok",
        SHRIMP: "ok no ok no no no never no ok",
        SMALL_CRAB: "no no no by_size no no never no no",
        SCULPIN: "no no no no by_size no never no ok",
        PERCH: "short no no no no ok never never ok",
        LARGE_CRAB: "never never never never never never never no no",
        JELLY: "never never no no no never no no no",
        SHELL: "ok ok ok no ok ok no no ok",
    }
    words: dict[str, PairVerdict] = {
        "ok": "ok",
        "short": "short",
        "by_size": "by size",
        "no": "no",
        "never": "never",
    }
    return {
        frozenset((one, other)): words[word]
        for one, row in rows.items()
        for other, word in zip(order, row.split(), strict=True)
    }


VERDICTS: Mapping[frozenset[Class], PairVerdict] = MappingProxyType(_table())

WHY: Mapping[frozenset[Class], str] = MappingProxyType(
    {
        frozenset({PELAGIC}): "a bucket of their own, released first",
        frozenset({PELAGIC, PERCH}): "short time only: scales are lost and the soft ones tire first",
        frozenset({PIPE, SHRIMP}): "pipefish and sticklebacks eat mysids and small shrimp",
        frozenset({SMALL_CRAB}): "by size and with cover: crabs of one brood eat each other",
        frozenset({SMALL_CRAB, SHRIMP}): "crabs take shrimp first of all (Hollett 1988)",
        frozenset({SCULPIN, SMALL_CRAB}): "sculpins eat young crabs (Armstrong et al. 1995)",
        frozenset({LARGE_CRAB}): "singly, or on damp eelgrass out of the water",
        frozenset({JELLY, PELAGIC}): "stings and slime",
        frozenset({JELLY, PERCH}): "stings and slime",
        frozenset({JELLY, PIPE}): "stings and slime",
    }
)

SENSITIVITY: Mapping[Class, int] = MappingProxyType(
    {
        PELAGIC: 0,
        SHRIMP: 1,
        PERCH: 1,
        PIPE: 2,
        JELLY: 2,
        ALONE: 2,
        SMALL_CRAB: 3,
        LARGE_CRAB: 3,
        SCULPIN: 4,
        SHELL: 5,
    }
)
"""Order of failure as oxygen falls, lowest first (common practice; sculpins surface and hold out longest,
Sloman et al. 2008): a calm sculpin says nothing about the water."""
