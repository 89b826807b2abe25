"""What a report finds about how the work was done: gear, place, hours, number of sets, permits in force.

Source: A4.3 rules 15, 17 and 18.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime

from haulbook.custody.facts import Haul
from haulbook.permit.conditions import OneSet, Sun, check_number, check_set
from haulbook.permit.detail import GearRule
from haulbook.permit.finding import Finding, of
from haulbook.permit.grounds import Grounds
from haulbook.permit.model import CONFIRMING, Permit
from haulbook.permit.period import clock, span
from haulbook.permit.take import Take


def conditions(
    take: Take, permit: Permit, hauls: Iterable[Haul], grounds: Grounds, sun: Sun | None
) -> Iterator[Finding]:
    """Yield gear, area, hours and number of sets that were not as the permit says, or can't be judged."""
    sets = [(haul, _one_set(haul, permit, grounds)) for haul in hauls]
    unknown: dict[tuple[str, int, str], list[str]] = {}
    for haul, one in sets:
        when = haul.started or clock(haul)
        at = span(when, permit.tz)[0] if when else permit.valid_from
        for clause in permit.ruling(at):
            for check in check_set(permit, clause, one, sun):
                if check.verdict == "broken":
                    yield of("condition", "finding", f"haul {haul.key}: {check.message}", permit, clause)
                elif check.verdict == "unknown":
                    unknown.setdefault((clause.id, clause.version, check.message), []).append(haul.key)
    yield from _too_many_sets(permit, sets)
    for (clause_id, version, message), keys in unknown.items():
        clause = next(c for c in permit.versions(clause_id) if c.version == version)
        said = f"{message}; for a person to check in {len(keys)} {'haul' if len(keys) == 1 else 'hauls'}"
        yield of("to-check", "note", said, permit, clause)


def without_permit(take: Take, permit: Permit, hauls: Iterable[Haul]) -> Iterator[Finding]:
    """Yield hauls that were set or landed while no permit was in force."""
    for haul in hauls:
        when = clock(haul)
        if when and not take.covered(haul, when):
            began = haul.started or when
            said = f"haul {haul.key}: no permit in force from {began.text} on to the landing"
            advice = "Report its animals as take without a permit, on rows of their own."
            yield Finding(kind="no-permit", grade="finding", message=said, permit=permit.no, advice=advice)


def unconfirmed(permit: Permit, as_of: datetime) -> Iterator[Finding]:
    """Yield clauses that fewer than two people have compared with the paper."""
    for clause in permit.clauses:
        if clause.effective_from <= as_of and len(set(clause.confirmed_by)) < CONFIRMING:
            people = f"{len(set(clause.confirmed_by))} of {CONFIRMING} people"
            said = f"version {clause.version} was compared with the paper by {people}"
            yield of("unconfirmed", "question", said, permit, clause)


def _too_many_sets(permit: Permit, sets: list[tuple[Haul, OneSet]]) -> Iterator[Finding]:
    for clause in permit.clauses:
        by_outing: dict[str, list[OneSet]] = {}
        for haul, one in sets:
            began = one.set_at or one.landed_at
            if began and clause.in_force(began):
                per_day = isinstance(clause.detail, GearRule) and clause.detail.per == "day"
                by_outing.setdefault("" if per_day else haul.outing, []).append(one)
        for together in by_outing.values():
            together.sort(key=lambda one: one.set_at or one.landed_at or permit.valid_from)
            for one, check in check_number(permit, clause, together):
                if check.verdict == "broken":
                    yield of("condition", "finding", f"{one.label}: {check.message}", permit, clause)


def _one_set(haul: Haul, permit: Permit, grounds: Grounds) -> OneSet:
    landed = haul.landed.instant if haul.landed else None
    spot = grounds.sites.get(haul.site or "")
    lat, lon = (
        (haul.lat, haul.lon) if haul.lat is not None else (spot.lat, spot.lon) if spot else (None, None)
    )
    position = (lat, lon) if lat is not None and lon is not None else None
    set_at = haul.started.instant if haul.started else None
    return OneSet(f"haul {haul.key}", set_at, landed, haul.site, position, grounds.nets.get(haul.net or ""))
