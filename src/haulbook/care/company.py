"""Who eats whom: which animals may share a bucket, where a new one goes, which bucket is emptied first.

The table is common practice, backed where evidence was read (crabs take shrimp and stickleback, sculpins take
young crabs, sand shrimp take mysids); it has no single published source.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from haulbook.care.company_table import (
    ALONE,
    ALONE_UNDER,
    BY_GROUP,
    HUNTERS,
    SENSITIVITY,
    VERDICTS,
    WHY,
    Class,
)
from haulbook.care.planning import HOUSE, PlanningDefaults

Level = Literal["ok", "short", "no", "never"]
_ORDER: tuple[Level, ...] = ("ok", "short", "no", "never")
_WORDS = {
    "ok": "get on",
    "short": "for a short time only",
    "by size": "by size",
    "no": "not in one bucket",
    "never": "never in one bucket",
}


@dataclass(frozen=True, slots=True)
class Guest:
    """An animal, or several alike, as company sees them.

    Attributes
    ----------
    taxon : str
        Key or name, for the words.
    kind : Class
        From `class_of`.
    shortest_mm, longest_mm : float or None
        None where nobody measured.
    """

    taxon: str
    kind: Class
    shortest_mm: float | None = None
    longest_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether two may share a bucket, and why (not)."""

    level: Level
    why: str


def class_of(
    group: str,
    lineage: Collection[str] = (),
    length_mm: float | None = None,
    planning: PlanningDefaults = HOUSE,
) -> Class:
    """Return the class of company that an animal belongs to.

    Parameters
    ----------
    group : str
        Animal group of the taxon pack; one that no table names travels alone.
    lineage : collection of str
        The taxon's own key and its ancestors'.
    length_mm : float or None
        Shell width decides between small and large crabs; a crab nobody measured is taken as large.
    """
    if ALONE_UNDER & set(lineage):
        return ALONE
    if "actiniaria" in lineage:
        return "jellies, anemones"
    if group == "crab" and length_mm is not None and length_mm < planning.large_crab_mm:
        return "small crabs"
    return BY_GROUP.get(group, ALONE)


def verdict(one: Guest, other: Guest, planning: PlanningDefaults = HOUSE) -> Verdict:
    """Return whether two animals may share a bucket; the order of the two does not matter."""
    if ALONE in (one.kind, other.kind):
        alone = one if one.kind == ALONE else other
        return Verdict("never", f"{alone.taxon} travels alone")
    pair = frozenset((one.kind, other.kind))
    level, both = VERDICTS[pair], f"{one.taxon} with {other.taxon}"
    why = f"{both}: {WHY.get(pair) or _WORDS[level]}"
    if level == "by size" or (level in ("ok", "short") and pair <= HUNTERS):
        fits = _fits(one, other, planning.company_ratio)
        if fits is False:
            return Verdict(
                "no",
                f"{both}: one is shorter than {planning.company_ratio:g} of the other",
            )
        if fits is None and level == "by size":
            return Verdict("no", f"{both}: only by size, and nobody measured them")
    return Verdict("ok" if level == "by size" else level, why)


def _fits(one: Guest, other: Guest, ratio: float) -> bool | None:
    if None in (one.shortest_mm, one.longest_mm, other.shortest_mm, other.longest_mm):
        return None
    shortest = min(one.shortest_mm or 0.0, other.shortest_mm or 0.0)
    longest = max(one.longest_mm or 0.0, other.longest_mm or 0.0)
    return shortest >= ratio * longest


def worst(newcomer: Guest, inside: Sequence[Guest], planning: PlanningDefaults = HOUSE) -> Verdict:
    """Return the worst verdict between a newcomer and everything already in a bucket."""
    verdicts = [verdict(newcomer, guest, planning) for guest in inside]
    return max(
        verdicts, key=lambda each: _ORDER.index(each.level), default=Verdict("ok", "the bucket is empty")
    )


@dataclass(frozen=True, slots=True)
class Choice:
    """A bucket for a new animal; None where none will do: it goes back or gets a bucket of its own."""

    place: str | None
    why: str
    short: bool = False


def best_bucket(
    newcomer: Guest,
    buckets: Mapping[str, Sequence[Guest]],
    minutes_low: Mapping[str, float | None] | None = None,
    planning: PlanningDefaults = HOUSE,
) -> Choice:
    """Return the bucket to put a new animal in.

    Like goes to like first, then to good company, then to an empty bucket, last to company for a short time;
    among equals the bucket with most minutes left (None: never runs out). A bucket at its limit takes nobody.
    """
    minutes = minutes_low or {}
    open_ones = []
    for place, inside in buckets.items():
        left = minutes.get(place)
        if left == 0.0:
            continue
        found = worst(newcomer, inside, planning)
        if found.level in ("no", "never"):
            continue
        like = any(guest.kind == newcomer.kind for guest in inside)
        rank = 3 if found.level == "short" else 2 if not inside else 0 if like else 1
        open_ones.append((rank, -(float("inf") if left is None else left), place, found))
    if not open_ones:
        return Choice(None, f"no bucket suits {newcomer.taxon}: put it back, or set up a bucket of its own")
    rank, _, place, found = min(open_ones, key=lambda each: each[:2])
    return Choice(place, found.why, short=rank == 3)


@dataclass(frozen=True, slots=True)
class Filled:
    """A bucket as it stands: who is in it and the minutes left at worst (None: never)."""

    place: str
    inside: tuple[Guest, ...]
    minutes_low: float | None


def empty_first(buckets: Sequence[Filled]) -> tuple[str, ...]:
    """Return the places in the order in which to sort them; empty buckets are left out.

    A bucket already below its limit goes first. Then oxygen need decides, most sensitive animal first:
    herring, silversides and salmonids, then shrimp and surfperch, tide-pool fish last; then minutes left.
    """

    def key(bucket: Filled) -> tuple[bool, int, float]:
        need = min(SENSITIVITY[guest.kind] for guest in bucket.inside)
        left = float("inf") if bucket.minutes_low is None else bucket.minutes_low
        return left > 0.0, need, left

    return tuple(bucket.place for bucket in sorted((b for b in buckets if b.inside), key=key))
