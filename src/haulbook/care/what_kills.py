"""What kills: kept animals read back from the book, one line each lot, with what they went through.

A plain table. It shows what stands beside each death; it proves no cause.
"""

from __future__ import annotations

import statistics
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from haulbook.care.bucket_loads import BucketLoads, Stay, is_bucket
from haulbook.care.tank.diary import instant_of
from haulbook.custody.book import Book
from haulbook.custody.entry import Entry
from haulbook.custody.facts import Account, Animals
from haulbook.custody.fates import Fate
from haulbook.custody.places import is_tank
from haulbook.custody.replay import place_of

Ended = Literal["alive", "died", "killed", "given", "back", "lost"]

_IN_A_BUCKET: dict[Fate, Ended] = {
    Fate.DIED_RETAINED: "died",
    Fate.DIED_RELEASED: "died",
    Fate.FATE_UNKNOWN: "lost",
}
"""Ends at the beach that count where the animals had stood in a bucket."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A lot of animals that were kept, and what they went through.

    Attributes
    ----------
    taxon, stage, haul, n
    handling_h : float or None
        From the net on the beach (else the call) into the first tank, hours; None: no tank, or no clock time.
    bucket_load_mg_l_h : float or None
        Highest resting oxygen demand on a litre of the buckets they stood in, at the time; None where nobody
        said how much water was in it.
    lowest_oxygen_mg_l, warmest_c : float or None
        Among the readings of those buckets in that time.
    days_lived : float
        From the call to the end, or to the day of the table while they live.
    ended : {"alive", "died", "killed", "given", "back", "lost"}
        ``given`` and ``back``: no longer followed. ``lost``: missing, presumed dead.
    cause : str or None
        As written; None where nobody did.
    """

    taxon: str
    stage: str | None
    haul: str
    n: int
    handling_h: float | None
    bucket_load_mg_l_h: float | None
    lowest_oxygen_mg_l: float | None
    warmest_c: float | None
    days_lived: float
    ended: Ended
    cause: str | None


def kept_table(
    account: Account, book: Book, until: datetime, demand_mg_h: Callable[[str, float | None], float]
) -> tuple[Kept, ...]:
    """Return a line for each lot of kept animals, by taxon and haul.

    Kept are animals retained alive, and those that died or were lost after they had stood in a bucket. Egg
    masses, colonies, blades and grams are left out.

    Parameters
    ----------
    account : Account
        Read from the same book.
    until : datetime
        Zone-aware instant of the table; those alive have lived up to it.
    demand_mg_h : callable
        Resting demand of one animal in mg/h from taxon key (or ``?name``) and length in mm or None.
    """
    stood = book.standing(until)
    by_id = {entry.id: entry for entry in stood}
    landed = {haul.key: haul.landed for haul in account.hauls}
    loads = BucketLoads.of(stood, demand_mg_h)
    rows = []
    for animals in account.animals:
        path = _path(animals, by_id)
        later = animals.called.sort_key() > until  # written by a clock that is ahead
        if later or animals.unit != "individual" or not _was_kept(animals, path):
            continue
        start = (landed.get(animals.haul) or animals.called).instant
        into_tank = next((at for at, place in path if is_tank(place.place)), None)
        end, ended = _end(animals, path, until)
        worst = loads.worst(path, end)
        rows.append(
            Kept(
                taxon=animals.taxon,
                stage=animals.stage,
                haul=animals.haul,
                n=animals.n,
                handling_h=_hours(start, into_tank) if start and into_tank else None,
                bucket_load_mg_l_h=worst.load_mg_l_h,
                lowest_oxygen_mg_l=worst.lowest_oxygen_mg_l,
                warmest_c=worst.warmest_c,
                days_lived=max(0.0, _hours(animals.called.sort_key(), end) / 24.0),
                ended=ended,
                cause=animals.cause,
            )
        )
    return tuple(sorted(rows, key=lambda row: (row.taxon, row.haul)))


def _hours(start: datetime, end: datetime) -> float:
    return (end - start) / timedelta(hours=1)


def _was_kept(animals: Animals, path: list[Stay]) -> bool:
    if animals.fate is Fate.RETAINED_ALIVE:
        return True
    return animals.fate in _IN_A_BUCKET and any(is_bucket(place) for _, place in path)


def _path(animals: Animals, by_id: dict[str, Entry]) -> list[Stay]:
    """Return where a lot went, oldest first, under every name it has had."""
    known = [by_id[name] for name in animals.entries if name in by_id]
    names = {animals.taxon} | {
        line["was"]["taxon"]
        for entry in known
        if entry.kind == "redetermination"
        for line in entry.body["lines"]
    }
    return [
        (instant_of(entry), place_of(entry, line["haul"], line["to"]))
        for entry in known
        if entry.kind == "move"
        for line in entry.body["lines"]
        if line["haul"] == animals.haul and line["taxon"] in names
    ]


def _end(animals: Animals, path: list[Stay], until: datetime) -> tuple[datetime, Ended]:
    last = path[-1][0] if path else animals.called.sort_key()
    if animals.later:
        return animals.later[-1].at.sort_key(), animals.later[-1].kind
    if animals.fate in _IN_A_BUCKET:
        return last, _IN_A_BUCKET[animals.fate]
    return (last, "given") if animals.place == "given" else (until, "alive")


@dataclass(frozen=True, slots=True)
class TaxonLine:
    """All kept animals of a taxon together; medians weigh each animal once and are None without a value."""

    taxon: str
    n: int
    alive: int
    dead: int
    no_longer_followed: int
    handling_h: float | None
    bucket_load_mg_l_h: float | None
    days_lived_by_the_dead: float | None


def by_taxon(rows: Iterable[Kept]) -> tuple[TaxonLine, ...]:
    """Return a line for each taxon, those with most dead first."""
    grouped: dict[str, list[Kept]] = {}
    for row in rows:
        grouped.setdefault(row.taxon, []).append(row)
    lines = [_line(taxon, lots) for taxon, lots in grouped.items()]
    return tuple(sorted(lines, key=lambda line: (-line.dead, line.taxon)))


def _line(taxon: str, lots: list[Kept]) -> TaxonLine:
    dead = [lot for lot in lots if lot.ended in ("died", "killed", "lost")]
    alive = sum(lot.n for lot in lots if lot.ended == "alive")
    n, n_dead = sum(lot.n for lot in lots), sum(lot.n for lot in dead)
    return TaxonLine(
        taxon,
        n,
        alive,
        n_dead,
        n - alive - n_dead,
        _median((lot.handling_h, lot.n) for lot in lots),
        _median((lot.bucket_load_mg_l_h, lot.n) for lot in lots),
        _median((lot.days_lived, lot.n) for lot in dead),
    )


def _median(values: Iterable[tuple[float | None, int]]) -> float | None:
    known = [value for value, n in values if value is not None for _ in range(n)]
    return statistics.median(known) if known else None
