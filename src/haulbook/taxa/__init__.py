"""Names of animals: packs of taxa, their tree, and what somebody may have meant."""

from haulbook.taxa.pack import PACKS, Pack, Taxon, load_pack

__all__ = ["PACKS", "Pack", "Taxon", "load_pack"]
