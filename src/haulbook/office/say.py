"""How a taxon is called on a page: its first common name, or as it was written while the name is open."""

from __future__ import annotations

from haulbook.taxa import Pack

OPEN = "?"
"""A taxon outside the pack is written with this in front."""


def is_open(taxon: str) -> bool:
    """Say whether a name is still as somebody wrote it."""
    return taxon.startswith(OPEN)


def said(taxon: str, pack: Pack) -> str:
    """Return the name people use."""
    if is_open(taxon):
        return taxon.removeprefix(OPEN)
    known = pack.taxa.get(taxon)
    if known is None:
        return taxon
    return known.common_names[0] if known.common_names else known.scientific_name


def scientific(taxon: str, pack: Pack) -> str | None:
    """Return the scientific name; None while the name is open."""
    known = pack.taxa.get(taxon)
    return known.scientific_name if known else None
