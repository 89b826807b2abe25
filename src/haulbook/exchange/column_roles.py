"""What a column of a tally sheet can be: the words a sheet map uses, and the units they carry."""

from __future__ import annotations

import re
from collections.abc import Mapping

METRES: Mapping[str, float] = {
    "mm": 0.001, "cm": 0.01, "m": 1.0, "km": 1000.0, "in": 0.0254, "ft": 0.3048, "fathom": 1.8288,
}  # fmt: skip
"""Metres in one unit of length; inch, foot and fathom international (NIST SP 811, B.8)."""

SQUARE_METRES: Mapping[str, float] = {"m2": 1.0, "100m2": 100.0, "ha": 10_000.0, "ft2": 0.09290304}
"""Square metres in one unit of area (NIST SP 811, B.8)."""

MEASURES = ("w", "d", "c", "b", "D", "L")
"""Letters of a set's geometry, as in ``haulbook.gear``."""

_HAUL_WORDS = (
    "haul",
    "haul_no",
    "site",
    "lat",
    "lon",
    "net",
    "set_type",
    "condition",
    "why",
    "remark",
    "person",
)
_CATCH_WORDS = (
    *_HAUL_WORDS, "name", "scientific", "stage", "n", "n_unmeasured", "estimated", "fate", "dead", "sex",
    "length_type",
)  # fmt: skip
_READINGS = ("temperature_c", "salinity", "oxygen_mg_l", "oxygen_percent", "ph")

WORDS: Mapping[str, tuple[str, ...]] = {
    "hauls": (*_HAUL_WORDS, *_READINGS),
    "effort": (*_HAUL_WORDS, *_READINGS),
    "catch": (*_CATCH_WORDS, *_READINGS),
    "lengths": ("haul", "haul_no", "site", "name", "stage", "n", "sex", "length_type", "remark", "person"),
    "environment": ("haul", "haul_no", "site", "remark", "person", *_READINGS),
    "sites": ("site", "lat", "lon", "remark", "person"),
    "names": ("code", "name", "scientific", "higher", "members", "remark", "person"),
    "skip": (),
}
"""Roles of a file and the words its columns can have, apart from those that carry a unit."""

QUANTITIES: Mapping[str, Mapping[str, Mapping[str, float]]] = {
    "hauls": {**dict.fromkeys((*MEASURES, "depth"), METRES), "area": SQUARE_METRES},
    "effort": {**dict.fromkeys((*MEASURES, "depth"), METRES), "area": SQUARE_METRES},
    "catch": {**dict.fromkeys((*MEASURES, "depth", "length"), METRES), "area": SQUARE_METRES},
    "lengths": {"length": METRES},
    "environment": {"depth": METRES, "secchi": METRES},
    "sites": {},
    "names": {},
    "skip": {},
}
"""For each role of a file, the quantities whose word ends in a unit: ``length_mm``, ``w_m``, ``area_ha``."""

READINGS = _READINGS


def split_quantity(word: str, role: str) -> tuple[str, float] | None:
    """Return the quantity and what one of its unit is in metres or square metres; None for other words.

    ``length_cm`` is ``("length", 0.01)``, ``area_ha`` is ``("area", 10000.0)``.
    """
    match = re.fullmatch(r"([A-Za-z]+)_(\w+)", word)
    units = QUANTITIES[role].get(match[1]) if match else None
    if match is None or units is None or match[2] not in units:
        return None
    return match[1], units[match[2]]


def known_words(role: str) -> tuple[str, ...]:
    """Return every word that a column can have in a file of this role."""
    quantities = (f"{name}_{unit}" for name, units in QUANTITIES[role].items() for unit in units)
    return (*WORDS[role], *quantities)
