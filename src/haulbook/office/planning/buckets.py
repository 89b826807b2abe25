"""How many buckets an outing needs, from what past hauls kept and brought; with none, a planning default."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from haulbook.care.bucket.clock import Water, fresh_stress, room_mg_h, target_mg_l
from haulbook.care.demand import NOTHING, Demand, demand_of
from haulbook.care.planning import HOUSE, PlanningDefaults
from haulbook.custody.facts import Account, Animals, Haul
from haulbook.custody.fates import Basis
from haulbook.exchange.plan_toml import Bucket
from haulbook.office.planning.past import Past, usual_water
from haulbook.taxa import Pack

LITRES = 14.0
"""Water in a bucket that one person carries; planning default."""
ENOUGH_IN = 0.9
"""Share of outings, drawn from past hauls, for which the buckets suffice; planning default."""
_RESAMPLES = 4000


@dataclass(frozen=True, slots=True)
class Buckets:
    """What the buckets have to bear and how many that takes.

    Attributes
    ----------
    keep : int
        For animals that are kept, reckoned with the middle of the demand.
    keep_at_worst : int
        With hungry, heavy animals.
    keep_with_air : int
        The same with a battery pump in each, at its weakest (planning default).
    litres, air_per_h : float
        Of one bucket, as the plan has it on average, or the planning default.
    temperature_c, salinity : float
    readings : int
        Past hauls whose reading that is; 0: planning default.
    carry_min : float
        From filling to new water or home.
    hauls : int
        Hauls planned.
    past : int
        Comparable hauls this stands on; 0: planning default.
    kept_most : int or None
        Animals kept in nine of ten outings at most.
    full_haul : int or None
        Animals of a full haul: nine of ten bring no more.
    sorting_holds : int or None
        How many animals of that catch one bucket bears while a haul is sorted.
    sorting_min : float
    have : int
        Keep buckets in the plan.
    suffices : bool or None
        Whether the plan's keep buckets bear what is likely kept; None without a plan.
    """

    keep: int
    keep_at_worst: int
    keep_with_air: int
    litres: float
    air_per_h: float
    temperature_c: float
    salinity: float
    readings: int
    carry_min: float
    hauls: int
    past: int
    kept_most: int | None
    full_haul: int | None
    sorting_holds: int | None
    sorting_min: float
    have: int
    suffices: bool | None

    @property
    def all(self) -> int:
        """Keep buckets, one to sort in and one of clear water, filled before the net stirs up the bottom."""
        return self.keep + 2


@dataclass(frozen=True, slots=True)
class _Haul:
    """Demand at rest and number of the animals of one haul that were kept, and of all that were handled."""

    kept: Demand
    kept_n: int
    handled: Demand
    handled_n: int


def buckets_needed(
    past: Past,
    hauls: Sequence[Haul],
    planned: int,
    buckets: Sequence[Bucket],
    sorting_min: float,
    pack: Pack,
    rng: np.random.Generator,
    planning: PlanningDefaults = HOUSE,
) -> Buckets:
    """Return the buckets that an outing needs.

    Oxygen decides: what is kept has to stay above 80 % of saturation from filling to new water. What is kept is
    drawn from the past hauls, so many as are planned, and the buckets suffice in nine draws of ten.

    Parameters
    ----------
    past : Past
    hauls : sequence of Haul
        The comparable ones.
    planned : int
        Hauls planned.
    buckets : sequence of Bucket
        Of the plan; empty without one.
    sorting_min : float
        Minutes a haul takes with its sorting.
    """
    keepers = [one for one in buckets if one.purpose == "keep"]
    temperature, salinity, readings = usual_water(past.waters, (haul.key for haul in hauls))
    each = _typical(keepers)
    water = _water(each, temperature, salinity)
    aired = replace(water, air_per_h=max(water.air_per_h, planning.pump_air_per_h_low))
    before = [_haul(past.account, haul, temperature, pack, planning) for haul in hauls]
    kept, kept_at_worst, kept_n = _drawn(before, planned, rng)
    full, holds = _sorting(before, water, sorting_min, planning)
    has = sum(_bears(_water(one, temperature, salinity), planning.carry_min, planning) for one in keepers)

    def number(load: float, of: Water) -> int:
        return max(1, math.ceil(load / _bears(of, planning.carry_min, planning) - 1e-9))

    return Buckets(
        keep=number(kept, water),
        keep_at_worst=number(kept_at_worst, water),
        keep_with_air=number(kept, aired),
        litres=each.litres,
        air_per_h=each.air_per_h or 0.0,
        temperature_c=temperature,
        salinity=salinity,
        readings=readings,
        carry_min=planning.carry_min,
        hauls=planned,
        past=len(before),
        kept_most=kept_n if before else None,
        full_haul=full,
        sorting_holds=holds,
        sorting_min=sorting_min,
        have=len(keepers),
        suffices=kept <= has if buckets and before else None,
    )


def _typical(keepers: Sequence[Bucket]) -> Bucket:
    if not keepers:
        return Bucket("bucket 1", "keep", LITRES)
    litres = sum(one.litres for one in keepers) / len(keepers)
    return Bucket("bucket 1", "keep", litres, min(one.air_per_h or 0.0 for one in keepers))


def _water(bucket: Bucket, temperature_c: float, salinity: float) -> Water:
    return Water(bucket.litres, temperature_c, salinity, air_per_h=bucket.air_per_h or 0.0)


def _bears(water: Water, minutes: float, planning: PlanningDefaults) -> float:
    """Return the demand at rest, mg/h, that a bucket bears for so long, animals being stressed by capture."""
    stress = fresh_stress(planning)
    return room_mg_h(water, NOTHING, target_mg_l(water, planning), stress, minutes) / stress.multiplier


def _sorting(
    past: Sequence[_Haul], water: Water, minutes: float, planning: PlanningDefaults
) -> tuple[int | None, int | None]:
    """Return the animals of a full haul, and how many of them one bucket bears while they are sorted."""
    if not past:
        return None, None
    full = sorted(past, key=lambda one: one.handled.mg_h)[int(ENOUGH_IN * (len(past) - 1))]
    if not full.handled_n:
        return 0, None
    return full.handled_n, int(_bears(water, minutes, planning) * full.handled_n // full.handled.mg_h)


def _haul(
    account: Account, haul: Haul, temperature_c: float, pack: Pack, planning: PlanningDefaults
) -> _Haul:
    lots = [lot for lot in account.animals if lot.haul == haul.key and lot.unit == "individual"]
    kept = [lot for lot in lots if Basis.RETAINED in lot.bases]
    handled = [lot for lot in lots if Basis.HANDLED in lot.bases]
    return _Haul(
        _demand(kept, temperature_c, pack, planning),
        sum(lot.n for lot in kept),
        _demand(handled, temperature_c, pack, planning),
        sum(lot.n for lot in handled),
    )


def _demand(lots: Iterable[Animals], temperature_c: float, pack: Pack, planning: PlanningDefaults) -> Demand:
    total = NOTHING
    for lot in lots:
        each = demand_of(pack.taxa.get(lot.taxon), temperature_c, length_mm=lot.length_mm, planning=planning)
        total += each.times(lot.n)
    return total


def _drawn(past: Sequence[_Haul], planned: int, rng: np.random.Generator) -> tuple[float, float, int]:
    """Return demand, demand at worst and number of the animals kept in nine of ten outings at most."""
    if not past:
        return 0.0, 0.0, 0
    picked = rng.integers(len(past), size=(_RESAMPLES, planned))
    rows = np.array([[one.kept.mg_h, one.kept.high, one.kept_n] for one in past])
    sums = rows[picked].sum(axis=1)
    load, worst, n = np.quantile(sums, ENOUGH_IN, axis=0, method="higher")
    return float(load), float(worst), int(n)
