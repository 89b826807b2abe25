"""The few facts about a taxon that care needs; an entry of the taxon pack fits as it is."""

from __future__ import annotations

from typing import Protocol


class TaxonFacts(Protocol):
    """What a taxon has to say for itself; fields as in the taxon pack."""

    @property
    def key(self) -> str:
        """The pack's key."""

    @property
    def group(self) -> str:
        """Animal group, as ``sculpin``."""

    @property
    def typical_juvenile_mm(self) -> float | str | None:
        """A usual length in mm, or a range as ``60-100``; None or empty where nobody published one."""

    @property
    def lw_a(self) -> float | None:
        """Factor of the length-weight relation."""

    @property
    def lw_b(self) -> float | None:
        """Exponent of the length-weight relation."""

    @property
    def lw_units(self) -> str | None:
        """Units and standing of the relation, as ``W in g, TL in cm (n=338)``."""

    @property
    def lw_source(self) -> str | None:
        """Where the relation comes from."""
