"""The check at a call: what the next animal does to every clause, said before it is in the keep bucket.

What is a fact (encountered, captured, died) is always taken and at most flagged; keeping, killing and the
next set can be blocked. Source: A4.3 rules 8-12, A4.4.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import IntEnum

from haulbook.custody.facts import Animals, Paper
from haulbook.custody.fates import Basis
from haulbook.permit.charge import raised
from haulbook.permit.detail import HoldingRule
from haulbook.permit.follow import Duty, Stopped, duties, stops
from haulbook.permit.headroom import NEEDS_ALLOWANCE, allowance
from haulbook.permit.model import Clause, Permit, Stop
from haulbook.permit.papers import holding_ends
from haulbook.permit.period import midnight, span
from haulbook.permit.scope import Meant
from haulbook.permit.state import State, States
from haulbook.permit.status import Status
from haulbook.permit.take import Take
from haulbook.permit.words import day_words


class Level(IntEnum):
    """How loudly something is said."""

    OK = 0
    NOTICE = 1
    WARN = 2
    ASK = 3
    BLOCK = 4


@dataclass(frozen=True, slots=True)
class Step:
    """What is about to be written: animals as they would be, and as they stand in the account until now.

    ``before`` is the row of the account they are taken out of; None for animals that are called just now.
    """

    after: Animals
    before: Animals | None = None

    def raises(self, basis: Basis) -> bool:
        """Whether the step raises a basis (rule 9): keeping an animal called before is no second capture."""
        return basis in self.after.bases and not (self.before and basis in self.before.bases)


@dataclass(frozen=True, slots=True)
class Line:
    """What one clause says to a step.

    ``state`` is the clause after the step; ``may`` how many of the step it lets pass, where it blocks.
    """

    level: Level
    message: str
    permit: str | None = None
    clause: str | None = None
    state: State | None = None
    quote: str | None = None
    may: int | None = None
    provisional: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """What all clauses say to a step.

    Attributes
    ----------
    lines : tuple of Line
        Loudest first.
    may : int
        How many of the animals may be kept or killed as asked; the number asked for where nothing blocks.
    release_now : bool
        The animal may never be kept, or a stop holds for it: let it go at once.
    duties : tuple of Duty
        Who has to be told because of this step.
    """

    lines: tuple[Line, ...]
    may: int
    release_now: bool
    duties: tuple[Duty, ...]

    @property
    def level(self) -> Level:
        """The loudest level."""
        return max((line.level for line in self.lines), default=Level.OK)

    @property
    def left(self) -> int | None:
        """The least that is left after the step over the clauses it raises; None where none has a number."""
        left = (line.state.remaining for line in self.lines if line.state)
        return min((n for n in left if n is not None), default=None)


def at_call(take: Take, step: Step, now: datetime, papers: Iterable[Paper] = ()) -> Answer:
    """Judge a step before it is written.

    Parameters
    ----------
    take : Take
        Everything so far, with the permits relied on.
    step : Step
        What is about to be written.
    now : datetime
        The instant of the decision; versions and periods go by the haul's landing.
    papers : iterable of Paper
        Papers so far: a stop of the permit ends with one that says ``cleared``.
    """
    papers = tuple(papers)
    before, after = States(take), States(_with(take, step))
    landing = span(take.landing(step.after), take.permits[0].tz)[0] if take.permits else now
    lines: list[Line] = []
    told: list[Duty] = []
    for permit in take.permits:
        if permit.in_force(landing) and after.take.charged(permit, step.after):
            judged = list(_clauses(before, after, permit, step, landing))
            lines += judged
            told += _new_duties(before, after, permit, judged)
    lines += _denied(take, step, landing)
    lines += _not_listed(take, step, landing)
    lines += _stopped(before, step, now, papers)
    lines += _held_too_long(take, step, landing)
    blocked = [line.may or 0 for line in lines if line.level is Level.BLOCK]
    lines.sort(key=lambda line: -line.level)
    return Answer(
        tuple(lines),
        min(blocked, default=step.after.n),
        _release_now(take, step, landing, lines),
        tuple(told),
    )


def _with(take: Take, step: Step) -> Take:
    """Return the take as it would be after the step."""
    animals = []
    for row in take.account.animals:
        if row is step.before:
            if row.n > step.after.n:
                animals.append(replace(row, n=row.n - step.after.n))
        else:
            animals.append(row)
    return take.with_account(replace(take.account, animals=(*animals, step.after)))


def _clauses(before: States, after: States, permit: Permit, step: Step, landing: datetime) -> Iterator[Line]:
    """Judge each counting clause whose basis the step raises."""
    haul = after.take.haul_of(step.after)
    clock = after.take.landing(step.after)
    for clause in permit.ruling(landing):
        if not clause.counts or clause.basis is None:
            continue
        raising = raised(clause, clause.basis, step.after, clock, permit)
        if raising is None or (step.before and raised(clause, clause.basis, step.before, clock, permit)):
            continue
        meant = after.take.meant(permit, clause, step.after)
        key = after.key_at(permit, clause, landing, haul.outing, haul.key)
        if meant is Meant.NOT or key is None:
            continue
        sure = meant is Meant.CERTAINLY and raising[0]
        yield _line(permit, before.state(permit, clause, key), after.state(permit, clause, key), sure, step)


def _line(permit: Permit, was: State, now: State, sure: bool, step: Step) -> Line:
    clause = now.clause
    level, may = Level.OK, None
    told = _told(now)
    over = now.over > was.over or (clause.kind == "percent" and now.status is Status.EXCEEDED)
    if sure and over:
        level = Level.BLOCK if clause.basis in NEEDS_ALLOWANCE else Level.WARN
        may = step.after.n - (now.over - was.over) if level is Level.BLOCK else None
        message = f"{told}: exceeded" + (f", {may} of {step.after.n} may" if may else "")
    elif now.worst is Status.EXCEEDED and (now.possible > was.possible or now.n > was.n):
        quiet = clause.possible == "certain_only"
        level = Level.OK if quiet else Level.ASK
        message = f"{told}, {now.worst_n} if all that is possible counts: name it, measure it or release it"
    elif now.status is Status.REACHED:
        level, message = Level.NOTICE, f"{told}: reached, nothing more may be added"
    elif now.status is Status.NEAR:
        level, message = Level.NOTICE, f"{told}: near, {now.remaining} left"
    else:
        message = f"{told}: {now.status}"
    haul_open = clause.kind == "percent"
    return Line(level, message, permit.no, clause.id, now, str(clause.source), may, haul_open)


def _told(state: State) -> str:
    clause = state.clause
    if clause.kind == "percent":
        return f"clause {clause.id}: {state.n} {clause.basis} of {state.d} {clause.of}"
    of = "" if clause.limit is None else f" of {clause.limit}"
    return f"clause {clause.id}: {state.n}{of} {clause.basis} per {clause.period.replace('_', ' ')}"


def _denied(take: Take, step: Step, landing: datetime) -> Iterator[Line]:
    """Refuse what no clause allows (rule 2): keeping and killing need an allowance."""
    for basis in sorted(NEEDS_ALLOWANCE):
        if not step.raises(basis):
            continue
        allowed = allowance(take, step.after, basis, landing)
        if allowed is Meant.NOT:
            said = f"no clause in force allows {step.after.taxon} to be {basis}: release it"
            yield Line(Level.BLOCK, said, may=0)
        elif allowed is Meant.POSSIBLY:
            said = f"{step.after.taxon} may be one that no clause allows to be {basis}: name it or release it"
            yield Line(Level.ASK, said)


def _not_listed(take: Take, step: Step, landing: datetime) -> Iterator[Line]:
    """Say once per taxon and outing that no clause speaks of it, or that no permit holds at all."""
    if not step.raises(Basis.CAPTURED):
        return
    outing = take.haul_of(step.after).outing
    known = any(
        row.taxon == step.after.taxon and take.haul_of(row).outing == outing and row is not step.before
        for row in take.account.animals
    )
    holding = [permit for permit in take.permits if permit.in_force(landing)]
    if not holding:
        yield Line(Level.WARN, "no permit is in force at this landing: take without a permit")
        return
    listed = any(
        clause.counts and take.meant(permit, clause, step.after) is not Meant.NOT
        for permit in holding
        for clause in permit.ruling(landing)
    )
    if not listed and not known:
        said = f"{step.after.taxon} is not listed in the permit: release it, note it, ask the agency"
        yield Line(Level.WARN, said)


def _stopped(before: States, step: Step, now: datetime, papers: tuple[Paper, ...]) -> Iterator[Line]:
    """Apply the stops that held before this step to keeping and killing."""
    if not any(step.raises(basis) for basis in (Basis.CAPTURED, *NEEDS_ALLOWANCE)):
        return
    keeping = any(step.raises(basis) for basis in NEEDS_ALLOWANCE)
    haul = before.take.haul_of(step.after)
    for permit in before.take.permits:
        for stop in stops(before, permit, now, haul.outing, haul.key, papers):
            clause = stop.state.clause
            meant = before.take.meant(permit, clause, step.after)
            if meant is Meant.NOT or stop.stop is not Stop.TAXON:
                continue
            level = Level.WARN
            if keeping:
                level = Level.BLOCK if meant is Meant.CERTAINLY else Level.ASK
            said = f"clause {clause.id}, {stop.why}: {stop.words}"
            yield Line(level, said, permit.no, clause.id, quote=str(clause.source), may=0)


def _held_too_long(take: Take, step: Step, landing: datetime) -> Iterator[Line]:
    if not step.raises(Basis.RETAINED):
        return
    for permit in take.permits:
        for clause in permit.ruling(landing):
            if isinstance(clause.detail, HoldingRule) and landing >= _end_of_holding(permit, clause):
                said = (
                    f"clause {clause.id}: animals may be held until {day_words(holding_ends(permit, clause))}"
                )
                yield Line(Level.BLOCK, said, permit.no, clause.id, quote=str(clause.source), may=0)


def _end_of_holding(permit: Permit, clause: Clause) -> datetime:
    return midnight(holding_ends(permit, clause) + timedelta(days=1), permit.tz)


def _new_duties(before: States, after: States, permit: Permit, judged: list[Line]) -> list[Duty]:
    """Return whom this step obliges somebody to tell."""
    then = [line.state for line in judged if line.state]
    earlier = [before.state(permit, state.clause, state.key) for state in then]
    known = {(duty.clause, duty.why, duty.haul) for duty in duties(before.take, permit, earlier)}
    return [
        duty for duty in duties(after.take, permit, then) if (duty.clause, duty.why, duty.haul) not in known
    ]


def _release_now(take: Take, step: Step, landing: datetime, lines: list[Line]) -> bool:
    """Whether the animal is one that may never be kept, or that a stop holds for."""
    stopped = any(line.level is Level.BLOCK and line.state is None and line.permit for line in lines)
    return stopped or any(
        clause.limit == 0
        and clause.basis is Basis.RETAINED
        and take.meant(permit, clause, step.after) is Meant.CERTAINLY
        for permit in take.permits
        if permit.in_force(landing)
        for clause in permit.ruling(landing)
    )


def held_stops(take: Take, now: datetime, outing: str, papers: Iterable[Paper] = ()) -> list[Stopped]:
    """Return the stops that forbid the next set of an outing (rule 16): those of outing and permit."""
    states = States(take)
    return [
        stop
        for permit in take.permits
        for stop in stops(states, permit, now, outing, None, papers)
        if stop.stop in (Stop.OUTING, Stop.PERMIT)
    ]
