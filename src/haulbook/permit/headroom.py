"""What is left: of each clause, and for one animal the least over all clauses and permits.

Source: A4.3 rules 1-3 and 8.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from haulbook.custody.facts import Animals
from haulbook.custody.fates import Basis
from haulbook.permit.model import Clause, Permit
from haulbook.permit.scope import Meant, Scoper
from haulbook.permit.state import State, States
from haulbook.permit.status import FULL
from haulbook.permit.take import Take

NEEDS_ALLOWANCE = frozenset({Basis.RETAINED, Basis.KILLED, Basis.SAMPLED})
"""What may only be done where a clause allows it (default deny)."""


@dataclass(frozen=True, slots=True)
class Headroom:
    """One clause as a phone needs it: its taxa written out, and what is left now.

    ``members`` are the pack keys that surely count, ``possible`` those that may. ``left`` is None where there
    is no number, and for percentages.
    """

    state: State
    members: tuple[str, ...]
    possible: tuple[str, ...]

    @property
    def left(self) -> int | None:
        """What may still be added."""
        return 0 if self.state.status in FULL else self.state.remaining


@dataclass(frozen=True, slots=True)
class Left:
    """What is left for one animal and one basis, and the state of the clause that says so.

    ``n`` is None where no clause has a number. ``allowed`` says whether some clause allows the basis at all.
    """

    n: int | None
    by: State | None
    allowed: Meant


def headroom(take: Take, at: datetime, outing: str, haul: str | None = None) -> tuple[Headroom, ...]:
    """Return every counting clause in force at an instant with its taxa and what is left of it."""
    states = States(take)
    return tuple(
        Headroom(state, *_expanded(take.scoper, take, state.clause))
        for permit in take.permits
        if permit.in_force(at)
        for state in states.current(permit, at, outing, haul)
    )


def left_for(states: States, animals: Animals, basis: Basis, at: datetime) -> Left:
    """Return the least that is left for these animals over all clauses and permits in force.

    Only clauses that surely mean them enter: what is merely possible warns, it does not block (rule 10).
    """
    take = states.take
    haul = take.haul_of(animals)
    least: tuple[int, State] | None = None
    for permit in _holding(take, at):
        for state in states.current(permit, at, haul.outing, haul.key):
            if state.clause.basis is not basis or state.remaining is None:
                continue
            if take.meant(permit, state.clause, animals) is not Meant.CERTAINLY:
                continue
            if least is None or state.remaining < least[0]:
                least = (state.remaining, state)
    allowed = allowance(take, animals, basis, at)
    if basis in NEEDS_ALLOWANCE and allowed is Meant.NOT:
        return Left(0, least[1] if least else None, allowed)
    return Left(least[0] if least else None, least[1] if least else None, allowed)


def allowance(take: Take, animals: Animals, basis: Basis, at: datetime) -> Meant:
    """Return how surely some clause of the permits in force allows a basis for these (rules 2 and 8).

    A ceiling on deaths is no allowance to kill, a limit of 0 none to keep: only a ``limit`` of that very
    basis with a number above 0, or without a number, allows.
    """
    best = Meant.NOT
    for permit in _holding(take, at):
        for clause in permit.ruling(at):
            if clause.allows and clause.basis is basis:
                best = max(best, take.meant(permit, clause, animals))
    return best


def _holding(take: Take, at: datetime) -> Sequence[Permit]:
    return [permit for permit in take.permits if permit.in_force(at)]


def _expanded(scoper: Scoper, take: Take, clause: Clause) -> tuple[tuple[str, ...], tuple[str, ...]]:
    answers = {key: scoper.by_taxon(clause.scope, key) for key in take.names.taxa}
    return (
        tuple(key for key, meant in answers.items() if meant is Meant.CERTAINLY),
        tuple(key for key, meant in answers.items() if meant is Meant.POSSIBLY),
    )
