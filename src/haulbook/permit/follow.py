"""What follows when a clause is met: who has to be told by when, and what stops.

Source: A4.2 (on_any, on_reach, on_exceed), A4.3 rules 15 and 16.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from haulbook.custody.facts import Paper
from haulbook.permit.charge import Charge
from haulbook.permit.excess import course
from haulbook.permit.model import Consequence, Permit, Stop
from haulbook.permit.papers import about, moment
from haulbook.permit.period import span
from haulbook.permit.scope import Meant
from haulbook.permit.state import State, States
from haulbook.permit.status import Status
from haulbook.permit.take import Take

WHAT_STOPS = {
    Stop.TAXON: "keep none, release at once and unhandled where possible, no set where it is expected",
    Stop.HAUL: "open the net and end this haul",
    Stop.OUTING: "no further set on this outing",
    Stop.PERMIT: "no outing under this permit until the agency has cleared it",
}
"""What each stop means on the beach. None of them ends the recording or the release."""


@dataclass(frozen=True, slots=True)
class Met:
    """A consequence whose condition is fulfilled, and the charge that fulfilled it."""

    state: State
    consequence: Consequence
    why: str
    charge: Charge


@dataclass(frozen=True, slots=True)
class Duty:
    """Somebody who has to be told.

    ``since`` starts the clock (elapsed time); ``by`` and ``written_by`` are the last moment and the last day.
    """

    permit: str
    clause: str
    version: int
    to: str
    why: str
    haul: str
    since: datetime
    by: datetime | None
    written_by: date | None
    quote: str
    entries: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stopped:
    """A stop in force: ``outing`` and ``haul`` are those of the charge that brought it about."""

    stop: Stop
    state: State
    since: datetime
    outing: str
    haul: str
    why: str

    @property
    def words(self) -> str:
        """The stop in words."""
        return WHAT_STOPS[self.stop]


def met(state: State) -> Iterator[Met]:
    """Yield the consequences that hold in a state: on_any for each haul, the others once."""
    clause = state.clause
    certain = [charge for charge in state.counted if charge.meant is Meant.CERTAINLY]
    if not certain:
        return
    if clause.on_any:
        first_of_haul: dict[str, Charge] = {}
        for charge in certain:
            first_of_haul.setdefault(charge.animals.haul, charge)
        for charge in first_of_haul.values():
            yield Met(state, clause.on_any, f"any {clause.basis} animal", charge)
    if clause.on_reach and state.status in (Status.REACHED, Status.EXCEEDED):
        yield Met(state, clause.on_reach, "limit reached", _crossing(state, certain, above=False))
    if clause.on_exceed and state.status is Status.EXCEEDED:
        yield Met(state, clause.on_exceed, "limit exceeded", _crossing(state, certain, above=True))


def duties(take: Take, permit: Permit, states: Iterable[State]) -> list[Duty]:
    """Return everybody who has to be told, each with the clock that runs."""
    found: dict[tuple[str, str, str, str], Duty] = {}
    for state in states:
        for fulfilled in met(state):
            if fulfilled.consequence.notify:
                duty = _duty(take, permit, fulfilled)
                found.setdefault((duty.clause, duty.to, duty.why, duty.haul), duty)
    return list(found.values())


def stops(
    states: States, permit: Permit, at: datetime, outing: str, haul: str | None, papers: Iterable[Paper]
) -> list[Stopped]:
    """Return the stops that hold at an instant on an outing.

    A stop of the permit lasts until a paper ``cleared`` came after it; the others end with their haul, outing
    or period.
    """
    papers = tuple(papers)
    running = [
        _stopped(states.take, each)
        for state in states.current(permit, at, outing, haul)
        for each in met(state)
    ]
    ever = [_stopped(states.take, each) for state in states.history(permit, at) for each in met(state)]
    held = [each for each in running if each.stop is Stop.TAXON]
    held += [each for each in running if each.stop is Stop.OUTING and each.outing == outing]
    held += [each for each in running if each.stop is Stop.HAUL and each.haul == haul]
    held += [each for each in ever if each.stop is Stop.PERMIT]
    return [each for each in held if not _cleared(each, permit, papers)]


def _stopped(take: Take, fulfilled: Met) -> Stopped:
    last = [charge for charge in fulfilled.state.counted if charge.meant is Meant.CERTAINLY][-1].animals
    return Stopped(
        fulfilled.consequence.stop,
        fulfilled.state,
        fulfilled.charge.at,
        take.haul_of(last).outing,
        last.haul,
        fulfilled.why,
    )


def _cleared(stopped: Stopped, permit: Permit, papers: Iterable[Paper]) -> bool:
    return any(
        paper.act == "cleared"
        and about(paper, permit, stopped.state.clause.id)
        and moment(paper, permit) > stopped.since
        for paper in papers
    )


def _duty(take: Take, permit: Permit, fulfilled: Met) -> Duty:
    rule, charge, clause = fulfilled.consequence, fulfilled.charge, fulfilled.state.clause
    event = charge.event if rule.clock_from == "event" else None
    since = span(event.at if event else take.landing(charge.animals), permit.tz)[0]
    by = since + timedelta(seconds=float(rule.within_h * 3600)) if rule.within_h is not None else None
    written = None
    if rule.written_within_d is not None:
        written = since.astimezone(permit.tz).date() + timedelta(days=rule.written_within_d)
    return Duty(
        permit.no,
        clause.id,
        clause.version,
        rule.notify or "",
        fulfilled.why,
        charge.animals.haul,
        since.astimezone(permit.tz),
        by.astimezone(permit.tz) if by else None,
        written,
        str(clause.source),
        charge.animals.entries,
    )


def _crossing(state: State, certain: list[Charge], *, above: bool) -> Charge:
    """Return the charge with which the count met the limit, or went above it.

    A percentage is met by the haul after which it first was; its last line stands for it.
    """
    if state.clause.kind == "percent":
        met_by = {Status.EXCEEDED} if above else {Status.REACHED, Status.EXCEEDED}
        hauls = (each.haul for each in course(state) if each.closed and each.status in met_by)
        first = next(hauls, None)
        return next((charge for charge in reversed(certain) if charge.animals.haul == first), certain[-1])
    if state.clause.limit is None:
        return certain[-1]
    bar = max(state.clause.limit, state.carried) + 1 if above else state.clause.limit
    total = 0
    for charge in certain:
        total += charge.n
        if total >= bar:
            return charge
    return certain[-1]
