"""What the care room says of a bucket that filled and emptied over time, as plain JSON: so has the phone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

from haulbook.care.bucket import model
from haulbook.care.bucket.clock import Minutes, Water, act_now_mg_l, fresh_stress, target_mg_l
from haulbook.shore import Kit

HOUR_MS = 3_600_000
GROUPS = ("sculpin", "flatfish", "crab", "shrimp", "forage-fish")
Flow = Sequence[Mapping[str, Any]]
"""Who came and went: [{at ms, taxon, n}], n below 0 where they went."""


@dataclass(frozen=True)
class Case:
    """Oxygen and resting load in a bucket at an instant, for one of the three models; ``came`` ms: the last to come."""

    oxygen: float
    load: float = 0.0
    came: int = 0


def bucket_answer(
    kit: Kit, place: Mapping[str, Any], reading: Mapping[str, Any] | None, now: int
) -> dict[str, Any]:
    """Return minutes left until the planning target and until one has to act, piece by piece by the care room.

    Parameters
    ----------
    place : mapping
        ``litres``, ``airPerH`` (per hour or None), ``changedAt`` (ms or None), ``flow``.
    reading : mapping or None
        Body of a reading with ``at_ms``.
    now : int
        Milliseconds since 1970.
    """
    read, flow = reading or {}, sorted(place["flow"], key=lambda one: one["at"])
    water = Water(
        place["litres"],
        read.get("temperature_c", kit.oxygen.temperature_c),
        read.get("salinity", kit.oxygen.salinity),
        air_per_h=place["airPerH"] or 0.0,
    )
    since, oxygen = start_of(place, read, flow, now, water.saturation_mg_l)
    cases = [
        _followed(kit, flow, which, water, since, Case(oxygen, came=since), now)
        for which in ("mid", "high", "low")
    ]
    return {
        "target": _until(target_mg_l(water), water, cases, now),
        "act": _until(act_now_mg_l(water), water, cases, now),
        "mgL": round(cases[0].oxygen, 6),
    }


def start_of(
    place: Mapping[str, Any], read: Mapping[str, Any], flow: Flow, now: int, full: float
) -> tuple[int, float]:
    """Return from when on oxygen is followed: new water is saturated, a reading after it says what there was."""
    first = min([now, *(one["at"] for one in flow)])
    changed = place["changedAt"] if place["changedAt"] is not None and place["changedAt"] <= now else first
    said = read.get("oxygen_mg_l", read["oxygen_percent"] / 100 * full if "oxygen_percent" in read else None)
    if said is None or not changed <= read["at_ms"] <= now:
        return changed, full
    return read["at_ms"], min(full, said)


def demand(kit: Kit, taxon: str, temperature: float) -> dict[str, float]:
    """Return an animal's resting demand at a temperature, by the kit's factors with straight lines between degrees."""
    known = next((one for one in kit.taxa if one.key == taxon), None)
    each = known.mg_h if known else kit.oxygen.unnamed
    factors = kit.oxygen.warmth[known.uptake if known else kit.oxygen.unnamed_uptake]
    below = min(int(temperature), len(factors) - 2)
    factor = factors[below] + (factors[below + 1] - factors[below]) * (temperature - below)
    return {"mid": each.mid * factor, "low": each.low * factor, "high": each.high * factor}


def _followed(kit: Kit, flow: Flow, which: str, water: Water, at: int, case: Case, now: int) -> Case:
    """Return the case now: likely and worst under constant stress, the best ("low") with stress that wears off."""
    for one in (*(each for each in flow if each["at"] <= now), {"at": now, "n": 0, "taxon": "?"}):
        if one["at"] > at:
            case = Case(_later(case, which, water, at, one["at"]), case.load, case.came)
            at = one["at"]
        load = max(0.0, case.load + one["n"] * demand(kit, one["taxon"], water.temperature_c)[which])
        case = Case(case.oxygen, load, max(case.came, one["at"]) if one["n"] > 0 else case.came)
    return case


def _later(case: Case, which: str, water: Water, since: int, until: int) -> float:
    """Return the oxygen some time later with nobody coming or going."""
    hours, rest = (until - since) / HOUR_MS, (water.saturation_mg_l, water.litres)
    fresh = fresh_stress()
    if which != "low":
        return model.oxygen_after(hours, case.oxygen, *rest, case.load * fresh.multiplier, water.air_per_h)
    stress = fresh.after((since - case.came) / HOUR_MS)
    wears_off = (stress.multiplier, stress.decay_per_h or 0.0)
    return model.oxygen_after(hours, case.oxygen, *rest, case.load, water.air_per_h, *wears_off)


def _until(threshold: float, water: Water, cases: Sequence[Case], now: int) -> dict[str, Any]:
    likely, worst, best = cases
    fresh = fresh_stress()
    rest = (water.saturation_mg_l, water.litres)
    constant = [
        model.hours_until(threshold, case.oxygen, *rest, case.load * fresh.multiplier, water.air_per_h)
        for case in (likely, worst)
    ]
    stress = fresh.after((now - best.came) / HOUR_MS)
    calming = model.hours_until_calming(
        threshold,
        best.oxygen,
        *rest,
        best.load,
        water.air_per_h,
        stress.multiplier,
        stress.decay_per_h or 0.0,
    )
    left = Minutes(*(None if hours is None else hours * 60 for hours in (*constant, calming)))
    found = {"mid": left.middle, "low": left.low, "high": left.high}
    return {name: value if value is None else round(value, 6) for name, value in found.items()} | {
        "words": left.words()
    }


def random_bucket(kit: Kit, seed: int) -> dict[str, Any]:
    """Return a bucket with a history, what was read in it, and when it is asked about."""
    rng, begin = Random(seed), 1_790_000_000_000
    flow = _random_flow(rng, begin, [taxon.key for taxon in kit.taxa if taxon.group in GROUPS])
    place = {
        "place": "bucket 2",
        "litres": rng.choice((8, 14, 20.5, 60)),
        "airPerH": rng.choice((None, 0, 0.5, 2, 3.5)),
        "changedAt": rng.choice((None, None, begin - 60_000, begin + 900_000)),
        "flow": flow,
    }
    now = max([begin, *(one["at"] for one in flow)]) + rng.randint(0, 1_800_000)
    reading = {
        "temperature_c": rng.choice((4, 12.4, 17.9, 29.9)),
        "salinity": rng.choice((5, 31)),
        "at_ms": begin + rng.randint(0, 3_000_000),
    } | rng.choice(({}, {"oxygen_mg_l": 7.5}, {"oxygen_percent": 81}, {"oxygen_mg_l": 12}))
    return {"place": place, "reading": rng.choice((None, reading)), "now": now}


def _random_flow(rng: Random, at: int, keys: Sequence[str]) -> list[dict[str, Any]]:
    flow: list[dict[str, Any]] = []
    inside: list[tuple[str, int]] = []
    for _ in range(rng.randint(0, 14)):
        at += rng.randint(0, 600_000)
        if inside and rng.random() < 0.3:
            taxon, n = inside.pop(rng.randrange(len(inside)))
            flow.append({"at": at, "taxon": taxon, "n": -n})
        else:
            taxon, n = rng.choice((*keys, "?slimy")), rng.randint(1, 6)
            inside.append((taxon, n))
            flow.append({"at": at, "taxon": taxon, "n": n})
    return flow
