"""What could not be read in one cell."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CellTrouble:
    """Why a cell could not be read, as a sentence without its place: the caller knows where it stands."""

    message: str
