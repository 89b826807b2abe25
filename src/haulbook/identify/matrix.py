"""Which taxon shows which states: the matrix of a pack, and who can be ranked by it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

from haulbook.identify.characters import BODY_PLAN, Character, load_characters, read_table
from haulbook.problems import Refusal, unknown
from haulbook.taxa import Pack, load_pack


@dataclass(frozen=True, slots=True)
class Cell:
    """What a taxon shows in one character.

    Attributes
    ----------
    states : frozenset of str
        Several where animals of the taxon differ.
    confidence : float
        0 to 1: how sure the compiler of the table is that the row is right.
    source : str
    """

    states: frozenset[str]
    confidence: float
    source: str


@dataclass(frozen=True, slots=True, eq=False)
class Matrix:
    """The cells of a pack.

    Attributes
    ----------
    pack : Pack
    characters : mapping of str to Character
    cells : mapping of taxon key to mapping of character key to Cell
        A taxon without a cell for a character is unscored there: nothing is known, nothing is assumed.
    ranked : tuple of str
        Taxa that are told by more than their body plan, in file order: only these share the probability.
    by_body_only : tuple of str
        Taxa known only by their body plan: places to leave an animal at.
    """

    pack: Pack
    characters: Mapping[str, Character]
    cells: Mapping[str, Mapping[str, Cell]]
    ranked: tuple[str, ...]
    by_body_only: tuple[str, ...]

    def members(self, taxon: str) -> frozenset[str]:
        """Return the ranked taxa that a name can stand for: at it, under it, or named in it.

        A genus or complex that a crew uses as one name need not hang above its species in the tree.
        """
        row = self.pack[taxon]
        named = _binomials(row.scientific_name) if row.rank in ("genus", "complex") else lambda _: False
        return frozenset(
            other
            for other in self.ranked
            if self.pack.is_within(other, taxon) or named(self.pack[other].scientific_name)
        )

    def states(self, taxon: str, character: str) -> frozenset[str]:
        """Return what a taxon can show, every state where it is unscored."""
        cell = self.cells[taxon].get(character)
        return cell.states if cell else frozenset(self.characters[character].state_keys)


@cache
def load_matrix(pack_key: str) -> Matrix:
    """Return the matrix of a pack.

    Raises
    ------
    Refusal
        Unknown pack; or a row names a taxon, character or state that does not exist (all such rows are named).
    """
    pack, characters = load_pack(pack_key), load_characters()
    cells: dict[str, dict[str, Cell]] = {}
    wrong: list[str] = []
    for row in read_table(pack_key):
        wrong += _faults(row, pack, characters)
        cell = Cell(frozenset(row["states"].split("|")), float(row["confidence"]), row["source"])
        cells.setdefault(row["taxon"], {})[row["character"]] = cell
    if wrong:
        raise Refusal("; ".join(wrong))
    ranked = tuple(taxon for taxon, has in cells.items() if set(has) != {BODY_PLAN})
    return Matrix(pack, characters, cells, ranked, tuple(taxon for taxon in cells if taxon not in ranked))


def _binomials(name: str) -> Callable[[str], bool]:
    """Return the test for species of ``Genus``, or of ``Genus first/second/third``."""
    genus, _, epithets = name.partition(" ")
    known = epithets.split("/") if epithets else None

    def is_named(other: str) -> bool:
        first, _, epithet = other.partition(" ")
        return first == genus and epithet != "" and (known is None or epithet in known)

    return is_named


def _faults(row: Mapping[str, str], pack: Pack, characters: Mapping[str, Character]) -> list[str]:
    if row["taxon"] not in pack.taxa:
        return [unknown("taxon", row["taxon"], pack.taxa)]
    if row["character"] not in characters:
        return [unknown("character", row["character"], characters)]
    known = characters[row["character"]].state_keys
    return [
        unknown(f"state of {row['character']}", state, known)
        for state in row["states"].split("|")
        if state not in known
    ]
