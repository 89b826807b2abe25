"""What tells two to five look-alikes apart, best look first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np

from haulbook.identify.apart import parted_by, shared_path
from haulbook.identify.characters import COSTS, Character
from haulbook.identify.groups import gathering
from haulbook.identify.likelihood import SLIP, answer_chances
from haulbook.identify.matrix import Matrix
from haulbook.identify.notices import Kind, kinds_of
from haulbook.identify.question import LEAST_BITS, information
from haulbook.problems import Refusal
from haulbook.taxa import Pack

FEWEST, MOST = 2, 5

UNKNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Difference:
    """One look that helps.

    Attributes
    ----------
    character : Character
    bits : float
        Expected information of the answer where each taxon is as likely as the others.
    has : mapping of taxon to str
        What each shows, in plain words; `UNKNOWN` where it is unscored.
    parts : tuple of pairs of taxa
        Pairs that share no state here. Empty where it only makes one likelier.
    """

    character: Character
    bits: float
    has: Mapping[str, str]
    parts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Lookalikes:
    """Two to five taxa side by side.

    Attributes
    ----------
    pack : Pack
    taxa : tuple of str
    differences : tuple of Difference
        Best first: most bits for what the look costs.
    unparted : tuple of (taxon, taxon, leave at)
        Pairs that no character of the table separates, with the finest name that holds both; the name is empty
        where they have none in common.
    """

    pack: Pack
    taxa: tuple[str, ...]
    differences: tuple[Difference, ...]
    unparted: tuple[tuple[str, str, str], ...]

    def notices(self, taxon: str) -> dict[Kind, str]:
        """Return the kinds of notice that a taxon carries, each with the pack's words."""
        return kinds_of(self.pack[taxon])


def lookalikes(matrix: Matrix, taxa: Sequence[str]) -> Lookalikes:
    """Compare two to five taxa.

    Raises
    ------
    Refusal
        Fewer than two or more than five taxa; a taxon named twice, or about which nothing is written down.
    """
    if not FEWEST <= len(set(taxa)) == len(taxa) <= MOST:
        raise Refusal(
            f"a look-alike card takes {FEWEST} to {MOST} different taxa, not {', '.join(taxa) or 'none'}"
        )
    blank = [taxon for taxon in taxa if not matrix.cells.get(matrix.pack[taxon].key)]
    if blank:
        raise Refusal(f"nothing is written down about {', '.join(blank)}; name something narrower")
    found = [each for key in matrix.characters if (each := _difference(matrix, taxa, key))]
    found.sort(key=lambda each: -each.bits / COSTS[each.character.cost])
    unparted = tuple(
        (one, other, _common(matrix, one, other))
        for one, other in combinations(taxa, 2)
        if not parted_by(matrix, one, other, tuple(COSTS))
    )
    return Lookalikes(matrix.pack, tuple(taxa), tuple(found), unparted)


def _difference(matrix: Matrix, taxa: Sequence[str], key: str) -> Difference | None:
    character = matrix.characters[key]
    cells = {taxon: matrix.cells[taxon].get(key) for taxon in taxa}
    scored = {taxon: cell.states for taxon, cell in cells.items() if cell}
    pairs = [pair for pair in combinations(scored, 2) if shared_path(matrix, *pair, character)]
    if all(scored[one] == scored[other] for one, other in pairs):
        return None
    answers = np.array([answer_chances(cells[taxon], character.state_keys, SLIP) for taxon in taxa])
    bits = information(np.full(len(taxa), 1 / len(taxa)), answers)
    if bits < LEAST_BITS:
        return None
    has = {taxon: character.words(cell.states) if cell else UNKNOWN for taxon, cell in cells.items()}
    parts = tuple(pair for pair in pairs if key in parted_by(matrix, *pair, (character.cost,)))
    return Difference(character, bits, has, parts)


def _common(matrix: Matrix, one: str, other: str) -> str:
    """Return the finest name for both: a genus or complex of the crews, else the nearest in the tree."""
    held = [(len(members), name) for name, members in gathering(matrix).items() if {one, other} <= members]
    mine = (one, *matrix.pack.lineage(one))
    above = [name for name in (other, *matrix.pack.lineage(other)) if name in mine]
    return min(held)[1] if held else next(iter(above), "")


def as_json(found: Lookalikes) -> dict[str, Any]:
    """Return the comparison as plain values."""
    return {
        "taxa": [
            {
                "taxon": taxon,
                "scientific_name": found.pack[taxon].scientific_name,
                "common_names": list(found.pack[taxon].common_names),
                "hazards": found.pack[taxon].hazards,
                "handling": found.pack[taxon].handling,
                "notices": found.notices(taxon),
            }
            for taxon in found.taxa
        ],
        "characters": [
            {
                "character": each.character.key,
                "question": each.character.question,
                "cost": each.character.cost,
                "bits": round(each.bits, 4),
                "has": dict(each.has),
                "parts": [list(pair) for pair in each.parts],
            }
            for each in found.differences
        ],
        "unparted": [
            {"taxa": [one, other], "leave_at": common or None} for one, other, common in found.unparted
        ],
    }
