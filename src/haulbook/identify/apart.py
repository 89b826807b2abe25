"""What tells two taxa apart for certain, and which taxa nothing tells apart."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from haulbook.identify.characters import BEACH, Character
from haulbook.identify.matrix import Matrix


def shared_path(matrix: Matrix, one: str, other: str, character: Character) -> bool:
    """Whether both taxa can give the answers after which a character may be asked."""
    return all(
        matrix.states(one, condition.character) & matrix.states(other, condition.character) & condition.states
        for condition in character.conditions
    )


def parted_by(matrix: Matrix, one: str, other: str, costs: Iterable[str] = (BEACH,)) -> tuple[str, ...]:
    """Return the characters that separate two taxa, in file order.

    A character separates them where both are scored, they share no state, and both can give the answers after
    which it may be asked.

    Parameters
    ----------
    matrix : Matrix
    one, other : str
        Taxa with cells.
    costs : iterable of str
        Kinds of look that can be had.
    """
    mine, theirs = matrix.cells[one], matrix.cells[other]
    return tuple(
        key
        for key, character in matrix.characters.items()
        if key in mine
        and key in theirs
        and character.cost in costs
        and not mine[key].states & theirs[key].states
        and shared_path(matrix, one, other, character)
    )


@cache
def undecided_with(matrix: Matrix, taxon: str, costs: tuple[str, ...] = (BEACH,)) -> frozenset[str]:
    """Return the ranked taxa that no look of these kinds separates from a taxon, itself among them."""
    return frozenset(
        other for other in matrix.ranked if other == taxon or not parted_by(matrix, taxon, other, costs)
    )
