"""What this room asks of a taxon pack, so that any list of names with a tree can stand in for one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol


class Named(Protocol):
    """One taxon as a report prints it."""

    @property
    def scientific_name(self) -> str:
        """Scientific name, without authority."""

    @property
    def common_names(self) -> tuple[str, ...]:
        """Common names, the station's usual one first."""

    @property
    def aphia_id(self) -> int | None:
        """Identifier in the world register of marine species; None where unverified."""


class Names(Protocol):
    """A taxon pack."""

    @property
    def taxa(self) -> Mapping[str, Named]:
        """Every taxon by key."""

    def lineage(self, key: str, /) -> tuple[str, ...]:
        """Ancestor keys, parent first."""

    def species_of(self, key: str, /) -> frozenset[str]:
        """All that a name can stand for: the lowest taxa at or under it."""


OPEN = "?"
"""First letter of a name that nobody has settled."""


def is_open(taxon: str) -> bool:
    """Whether a name is outside the pack, or not settled yet."""
    return taxon.startswith(OPEN)
