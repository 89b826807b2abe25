"""Which animals went beyond a limit, and when a percentage was above its mark.

Source: A4.3 rules 4, 12 and 13: each version answers for what was added while it was in force.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from haulbook.permit.charge import Charge
from haulbook.permit.scope import Meant
from haulbook.permit.state import State
from haulbook.permit.status import Status, status_of_percent


def beyond(state: State) -> Iterator[tuple[Charge, int]]:
    """Yield each charge that went beyond the limit, and how many of it; the last to come are the ones."""
    clause = state.clause
    if clause.kind == "percent" or clause.limit is None:
        return
    bar, total = max(clause.limit, state.carried), 0
    for charge in state.counted:
        if charge.meant is not Meant.CERTAINLY:
            continue
        total += charge.n
        if total > bar:
            yield charge, min(charge.n, total - bar)


@dataclass(frozen=True, slots=True)
class Judged:
    """A percentage after a line, or at the end of a haul; ``at`` is the landing."""

    haul: str
    at: datetime
    n: int
    d: int
    status: Status
    closed: bool


def course(state: State) -> Iterator[Judged]:
    """Yield how a percentage stood after every line, and at the end of every haul (rule 12).

    Lines called at the same instant are one: a sheet gives the whole haul one time.
    """
    clause = state.clause
    assert clause.percent is not None  # noqa: S101 (the reader lets no percent clause without it)
    both = [(charge, charge.n, 0) for charge in state.counted]
    both += [(charge, 0, charge.n) for charge in state.counted_of]
    sure = [each for each in both if each[0].meant is Meant.CERTAINLY]
    sure.sort(key=lambda each: (each[0].at, each[0].animals.haul, each[0].called))
    n = d = 0
    for (at, haul), of_haul in groupby(sure, key=lambda each: (each[0].at, each[0].animals.haul)):
        for _, together in groupby(of_haul, key=lambda each: each[0].called):
            for _, died, caught in together:
                n, d = n + died, d + caught
            status = status_of_percent(n, d, clause.percent, clause.min_n)
            yield Judged(haul, at, n, d, status, closed=False)
        yield Judged(haul, at, n, d, status_of_percent(n, d, clause.percent, clause.min_n), closed=True)


def lines_beyond(states: Iterable[State]) -> dict[int, tuple[int, str]]:
    """Return for each line of the account how many went beyond some limit, and which clause says so."""
    found: dict[int, tuple[int, str]] = {}
    for state in states:
        for charge, n in beyond(state):
            if charge.line is not None and n > found.get(charge.line, (0, ""))[0]:
                found[charge.line] = (n, state.clause.id)
    return found
