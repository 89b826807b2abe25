"""What a station knows of its gear: where each net was last, and what is done before it goes to the next site."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from haulbook.permit.detail import BiosecurityRule
from haulbook.permit.model import Permit


class OutingLine(Protocol):
    """What this needs of an outing: a line of a list."""

    @property
    def outing(self) -> str: ...  # noqa: D102
    @property
    def site(self) -> str: ...  # noqa: D102
    @property
    def nets(self) -> Collection[str]: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class Use:
    """The last outing on which a net was set."""

    outing: str
    site: str


@dataclass(frozen=True, slots=True)
class Cleaning:
    """What a clause asks to be done to gear. ``dry_h``: hours dry; None where it doesn't say."""

    permit: str
    clause: str
    do: str
    before: str
    dry_h: float | None
    words: str


def used_last(outings: Iterable[OutingLine], nets: Collection[str]) -> Mapping[str, Use]:
    """Return the last use of each net, outings in order of their keys."""
    found: dict[str, Use] = {}
    for line in outings:
        for net in line.nets:
            if net in nets:
                found[net] = Use(line.outing, line.site)
    return found


def cleanings(permits: Iterable[Permit], now: datetime) -> tuple[Cleaning, ...]:
    """Return what the clauses in force ask before the next site or a release."""
    return tuple(
        Cleaning(
            permit.no,
            clause.id,
            clause.detail.do,
            clause.detail.before,
            None if clause.detail.dry_h is None else float(clause.detail.dry_h),
            clause.source.text,
        )
        for permit in permits
        for clause in permit.ruling(now)
        if isinstance(clause.detail, BiosecurityRule)
    )
