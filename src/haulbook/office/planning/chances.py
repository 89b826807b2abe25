"""How likely n more hauls overstep each counting clause, and the most hauls that keep it unlikely."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from haulbook.custody.facts import Haul
from haulbook.custody.fates import Basis
from haulbook.office.planning.breach import Counts, Hits, most_hauls, over_after, predict
from haulbook.office.planning.catch import ENOUGH, counted
from haulbook.permit.headroom import Headroom
from haulbook.permit.model import Clause, Period
from haulbook.permit.period import Key
from haulbook.permit.plan import Reason, of_clause
from haulbook.permit.state import State
from haulbook.permit.take import Take
from haulbook.publish.plan_parts import in_per_cent

UNLIKELY = 0.05
"""A breach less likely than this is unlikely (a proposal of this project, no source)."""

LOOK_AHEAD = 12
"""Hauls looked ahead: more than one tide holds."""

DRAWS = 10_000
"""At 5 % that many draws are off by 0.2 % (standard error of a share)."""

CHOSEN = frozenset({Basis.RETAINED, Basis.KILLED})
"""What people decide, not the sea: its chance is that of going on as before."""


@dataclass(frozen=True, slots=True)
class Chance:
    """One clause and the next hauls.

    Attributes
    ----------
    permit : str
    clause : Clause
    left : int or None
        Animals that may still be added before the clause is overstepped; None for percentages.
    by_hauls : tuple of float
        Probability that 1, 2, 3 ... hauls overstep it.
    most : int
        The most hauls, up to ``LOOK_AHEAD``, that keep the probability below 5 %.
    seen : int
        Animals on this clause's basis in the comparable hauls.
    """

    permit: str
    clause: Clause
    left: int | None
    by_hauls: tuple[float, ...]
    most: int
    seen: int

    @property
    def of_choice(self) -> bool:
        """Whether people decide it: they can stop, so it limits nothing by itself."""
        return self.clause.basis in CHOSEN

    def after(self, hauls: int) -> float:
        """Return the probability that so many hauls overstep the clause."""
        return self.by_hauls[min(hauls, len(self.by_hauls)) - 1]


@dataclass(frozen=True, slots=True)
class _Drawn:
    """Ways in which one clause's next hauls may go: counts, and the denominator of a percentage."""

    n: Counts
    d: Counts | None


class Forecast:
    """What hauls like some past ones may bring, drawn once and asked for many days.

    Parameters
    ----------
    take : Take
    hauls : sequence of Haul
        The comparable ones; with fewer than ten nothing is drawn.
    rng : numpy.random.Generator
        Handed in, seeded.
    """

    def __init__(self, take: Take, hauls: Sequence[Haul], rng: np.random.Generator) -> None:
        self._take = take
        self.hauls = tuple(hauls)
        self._seen: dict[tuple[str, str, int], int] = {}
        self._drawn: dict[tuple[str, str, int], tuple[_Drawn, ...]] = {}
        self._known: dict[tuple[str, str, int, int, int], Chance] = {}
        self._draws: dict[tuple[int, ...], Counts] = {}
        if self.enough:
            self._draw(rng)

    @property
    def enough(self) -> bool:
        """Whether there are comparable hauls enough for a probability."""
        return len(self.hauls) >= ENOUGH

    def chances(self, left: Iterable[Headroom], relied: Iterable[str], at: datetime) -> tuple[Chance, ...]:
        """Return the chance of each counting clause in force, given how it stands on the day.

        Parameters
        ----------
        left : iterable of Headroom
            Of the clauses that count over more than a haul.
        relied : iterable of str
            Numbers of the permits that the outing goes under.
        at : datetime
            When the net first goes into the water.
        """
        states = [room.state for room in left] + [*self._of_one_haul(relied, at)]
        return tuple(
            self._known_chance(state) for state in states if _key(state.permit, state.clause) in self._drawn
        )

    def _of_one_haul(self, relied: Iterable[str], at: datetime) -> Iterator[State]:
        """Yield the clauses that count anew in each haul: nothing is counted in them yet."""
        for permit in self._take.permits:
            if permit.no in relied and permit.in_force(at):
                for clause in permit.ruling(at):
                    if clause.counts and clause.period is Period.HAUL:
                        key = Key(Period.HAUL, "", at, at)
                        yield State(permit=permit.no, clause=clause, key=key, n=0, possible=0)

    def _known_chance(self, state: State) -> Chance:
        asked = (*_key(state.permit, state.clause), state.worst_n, state.d_worst or 0)
        if asked not in self._known:
            self._known[asked] = self._chance(state)
        return self._known[asked]

    def _draw(self, rng: np.random.Generator) -> None:
        take = self._take
        for permit in take.permits:
            for clause in permit.clauses:
                if not _can_be_drawn(clause) or clause.basis is None:
                    continue
                key = _key(permit.no, clause)
                by_taxon = counted(take, permit, clause, self.hauls, clause.basis)
                whole = _whole(by_taxon.values(), len(self.hauls))
                of = _whole(
                    counted(take, permit, clause, self.hauls, clause.of).values() if clause.of else (),
                    len(self.hauls),
                )
                d = self._drawn_once(of, rng) if clause.kind == "percent" else None
                ways = [self._drawn_once(whole, rng)]
                if len(by_taxon) > 1:
                    ways.append(sum((self._drawn_once(one, rng) for one in by_taxon.values()), _NONE))
                self._seen[key] = sum(whole)
                self._drawn[key] = tuple(_Drawn(way, d) for way in ways)

    def _drawn_once(self, past: tuple[int, ...], rng: np.random.Generator) -> Counts:
        """Draw each series once: clauses over the same animals see the same hauls."""
        if past not in self._draws:
            self._draws[past] = predict(past, LOOK_AHEAD, DRAWS, rng)
        return self._draws[past]

    def _chance(self, state: State) -> Chance:
        key = _key(state.permit, state.clause)
        ways = [over_after(_over(state, drawn)) for drawn in self._drawn[key]]
        # Taxon by taxon misses that a full net is full of everything; the sum by itself misses that one kind
        # varies more than the whole. The worse of the two is said.
        by_hauls = tuple(max(chances) for chances in zip(*ways, strict=True))
        left = None if state.clause.kind == "percent" else (state.clause.limit or 0) - state.worst_n
        return Chance(
            state.permit, state.clause, left, by_hauls, most_hauls(by_hauls, UNLIKELY), self._seen[key]
        )


_NONE: Counts = np.zeros((DRAWS, LOOK_AHEAD), dtype=np.int64)


def chance_reasons(chances: Iterable[Chance], take: Take, hauls: int) -> Iterator[Reason]:
    """Yield a limit for each clause that so many hauls are likely enough to overstep, unless people decide it."""
    permits = {permit.no: permit for permit in take.permits}
    for chance in chances:
        if chance.of_choice or chance.after(hauls) < UNLIKELY:
            continue
        hauls_said = f"{hauls} hauls" if hauls > 1 else "1 haul"
        most = f"at most {chance.most}" if chance.most else "not even 1"
        keeps = "keep" if chance.most > 1 else "keeps"
        said = (
            f"with {hauls_said} the chance to overstep it is {in_per_cent(chance.after(hauls))} %; "
            f"{most} {keeps} it below {100 * UNLIKELY:g} %"
        )
        yield of_clause("limit", said, permits[chance.permit], chance.clause)


def most_overall(chances: Iterable[Chance]) -> int | None:
    """Return the most hauls that keep every clause unlikely to be overstepped; None where none was drawn."""
    return min((chance.most for chance in chances if not chance.of_choice), default=None)


def _can_be_drawn(clause: Clause) -> bool:
    """Say whether a clause has something to overstep that past hauls tell of."""
    if not clause.counts or clause.basis in (None, Basis.SAMPLED):
        return False
    return clause.kind == "percent" or clause.limit is not None


def _over(state: State, drawn: _Drawn) -> Hits:
    clause = state.clause
    if clause.kind == "percent" and drawn.d is not None and clause.percent is not None:
        d = (state.d_worst or 0) + np.cumsum(drawn.d, axis=1)
        n = state.worst_n + np.cumsum(np.minimum(drawn.n, drawn.d), axis=1)
        over: Hits = (d >= clause.min_n) & (
            n * 100 * clause.percent.denominator > d * clause.percent.numerator
        )
        return over
    if clause.period is Period.HAUL:
        single: Hits = drawn.n > (clause.limit or 0)
        return single
    # What already stands over the limit is not made over by one more haul that brings none of it.
    room = max(0, (clause.limit or 0) - state.worst_n)
    summed: Hits = np.cumsum(drawn.n, axis=1) > room
    return summed


def _whole(series: Iterable[tuple[int, ...]], hauls: int) -> tuple[int, ...]:
    return tuple(map(sum, zip(*series, strict=True))) or (0,) * hauls


def _key(permit: str, clause: Clause) -> tuple[str, str, int]:
    return permit, clause.id, clause.version
