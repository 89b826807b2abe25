"""How full each bucket was at every moment, replayed from the book: for the table of what kills."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from haulbook.care.tank.diary import instant_of
from haulbook.custody.entry import Entry
from haulbook.custody.lots import PlaceKey
from haulbook.custody.replay import own_place, place_of

Stay = tuple[datetime, PlaceKey]
"""When animals came to a place, and which place of which outing."""

Series = dict[PlaceKey, list[tuple[datetime, float]]]


@dataclass(frozen=True, slots=True)
class Worst:
    """The worst that animals met in their buckets; None where nobody wrote it down."""

    load_mg_l_h: float | None
    lowest_oxygen_mg_l: float | None
    warmest_c: float | None


@dataclass(frozen=True, slots=True)
class BucketLoads:
    """Oxygen demand per litre of each bucket over time, and its readings; made by `of`.

    Attributes
    ----------
    loads : Series
        Total resting demand in mg/h from that instant on; egg masses, colonies, blades and grams left out.
    litres, oxygen, warmth : Series
        What was said or read at that instant.
    """

    loads: Series
    litres: Series
    oxygen: Series
    warmth: Series

    @classmethod
    def of(cls, entries: Iterable[Entry], demand_mg_h: Callable[[str, float | None], float]) -> BucketLoads:
        """Return the loads replayed from standing entries, oldest first."""
        made = cls(defaultdict(list), defaultdict(list), defaultdict(list), defaultdict(list))
        for entry in entries:
            at, body = instant_of(entry), entry.body
            if entry.kind == "place" and "litres" in body:
                made.litres[own_place(entry)].append((at, body["litres"]))
            elif entry.kind == "reading" and "place" in body:
                for name, series in (("oxygen_mg_l", made.oxygen), ("temperature_c", made.warmth)):
                    if name in body:
                        series[own_place(entry)].append((at, body[name]))
            else:
                for place, change in _changes(entry, demand_mg_h):
                    totals = made.loads[place]
                    totals.append((at, (totals[-1][1] if totals else 0.0) + change))
        return made

    def worst(self, path: Sequence[Stay], end: datetime) -> Worst:
        """Return the worst of all bucket stays on a path that ends at ``end``."""
        loads: list[float] = []
        oxygen: list[float] = []
        warmth: list[float] = []
        leaves = [*(at for at, _ in path[1:]), end]
        for (came, place), left in zip(path, leaves, strict=False):  # a path without stays has no worst
            if not is_bucket(place):
                continue
            litres = _during(self.litres.get(place, []), came, left, standing=True)
            load = _during(self.loads.get(place, []), came, left, standing=True)
            if litres and load:
                loads.append(max(load) / min(litres))
            oxygen += _during(self.oxygen.get(place, []), came, left, standing=False)
            warmth += _during(self.warmth.get(place, []), came, left, standing=False)
        return Worst(max(loads, default=None), min(oxygen, default=None), max(warmth, default=None))


def is_bucket(place: PlaceKey) -> bool:
    """Say whether a place is a bucket or a cooler: small closed water."""
    return place.place.startswith(("bucket ", "cooler "))


def _changes(
    entry: Entry, demand_mg_h: Callable[[str, float | None], float]
) -> Iterable[tuple[PlaceKey, float]]:
    for line in entry.body.get("lines", ()):
        if line.get("unit", "individual") != "individual":
            continue
        if entry.kind == "move":
            demand = line["n"] * demand_mg_h(line["taxon"], line.get("length_mm"))
            yield place_of(entry, line["haul"], line["to"]), demand
            yield place_of(entry, line["haul"], line["from"]), -demand
        elif entry.kind == "redetermination":
            was, now = line["was"]["taxon"], line["now"]["taxon"]
            change = line["n"] * (demand_mg_h(now, None) - demand_mg_h(was, None))
            yield place_of(entry, line["haul"], line["place"]), change


def _during(
    series: list[tuple[datetime, float]], came: datetime, left: datetime, *, standing: bool
) -> list[float]:
    """Return the values between two instants; ``standing``: also the one that held when they came."""
    within = [value for at, value in series if came <= at <= left]
    before = [value for at, value in series if at < came]
    return (before[-1:] if standing else []) + within
