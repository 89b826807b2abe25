"""Where to leave an animal that can't be taken to species: support of genera, families and groups."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from haulbook.identify.characters import BODY_PLAN
from haulbook.identify.likelihood import Floats, Model
from haulbook.identify.matrix import Matrix
from haulbook.identify.observations import Observation
from haulbook.identify.question import SURE

LEAST_SHOWN = 0.05
"""Groups with less support than this are not listed. House value (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Support:
    """How probable it is that the animal belongs to a taxon.

    Attributes
    ----------
    taxon, rank : str
    probability : float or None
        None for a taxon that is known only by its body plan and has no ranked members: it can't be weighed.
    """

    taxon: str
    rank: str
    probability: float | None


@cache
def gathering(matrix: Matrix) -> Mapping[str, frozenset[str]]:
    """Return the names that gather at least two ranked taxa, each with those: the finest name for each set."""
    pack = matrix.pack
    finest: dict[frozenset[str], str] = {}
    for taxon in pack.taxa:
        members = matrix.members(taxon)
        if len(members) > 1 and (members not in finest or pack.is_within(taxon, finest[members])):
            finest[members] = taxon
    return {taxon: members for members, taxon in finest.items()}


def groups(model: Model, chances: Floats) -> tuple[Support, ...]:
    """Return the names that gather at least two ranked taxa and `LEAST_SHOWN` of the probability.

    Those that hold the leader come first, finest first; then the rest, finest first. A wider name that
    gathers the same taxa as a finer one is left out.
    """
    leader = model.taxa[int(chances.argmax())]
    found = [
        (leader not in members, len(members), Support(taxon, model.matrix.pack[taxon].rank, total))
        for taxon, members in gathering(model.matrix).items()
        if (total := _sum(model, chances, members)) >= LEAST_SHOWN
    ]
    return tuple(each for *_, each in sorted(found, key=lambda row: row[:2]))


def leave_at(model: Model, chances: Floats) -> Support | None:
    """Return the finest name that is `SURE`: the leader, or the least group around it; None where none is."""
    first = int(chances.argmax())
    if chances[first] >= SURE:
        leader = model.taxa[first]
        return Support(leader, model.matrix.pack[leader].rank, float(chances[first]))
    holds = {taxon for taxon, members in gathering(model.matrix).items() if model.taxa[first] in members}
    around = (each for each in groups(model, chances) if each.taxon in holds)
    return next((each for each in around if (each.probability or 0) >= SURE), None)


def told_by_body(matrix: Matrix, observations: Iterable[Observation]) -> tuple[Support, ...]:
    """Return the taxa known only by their body plan that fit the body seen: offered, never ranked.

    Empty where the body plan was not answered.
    """
    body = next((each for each in observations if each.character == BODY_PLAN and not each.ruled_out), None)
    if body is None:
        return ()
    return tuple(
        Support(taxon, matrix.pack[taxon].rank, None)
        for taxon in matrix.by_body_only
        if not matrix.members(taxon) and matrix.states(taxon, BODY_PLAN) & body.states
    )


def _sum(model: Model, chances: Floats, members: frozenset[str]) -> float:
    return float(sum(chances[i] for i, taxon in enumerate(model.taxa) if taxon in members))
