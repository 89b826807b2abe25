"""Which past hauls are like the next one, and what of them a clause counts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence

from haulbook.custody.facts import Animals, Haul
from haulbook.custody.fates import Basis
from haulbook.permit.charge import raised
from haulbook.permit.model import Clause, Permit
from haulbook.permit.period import clock
from haulbook.permit.scope import Meant
from haulbook.permit.take import Take

ENOUGH = 10
"""Comparable hauls from which on a probability is given."""

FAILED = 4
"""Condition of a haul whose catch was lost: it says nothing of what the next one brings."""


def comparable(hauls: Iterable[Haul], site: str, nets: Collection[str], month: int) -> tuple[Haul, ...]:
    """Return the hauls from which the next may be judged.

    Same site, one of the same nets, landed in the same month of any year or the month before or after, and not
    failed (a proposal of this project, no source). What the net did for the density plays no part: all that is
    handled counts.
    """
    return tuple(
        haul
        for haul in hauls
        if haul.site == site
        and haul.net in nets
        and haul.condition != FAILED
        and (when := clock(haul)) is not None
        and when.first_day.month == when.last_day.month
        and (when.first_day.month - month) % 12 in (0, 1, 11)
    )


def counted(
    take: Take, permit: Permit, clause: Clause, hauls: Sequence[Haul], basis: Basis
) -> Mapping[str, tuple[int, ...]]:
    """Return what each haul would add to a clause, by taxon; hauls in the order given.

    What may count is counted (worst case): this is asked while the animals are still in the water.
    """
    place = {haul.key: i for i, haul in enumerate(hauls)}
    found: dict[str, list[int]] = defaultdict(lambda: [0] * len(hauls))
    for animals in take.account.animals:
        if animals.haul in place and _adds(take, permit, clause, animals, basis):
            found[animals.taxon][place[animals.haul]] += animals.n
    return {taxon: tuple(counts) for taxon, counts in sorted(found.items())}


def _adds(take: Take, permit: Permit, clause: Clause, animals: Animals, basis: Basis) -> bool:
    return (
        take.meant(permit, clause, animals) is not Meant.NOT
        and raised(clause, basis, animals, take.landing(animals), permit) is not None
    )
