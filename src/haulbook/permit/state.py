"""Where every clause stands: counts, status and what is left, per period and version.

Source: A4.3 rules 4, 6, 7, 11-13.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from haulbook.custody.facts import Animals
from haulbook.custody.fates import Basis, Fate
from haulbook.permit import status as reckon
from haulbook.permit.charge import Charge, Charges, charges
from haulbook.permit.model import Clause, Period, Permit
from haulbook.permit.period import Key, clock, key_of_day
from haulbook.permit.scope import Meant
from haulbook.permit.status import Status
from haulbook.permit.take import Take


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """One version of a clause in one period.

    Attributes
    ----------
    permit : str
    clause : Clause
    key : Key
    n, possible : int
        Certain count, and what may count on top of it.
    carried, carried_possible : int
        The part of both that was there when this version came into force.
    d, d_worst : int or None
        Denominator of a percentage, and the one of its worst case.
    unquantified : bool
        Something was seen here that nobody put a number to.
    counted : tuple of Charge
        What counts, in order of time, possible ones too.
    counted_of : tuple of Charge
        The same for the denominator of a percentage.
    """

    permit: str
    clause: Clause
    key: Key
    n: int
    possible: int
    carried: int = 0
    carried_possible: int = 0
    d: int | None = None
    d_worst: int | None = None
    unquantified: bool = False
    counted: tuple[Charge, ...] = ()
    counted_of: tuple[Charge, ...] = ()

    @property
    def status(self) -> Status:
        """Status of the certain count."""
        return self._status(self.n, self.d, self.carried)

    @property
    def worst(self) -> Status:
        """Status if all that is possible counts."""
        return self._status(self.worst_n, self.d_worst, self.carried + self.carried_possible)

    @property
    def worst_n(self) -> int:
        """Certain and possible together."""
        return self.n + self.possible

    @property
    def remaining(self) -> int | None:
        """What is left; None without a number and for percentages."""
        return None if self.clause.kind == "percent" else reckon.remaining(self.n, self.clause.limit)

    @property
    def over(self) -> int:
        """How many are too many; 0 for percentages."""
        if self.clause.kind == "percent":
            return 0
        return reckon.over(self.n, self.clause.limit, carried=self.carried)

    @property
    def estimated(self) -> bool:
        """Whether a number that was not counted entered."""
        return any(charge.animals.basis != "counted" for charge in self.counted)

    @property
    def entries(self) -> tuple[str, ...]:
        """Ids of the entries behind the certain count."""
        return entries_of(self.counted, Meant.CERTAINLY)

    def _status(self, n: int, d: int | None, carried: int) -> Status:
        if self.clause.kind == "percent":
            assert self.clause.percent is not None  # noqa: S101 (the reader lets no percent clause without it)
            return reckon.status_of_percent(n, d or 0, self.clause.percent, self.clause.min_n)
        return reckon.status_of(n, self.clause.limit, carried=carried)


def entries_of(counted: Iterable[Charge], meant: Meant) -> tuple[str, ...]:
    """Return the entry ids behind charges of one certainty, each once."""
    return tuple(
        dict.fromkeys(
            entry for charge in counted if charge.meant is meant for entry in charge.animals.entries
        )
    )


class States:
    """Works out states over one take; remembers the charges of each clause version.

    Parameters
    ----------
    take : Take
    """

    def __init__(self, take: Take) -> None:
        self.take = take
        self._charges: dict[tuple[str, str, int, Basis | None], Charges] = take.worked_out

    def charges(self, permit: Permit, clause: Clause, basis: Basis | None = None) -> Charges:
        """Return what counts in a clause version, by period."""
        key = (permit.no, clause.id, clause.version, basis)
        if key not in self._charges:
            self._charges[key] = charges(self.take, permit, clause, basis)
        return self._charges[key]

    def state(self, permit: Permit, clause: Clause, key: Key, until: datetime | None = None) -> State:
        """Return where a clause version stands in a period, counting charges up to ``until`` included."""
        counted = self._counted(permit, clause, key, until, None)
        before = [charge for charge in counted if charge.at < clause.effective_from]
        of = self._counted(permit, clause, key, until, clause.of) if clause.kind == "percent" else ()
        return State(
            permit=permit.no,
            clause=clause,
            key=key,
            n=_sum(counted, Meant.CERTAINLY),
            possible=_sum(counted, Meant.POSSIBLY),
            carried=_sum(before, Meant.CERTAINLY),
            carried_possible=_sum(before, Meant.POSSIBLY),
            d=_sum(of, Meant.CERTAINLY) if clause.kind == "percent" else None,
            d_worst=_worst_denominator(of, counted) if clause.kind == "percent" else None,
            unquantified=key in self._present(permit, clause),
            counted=counted,
            counted_of=of,
        )

    def current(self, permit: Permit, at: datetime, outing: str, haul: str | None) -> Iterator[State]:
        """Yield the state of each counting clause in force at an instant, in the period then running."""
        for clause in permit.ruling(at):
            if clause.counts:
                key = self.key_at(permit, clause, at, outing, haul)
                if key:
                    yield self.state(permit, clause, key, at)

    def key_at(
        self, permit: Permit, clause: Clause, at: datetime, outing: str, haul: str | None
    ) -> Key | None:
        """Return the period of a clause that runs at an instant; None for a haul that nobody named."""
        if clause.period is Period.HAUL:
            return Key(Period.HAUL, haul, at, at) if haul else None
        if clause.period is Period.OUTING:
            return Key(Period.OUTING, outing, at, at)
        return key_of_day(clause.period, permit, at.astimezone(permit.tz).date())

    def history(self, permit: Permit, as_of: datetime) -> Iterator[State]:
        """Yield every state that ever mattered: each version over each period in which something counted."""
        for clause in permit.clauses:
            if not clause.counts or clause.effective_from > as_of:
                continue
            periods = set(self.charges(permit, clause)) | self._present(permit, clause)
            if clause.kind == "percent":
                periods |= set(self.charges(permit, clause, clause.of))
            for key in sorted(periods, key=lambda key: (key.start, key.label)):
                if key.meets(clause.effective_from, clause.effective_to) and key.start <= as_of:
                    yield self.state(permit, clause, key, as_of)

    def _counted(
        self, permit: Permit, clause: Clause, key: Key, until: datetime | None, basis: Basis | None
    ) -> tuple[Charge, ...]:
        """Return the charges of a period that a version counts: until its end, and from a reset on."""
        reset, end = _reset(permit, clause), clause.effective_to
        return tuple(
            charge
            for charge in self.charges(permit, clause, basis).get(key, ())
            if (until is None or charge.at <= until)
            and (end is None or charge.at < end)
            and (reset is None or charge.at >= reset)
        )

    def _present(self, permit: Permit, clause: Clause) -> set[Key]:
        """Return the periods in which something was seen that this clause may mean, without a number."""
        if clause.basis not in (Basis.ENCOUNTERED, Basis.CAPTURED, Basis.HANDLED):
            return set()
        found: set[Key] = set()
        for haul_key, taxon in self.take.account.present:
            haul = self.take.hauls.get(haul_key)
            when = clock(haul) if haul else None
            if haul is None or when is None or not self.take.held(permit, haul, when):
                continue
            seen = Animals(haul_key, taxon, 1, Fate.UNACCOUNTED, "net", when)
            if self.take.meant(permit, clause, seen) is not Meant.NOT:
                found.update(self.take.keys(permit, clause.period, haul, when))
        return found


def _reset(permit: Permit, clause: Clause) -> datetime | None:
    """Return the instant from which counting starts anew under this version, if an amendment said so."""
    starts = [
        version.effective_from
        for version in permit.versions(clause.id)
        if version.reset and version.version <= clause.version
    ]
    return max(starts, default=None)


def _worst_denominator(of: Iterable[Charge], counted: Iterable[Charge]) -> int:
    """Return the denominator that makes a percentage worst: of what is possible only the dead join it."""
    maybe_dead = {charge.line for charge in counted if charge.meant is Meant.POSSIBLY}
    return sum(charge.n for charge in of if charge.meant is Meant.CERTAINLY or charge.line in maybe_dead)


def _sum(counted: Iterable[Charge], meant: Meant) -> int:
    return sum(charge.n for charge in counted if charge.meant is meant)
