"""What a report finds about limits, percentages and allowances.

Source: A4.3 rules 2, 7, 8, 10-13, 16.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any

from haulbook.custody.facts import Animals
from haulbook.custody.fates import Basis, Fate
from haulbook.permit.charge import sampled
from haulbook.permit.detail import HoldingRule
from haulbook.permit.excess import Judged, beyond, course
from haulbook.permit.finding import Finding, of
from haulbook.permit.follow import WHAT_STOPS, met
from haulbook.permit.headroom import allowance
from haulbook.permit.model import Clause, Permit, Stop
from haulbook.permit.period import span
from haulbook.permit.scope import Meant
from haulbook.permit.state import State, entries_of
from haulbook.permit.status import Status
from haulbook.permit.take import Take

HOLD = "Tell the agency, hold the animals and wait for its instruction."
NEVER_RELABEL = "Do not put them back and do not record them as released."


def limits(take: Take, permit: Permit, history: Iterable[State]) -> Iterator[Finding]:
    """Yield what each limit and prohibition has to say."""
    latest = list(history)
    last_version = {(state.clause.id, state.key): state.clause.version for state in latest}
    for state in latest:
        clause, final = state.clause, last_version[state.clause.id, state.key] == state.clause.version
        yield from _over(take, permit, state)
        if state.status is Status.OVER_SINCE_AMENDMENT and final:
            said = f"limit lowered to {clause.limit} with {state.n} counted: nothing more may be added"
            yield of("limit-lowered", "note", said, permit, clause, **_numbers(state))
        if state.status is Status.REACHED and final and clause.kind != "percent":
            said = f"{_count(state)}: reached"
            yield of("reached", "note", said, permit, clause, **_numbers(state), advice=_stop_words(state))
        if final:
            yield from _unsure(permit, state)


def percentages(permit: Permit, history: Iterable[State]) -> Iterator[Finding]:
    """Yield what each percentage has to say, after every haul and, where a later line cleared it, within."""
    for state in history:
        if state.clause.kind != "percent":
            continue
        clause, label = state.clause, state.key.label
        judged = [each for each in course(state) if each.at >= clause.effective_from]
        first = next((each for each in judged if each.closed and each.status is Status.EXCEEDED), None)
        if first:
            said = f"{first.n} {clause.basis} of {first.d} {clause.of} after haul {first.haul}: exceeded"
            yield of(
                "exceeded",
                "finding",
                said,
                permit,
                clause,
                n=first.n,
                period=label,
                entries=state.entries,
                advice=_stop_words(state),
            )
        cleared = _cleared_later(judged)
        if cleared and not first:
            so_far = f"{cleared[0]} {clause.basis} of {cleared[1]} {clause.of}"
            said = f"{so_far} within a haul; later lines cleared it"
            yield of("exceeded", "note", said, permit, clause, n=cleared[0], period=label, provisional=True)
        if state.status is Status.PENDING and (state.n or state.d):
            yield of(
                "not-judged",
                "note",
                f"not judged, {state.n} of {state.d}",
                permit,
                clause,
                n=state.n,
                period=label,
            )
        elif state.status is Status.REACHED:
            said = f"{state.n} {clause.basis} of {state.d} {clause.of}: reached"
            yield of(
                "reached", "note", said, permit, clause, n=state.n, period=label, advice=_stop_words(state)
            )


def not_allowed(take: Take, permit: Permit, ours: list[Animals]) -> Iterator[Finding]:
    """Yield what was kept, killed or sampled though no clause of the permits together allows it."""
    done: list[tuple[Animals, Basis]] = [
        (animals, basis)
        for animals in ours
        for basis in (Basis.RETAINED, Basis.KILLED)
        if basis in animals.bases
    ]
    done += [(a, Basis.KILLED) for a in ours if any(event.kind == "killed" for event in a.later)]
    hauls = {animals.haul for animals in ours}
    done += [(animals, Basis.SAMPLED) for animals in sampled(take) if animals.haul in hauls]
    groups: dict[tuple[str, Basis, Meant], list[Animals]] = {}
    for animals, basis in done:
        haul, when = take.haul_of(animals), take.landing(animals)
        if take.held(permit, haul, when):
            allowed = allowance(take, animals, basis, span(when, permit.tz)[0])
            if allowed is not Meant.CERTAINLY:
                groups.setdefault((animals.taxon, basis, allowed), []).append(animals)
    for (taxon, basis, allowed), rows in groups.items():
        n = sum(animals.n for animals in rows)
        entries = tuple(dict.fromkeys(entry for animals in rows for entry in animals.entries))
        if allowed is Meant.NOT:
            said = f"{n} {taxon} {basis}; no clause in force allows that"
            alive = any(animals.fate is Fate.RETAINED_ALIVE for animals in rows)
            advice = f"{HOLD} {NEVER_RELABEL}" if alive and basis is Basis.RETAINED else None
            yield Finding(
                kind="not-allowed",
                grade="finding",
                message=said,
                permit=permit.no,
                n=n,
                entries=entries,
                advice=advice,
            )
        else:
            said = f"{n} {taxon} {basis}; whether a clause allows that hangs on the name: settle it"
            yield Finding(
                kind="not-allowed", grade="question", message=said, permit=permit.no, n=n, entries=entries
            )


def no_release(permit: Permit, at: datetime) -> list[Clause]:
    """Return the clauses that forbid letting go what was held."""
    return [
        clause
        for clause in permit.ruling(at)
        if isinstance(clause.detail, HoldingRule) and not clause.detail.release
    ]


def _over(take: Take, permit: Permit, state: State) -> Iterator[Finding]:
    too_many = list(beyond(state))
    n = sum(over for _, over in too_many)
    if not n:
        return
    clause = state.clause
    rows = [charge.animals for charge, _ in too_many]
    kind = "prohibited" if clause.limit == 0 else "exceeded"
    said = f"{_count(state)}: exceeded by {n}"
    if any(animals.haul_assumed for animals in rows):
        said += " (for some the haul is assumed: worst case)"
    entries = tuple(dict.fromkeys(entry for animals in rows for entry in animals.entries))
    yield of(
        kind,
        "finding",
        said,
        permit,
        clause,
        n=state.n,
        limit=clause.limit,
        period=state.key.label,
        entries=entries,
        advice=_advice(take, permit, state, rows),
    )


def _advice(take: Take, permit: Permit, state: State, rows: list[Animals]) -> str | None:
    """Return what to do with animals kept against the permit, and what stops."""
    parts = [_stop_words(state)]
    held = state.clause.basis is Basis.RETAINED and any(
        animals.fate is Fate.RETAINED_ALIVE and not animals.later for animals in rows
    )
    if held:
        parts.append(HOLD)
        at = span(take.landing(rows[-1]), permit.tz)[0]
        rules = [clause for clause in permit.ruling(at) if isinstance(clause.detail, HoldingRule)]
        forbidding = no_release(permit, at)
        if forbidding or not rules:
            parts += [NEVER_RELABEL, *(str(clause.source) for clause in forbidding)]
    return " ".join(part for part in parts if part) or None


def _unsure(permit: Permit, state: State) -> Iterator[Finding]:
    """Yield what the certain count leaves out."""
    clause = state.clause
    if state.possible and state.worst is not state.status:
        entries = entries_of(state.counted, Meant.POSSIBLY)
        said = f"{state.n} certain and {state.possible} possible: {state.worst} in the worst case"
        loud = clause.possible == "worst_case" and state.worst is Status.EXCEEDED
        yield of(
            "possible",
            "question" if loud else "note",
            said,
            permit,
            clause,
            n=state.worst_n,
            limit=clause.limit,
            period=state.key.label,
            entries=entries,
        )
    if state.unquantified:
        said = f"something was seen in {state.key.label} that nobody put a number to: give one"
        yield of("unquantified", "question", said, permit, clause, period=state.key.label)
    if state.estimated:
        said = f"{_count(state)}: part of it is estimated"
        yield of("estimated", "note", said, permit, clause, **_numbers(state))


def _cleared_later(judged: list[Judged]) -> tuple[int, int] | None:
    ends = {each.haul: each.status for each in judged if each.closed}
    for each in judged:
        if not each.closed and each.status is Status.EXCEEDED and ends[each.haul] is not Status.EXCEEDED:
            return each.n, each.d
    return None


def _count(state: State) -> str:
    clause = state.clause
    of_limit = "" if clause.limit is None else f" of {clause.limit}"
    return f"{state.n}{of_limit} {clause.basis} per {clause.period.replace('_', ' ')} ({state.key.label})"


def _numbers(state: State) -> dict[str, Any]:
    return {"n": state.n, "limit": state.clause.limit, "period": state.key.label, "entries": state.entries}


def _stop_words(state: State) -> str | None:
    stops = {each.consequence.stop for each in met(state)} - {Stop.NONE}
    return " ".join(f"{WHAT_STOPS[stop].capitalize()}." for stop in sorted(stops)) or None
