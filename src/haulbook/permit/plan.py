"""What is planned for an outing, and the shape of a reason for or against it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Literal

from haulbook.custody.facts import Paper
from haulbook.gear import Net
from haulbook.permit.conditions import OneSet
from haulbook.permit.detail import Corner
from haulbook.permit.headroom import Headroom
from haulbook.permit.model import Clause, Permit

Word = Literal["GO", "GO WITH LIMITS", "NO-GO"]
Weight = Literal["no-go", "limit", "check", "ok"]


@dataclass(frozen=True, slots=True)
class PlannedHaul:
    """One set that is planned: net in the water and net on the beach, zone-aware."""

    number: int
    set_at: datetime
    landed_at: datetime | None = None
    net: str | None = None

    def __post_init__(self) -> None:
        # In UTC a difference is elapsed time; two times of one zone would be subtracted as wall clocks.
        object.__setattr__(self, "set_at", self.set_at.astimezone(UTC))
        if self.landed_at:
            object.__setattr__(self, "landed_at", self.landed_at.astimezone(UTC))


@dataclass(frozen=True, slots=True, kw_only=True)
class Going:
    """What is planned.

    Attributes
    ----------
    outing : str
    site : str or None
    position : (latitude, longitude) or None
    hauls : tuple of PlannedHaul
        At least one.
    ends : datetime or None
        Planned end, where a haul has no planned landing.
    crew : tuple of str
        Keys of the people who go.
    people_present : int or None
        Everybody on the beach.
    nets : tuple of Net
        The nets taken along.
    net_types : tuple of (net key, type)
        Where a permit names types of gear.
    permits : tuple of str
        Numbers of the permits the plan relies on.
    papers : tuple of Paper
        Those that belong to this outing (notice, receipt, permission) and reports sent.
    carried : frozenset of str or None
        Papers on the phone or in the bag; None where nobody said.
    looked_for : tuple of str
        Taxa the outing is after.
    purpose : str or None
    holding_room : int or None
        How many animals the holding room can take; None where nobody said.
    """

    outing: str
    hauls: tuple[PlannedHaul, ...]
    permits: tuple[str, ...]
    site: str | None = None
    position: Corner | None = None
    ends: datetime | None = None
    crew: tuple[str, ...] = ()
    people_present: int | None = None
    nets: tuple[Net, ...] = ()
    net_types: tuple[tuple[str, str], ...] = ()
    papers: tuple[Paper, ...] = ()
    carried: frozenset[str] | None = None
    looked_for: tuple[str, ...] = ()
    purpose: str | None = None
    holding_room: int | None = None

    @property
    def first_set(self) -> datetime:
        """When the net first goes into the water."""
        return min(haul.set_at for haul in self.hauls)

    @property
    def last_landing(self) -> datetime:
        """Planned last landing, or the planned end where only that is known."""
        ends = [end.astimezone(UTC) for haul in self.hauls if (end := haul.landed_at or self.ends)]
        return max([*ends, *(haul.set_at for haul in self.hauls)])

    def sets(self) -> tuple[OneSet, ...]:
        """The planned sets as the conditions see them."""
        return tuple(self._set(haul) for haul in sorted(self.hauls, key=lambda haul: haul.set_at))

    def _set(self, haul: PlannedHaul) -> OneSet:
        key = haul.net or (self.nets[0].key if len(self.nets) == 1 else None)
        net = next((net for net in self.nets if net.key == key), None)
        return OneSet(
            f"haul {haul.number}",
            haul.set_at,
            haul.landed_at or self.ends,
            self.site,
            self.position,
            net,
            dict(self.net_types).get(key) if key else None,
        )


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason for the word.

    Attributes
    ----------
    weight : {"no-go", "limit", "check", "ok"}
        ``check``: not judgeable from what is known, a person looks.
    message : str
    permit, clause : str or None
    quote : str or None
        The permit's own words.
    haul : int or None
        The planned haul it concerns; None: the outing.
    until : datetime or None
        When it stops being a reason.
    """

    weight: Weight
    message: str
    permit: str | None = None
    clause: str | None = None
    quote: str | None = None
    haul: int | None = None
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class Beforehand:
    """The answer: a word, its reasons (weightiest first), the word of each haul, and what is left."""

    word: Word
    reasons: tuple[Reason, ...]
    hauls: dict[int, Word] = field(default_factory=dict)
    headroom: tuple[Headroom, ...] = ()


def of_clause(
    weight: Weight,
    message: str,
    permit: Permit,
    clause: Clause,
    *,
    haul: int | None = None,
    until: datetime | None = None,
) -> Reason:
    """Return a reason that a clause gives, with the clause quoted."""
    return Reason(
        weight, f"clause {clause.id}: {message}", permit.no, clause.id, str(clause.source), haul, until
    )
