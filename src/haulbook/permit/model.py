"""A permit as data: clauses in all their versions, the taxa they mean, and what follows at a limit.

Fields and defaults are those of the permit language (``docs/reference/permit.md``). Nothing is judged here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from fractions import Fraction
from typing import Literal
from zoneinfo import ZoneInfo

from haulbook.custody.fates import Basis
from haulbook.permit.detail import Detail

Kind = Literal[
    "limit",
    "prohibit",
    "percent",
    "gear",
    "area",
    "hours",
    "people",
    "notice",
    "report",
    "stop",
    "holding",
    "biosecurity",
    "carry",
]
COUNTING: tuple[Kind, ...] = ("limit", "prohibit", "percent")
"""Kinds that count animals; the others are conditions on how the work is done."""

CONFIRMING = 2
"""People who compare a clause with the paper before it is first used."""

CLAUSE_BASES = tuple(basis for basis in Basis if basis is not Basis.RELEASED)
"""What a clause may count."""

_ONCE = frozenset({Basis.RETAINED, Basis.KILLED, Basis.DIED, Basis.LETHAL, Basis.SAMPLED})

UNITS = ("individual", "egg_mass", "colony", "blade", "gram")
STAGES = ("larva", "young", "adult", "egg mass")


class Period(StrEnum):
    """The span over which a clause counts."""

    HAUL = "haul"
    OUTING = "outing"
    DAY = "day"
    CALENDAR_YEAR = "calendar_year"
    PERMIT_YEAR = "permit_year"
    PERMIT_LIFE = "permit_life"


class Stop(StrEnum):
    """What ends when a clause is met; a stop never ends the recording or the release."""

    NONE = "none"
    TAXON = "taxon"
    HAUL = "haul"
    OUTING = "outing"
    PERMIT = "permit"


@dataclass(frozen=True, slots=True)
class Sizes:
    """A size class: ``min_mm`` <= length < ``max_mm``, measured as ``type`` (TL, SL, FL ...)."""

    min_mm: Fraction | None = None
    max_mm: Fraction | None = None
    type: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """Which animals a clause means.

    Attributes
    ----------
    everything : bool
        ``all = true``: every taxon, named or not.
    taxa : tuple of str
        Pack keys that the clause names; with ``list_name``, the frozen members of that list.
    list_name : str or None
        The list in the permit that the members were taken from.
    exclude : tuple of str
        Pack keys taken out again.
    life_stage, origin, sex : tuple of str
        Empty: any.
    stage_words : tuple of str
        Words for a finer stage ("smolt") that must stand in what was said; without them an animal of the
        coarser stage is *possible*.
    size : Sizes or None
    unit : str
        Only counts of this unit enter.
    area, gear : tuple of str
        Site keys; net keys. Empty: anywhere, any.
    purpose : str or None
        Purpose of the outing, where the permit splits by it.
    """

    everything: bool = False
    taxa: tuple[str, ...] = ()
    list_name: str | None = None
    exclude: tuple[str, ...] = ()
    life_stage: tuple[str, ...] = ()
    stage_words: tuple[str, ...] = ()
    origin: tuple[str, ...] = ()
    sex: tuple[str, ...] = ()
    size: Sizes | None = None
    unit: str = "individual"
    area: tuple[str, ...] = ()
    gear: tuple[str, ...] = ()
    purpose: str | None = None


@dataclass(frozen=True, slots=True)
class Consequence:
    """What follows at a limit.

    ``notify`` within ``within_h`` elapsed hours, in writing within ``written_within_d`` local days, counted
    from ``clock_from`` (the landing of the haul, or the event itself).
    """

    stop: Stop = Stop.NONE
    notify: str | None = None
    within_h: Fraction | None = None
    written_within_d: int | None = None
    clock_from: Literal["landed_at", "event"] = "landed_at"


@dataclass(frozen=True, slots=True)
class Source:
    """The clause in the permit's own words, and where it stands there."""

    text: str
    page: int | str | None = None
    section: str | None = None

    def __str__(self) -> str:
        where = [
            f"{word} {value}" for word, value in (("page", self.page), ("section", self.section)) if value
        ]
        return f"“{self.text}”" + (f" ({', '.join(where)})" if where else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Clause:
    """One clause in one version.

    Attributes
    ----------
    permit, id : str
    version : int
        From 1; an amendment is the next.
    effective_from, effective_to : datetime
        Half-open; ``effective_to`` is None for the version that has no end of its own.
    kind : str
    scope : Scope
    basis : Basis or None
        What is counted, for the counting kinds.
    limit : int or None
        None with kind ``limit``: allowed without a number. A prohibition has limit 0.
    percent : Fraction or None
        Percent of ``of``, judged from ``min_n`` of ``of`` on.
    instead_of : tuple of str
        Clauses out of which this one takes its animals.
    period : Period
    charge_by : {"capture", "event"}
    recaptures : {"each", "once"} or None
        None: as usual for what is counted, see ``counts_once``.
    possible : {"worst_case", "certain_only"} or None
        None: worst case while hauling, certain only in the report.
    mortality_window_h : Fraction
        Elapsed hours from the landing within which a later death counts, end included; 0: only on the beach.
    retained_is_lethal : bool
        Kept animals count as lethal take too.
    on_any, on_reach, on_exceed : Consequence or None
    reset : bool
        This amendment starts the count anew.
    detail : Detail or None
        Fields of the kinds that do not count.
    source : Source
    confirmed_by : tuple of str
        Keys of the people who compared the clause with the paper.
    """

    permit: str
    id: str
    version: int
    effective_from: datetime
    kind: Kind
    source: Source
    effective_to: datetime | None = None
    scope: Scope = field(default_factory=lambda: Scope(everything=True))
    basis: Basis | None = None
    limit: int | None = None
    percent: Fraction | None = None
    of: Basis | None = None
    min_n: int = 0
    instead_of: tuple[str, ...] = ()
    period: Period = Period.PERMIT_YEAR
    charge_by: Literal["capture", "event"] = "capture"
    recaptures: Literal["each", "once"] | None = None
    possible: Literal["worst_case", "certain_only"] | None = None
    mortality_window_h: Fraction = Fraction(48)
    retained_is_lethal: bool = False
    on_any: Consequence | None = None
    on_reach: Consequence | None = None
    on_exceed: Consequence | None = None
    reset: bool = False
    detail: Detail | None = None
    confirmed_by: tuple[str, ...] = ()

    @property
    def counts(self) -> bool:
        """Whether the clause counts animals."""
        return self.kind in COUNTING

    @property
    def allows(self) -> bool:
        """Whether the clause is an allowance of its basis: a limit above 0, or one without a number."""
        return self.kind == "limit" and self.limit != 0

    def counts_once(self, basis: Basis) -> bool:
        """Whether an animal caught again in the same period counts once: as said, else by the basis (A4.2)."""
        return self.recaptures == "once" if self.recaptures else basis in _ONCE

    def in_force(self, at: datetime) -> bool:
        """Whether this version rules at an instant (from included, to excluded)."""
        return self.effective_from <= at and (self.effective_to is None or at < self.effective_to)


@dataclass(frozen=True, slots=True)
class ChargeTo:
    """Another permit that animals are charged to instead, and this permit's own text that lets it."""

    permit: str
    source: Source


@dataclass(frozen=True, slots=True)
class TaxonList:
    """Taxa as the permit meant them on the day somebody checked: a later classification changes nothing."""

    name: str
    checked: date
    members: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Permit:
    """A permit with every version of every clause.

    ``valid_from`` is the first instant and ``valid_to`` the first instant after the end; ``ends_on`` is the
    last day as written. ``year_start`` (month, day) begins the permit year.
    """

    no: str
    holder: str
    zone: str
    valid_from: datetime
    valid_to: datetime
    ends_on: date
    year_start: tuple[int, int]
    needs_also: tuple[str, ...] = ()
    charge_to: ChargeTo | None = None
    papers: tuple[str, ...] = ()
    people: tuple[str, ...] = ()
    lists: Mapping[str, TaxonList] = field(default_factory=dict)
    clauses: tuple[Clause, ...] = ()

    @property
    def tz(self) -> ZoneInfo:
        """The zone in which the permit's days begin."""
        return ZoneInfo(self.zone)

    def in_force(self, at: datetime) -> bool:
        """Whether the permit holds at an instant."""
        return self.valid_from <= at < self.valid_to

    def versions(self, clause_id: str) -> tuple[Clause, ...]:
        """All versions of a clause, oldest first."""
        return tuple(clause for clause in self.clauses if clause.id == clause_id)

    @property
    def clause_ids(self) -> tuple[str, ...]:
        """Each clause's id once, in the permit's order."""
        return tuple(dict.fromkeys(clause.id for clause in self.clauses))

    def ruling(self, at: datetime) -> tuple[Clause, ...]:
        """The version of each clause that is in force at an instant."""
        return tuple(clause for clause in self.clauses if clause.in_force(at))

    def version_at(self, at: datetime) -> str:
        """The clause versions in force as one short text, ``1:1 2:3``, for a report to name."""
        return " ".join(f"{clause.id}:{clause.version}" for clause in self.ruling(at))
