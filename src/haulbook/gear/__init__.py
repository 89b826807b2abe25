"""Nets, what a set of the net sweeps, and how a haul went."""

from __future__ import annotations

from haulbook.gear.condition import CONDITIONS, Condition, condition
from haulbook.gear.net import Net
from haulbook.gear.shapes import LETTERS, SET_TYPES, SHAPES, wedge_volume_m3
from haulbook.gear.swept_area import Area, Length, swept_area

__all__ = [
    "CONDITIONS",
    "LETTERS",
    "SET_TYPES",
    "SHAPES",
    "Area",
    "Condition",
    "Length",
    "Net",
    "condition",
    "swept_area",
    "wedge_volume_m3",
]
