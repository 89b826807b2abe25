"""Names and shares as they are said."""

from __future__ import annotations

from haulbook.taxa import Taxon


def short_name(taxon: Taxon) -> str:
    """Return the first common name, else the scientific name."""
    return taxon.common_names[0] if taxon.common_names else taxon.scientific_name


def full_name(taxon: Taxon) -> str:
    """Return ``bay pipefish (Syngnathus leptorhynchus)``."""
    name = short_name(taxon)
    return name if name == taxon.scientific_name else f"{name} ({taxon.scientific_name})"


def percent(chance: float) -> str:
    """Return a share in whole percent; what rounds to all or nothing is said as such a bound."""
    if chance < 0.01:
        return "under 1 %"
    return "over 99 %" if chance > 0.99 else f"{100 * chance:.0f} %"
