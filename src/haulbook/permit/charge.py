"""Counts read from fates: what each animal adds to a clause, in which period, and how surely.

Source: A4.1 (bases), A4.2 (window, recaptures, charging), A4.3 rules 3, 5, 7, 14.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from haulbook.custody.facts import Animals, Later
from haulbook.custody.fates import Basis, Fate
from haulbook.custody.when import When
from haulbook.permit.marks import borne, given
from haulbook.permit.model import Clause, Period, Permit
from haulbook.permit.period import Key, clock, span
from haulbook.permit.scope import Meant
from haulbook.permit.take import Take


@dataclass(frozen=True, slots=True)
class Charge:
    """n animals that count in one period of a clause.

    ``at`` is the charged moment in UTC (landing or event), ``called`` when they came out of the sea; ``line``
    is their place in the account, None for samples.
    """

    key: Key
    at: datetime
    called: datetime
    n: int
    meant: Meant
    animals: Animals
    line: int | None = None
    event: Later | None = None


Charges = Mapping[Key, tuple[Charge, ...]]


def charges(take: Take, permit: Permit, clause: Clause, basis: Basis | None = None) -> Charges:
    """Return what counts in a clause, by period, in order of time.

    Parameters
    ----------
    clause : Clause
        One of the permit's counting clauses. Its own dates play no part here: use before an amendment still
        counts under it (rule 4).
    basis : Basis or None
        Counts this instead of the clause's own basis, as for the denominator of a percentage.
    """
    counted = basis or clause.basis
    found: list[Charge] = []
    if counted is Basis.SAMPLED:
        for animals in sampled(take):
            if take.charged(permit, animals):
                found += _of(take, permit, clause, animals, None, (True, None))
    elif counted is not None:
        for line, animals in _lines(take, clause):
            raising = raised(clause, counted, animals, take.landing(animals), permit)
            if raising and take.charged(permit, animals):
                found += _of(take, permit, clause, animals, line, raising)
    found.sort(key=lambda charge: (charge.at, charge.called, -1 if charge.line is None else charge.line))
    if counted is not None and clause.counts_once(counted):
        found = _once(take, permit, found)
    by_key: dict[Key, list[Charge]] = defaultdict(list)
    for charge in found:
        by_key[charge.key].append(charge)
    return {key: tuple(listed) for key, listed in by_key.items()}


def raised(
    clause: Clause, basis: Basis, animals: Animals, landing: When, permit: Permit
) -> tuple[bool, Later | None] | None:
    """Return whether an animal raises a basis: (surely, by which later event), or None.

    An animal raises a basis once, by its fate at the beach or else by the first later event that does.
    """
    if basis in animals.bases or (
        basis is Basis.LETHAL and clause.retained_is_lethal and Basis.RETAINED in animals.bases
    ):
        return True, None
    if basis in (Basis.KILLED, Basis.LETHAL):
        killed = next((event for event in animals.later if event.kind == "killed"), None)
        if killed:
            return True, killed
    if basis in (Basis.DIED, Basis.LETHAL):
        if animals.fate is Fate.FATE_UNKNOWN:
            return False, None
        for event in animals.later:
            inside = event.kind in ("died", "lost") and _in_window(clause, event, landing, permit)
            if inside:
                return inside is Meant.CERTAINLY and event.kind == "died", event
    return None


def sampled(take: Take) -> Iterator[Animals]:
    """Yield the animals of which tissue was taken, as the lengths sheet says: whatever their fate."""
    for taken in take.account.lengths:
        haul = take.hauls.get(taken.haul)
        when = clock(haul) if haul else None
        if taken.tissue and taken.mm and when:
            yield Animals(
                taken.haul,
                taken.taxon,
                len(taken.mm),
                Fate.UNACCOUNTED,
                "net",
                when,
                stage=taken.stage,
                sex=taken.sex,
                entries=(taken.entry,),
            )


def _lines(take: Take, clause: Clause) -> Iterator[tuple[int, Animals]]:
    """Yield the lines of the account that a clause may mean by unit and name."""
    for lines in take.alike.values():
        animals = lines[0][1]
        if animals.unit == clause.scope.unit and take.scoper.named(clause.scope, animals) is not Meant.NOT:
            yield from lines


def _of(
    take: Take,
    permit: Permit,
    clause: Clause,
    animals: Animals,
    line: int | None,
    raising: tuple[bool, Later | None],
) -> Iterable[Charge]:
    meant = take.meant(permit, clause, animals)
    if meant is Meant.NOT:
        return
    landing, (surely, event) = take.landing(animals), raising
    by_event = event and clause.charge_by == "event" and clause.period not in (Period.HAUL, Period.OUTING)
    periods: dict[Key, datetime] = {}
    for haul in take.may_be_of(animals):
        when = event.at if event and by_event else (haul.landed or landing)
        for key in take.keys(permit, clause.period, haul, when):
            periods.setdefault(key, span(when, permit.tz)[0])
    certain = meant if surely and len(periods) == 1 else Meant.POSSIBLY
    for key, at in periods.items():
        yield Charge(key, at, animals.called.sort_key(), animals.n, certain, animals, line, event)


def _in_window(clause: Clause, event: Later, landing: When, permit: Permit) -> Meant:
    """Return whether a later event falls within the mortality window, in elapsed time, end included."""
    if clause.mortality_window_h == 0:
        return Meant.NOT
    window = timedelta(seconds=float(clause.mortality_window_h * 3600))
    landed_first, landed_last = span(landing, permit.tz)
    event_first, event_last = span(event.at, permit.tz)
    if event_last - landed_first <= window:
        return Meant.CERTAINLY
    return Meant.POSSIBLY if event_first - landed_last <= window else Meant.NOT


def _once(take: Take, permit: Permit, found: list[Charge]) -> list[Charge]:
    """Leave out animals that the same period already counted, known by a mark it gave them (rule 14).

    In one haul no more can come back than were marked in earlier hauls; a mark that an earlier period gave
    too says nothing about when, so its bearer counts.
    """
    first_given = _first_given(take, permit)
    marked: dict[tuple[Key, str], list[tuple[datetime, str, int]]] = defaultdict(list)
    left_out: dict[tuple[Key, str, str], int] = defaultdict(int)
    kept = []
    for charge in found:
        mark, new = borne(charge.animals), given(charge.animals)
        if new and charge.meant is Meant.CERTAINLY:
            marked[charge.key, new].append((charge.at, charge.animals.haul, charge.n))
        if mark and first_given.get(mark, charge.key.start) >= charge.key.start:
            here = charge.animals.haul
            known = sum(n for at, haul, n in marked[charge.key, mark] if at <= charge.at and haul != here)
            out = min(charge.n, known - left_out[charge.key, here, mark])
            left_out[charge.key, here, mark] += out
            charge = replace(charge, n=charge.n - out)
        if charge.n:
            kept.append(charge)
    return kept


def _first_given(take: Take, permit: Permit) -> dict[str, datetime]:
    first: dict[str, datetime] = {}
    for animals in take.account.animals:
        mark = given(animals)
        if mark:
            at = span(take.landing(animals), permit.tz)[0]
            first[mark] = min(at, first.get(mark, at))
    return first
