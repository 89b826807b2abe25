"""Draws three seasons of hauls at an invented cove.

Every density, trend and habit below is invented. Counts are negative binomial, because animals come in
schools and a Poisson crew would be too lucky.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

ZONE = ZoneInfo("America/New_York")
SEED = 20260914

FIRST_SETS = (
    # Outing day and the minute the net first goes in, an hour before the low of the afternoon. Invented.
    "2024-05-09T13:30", "2024-06-07T13:05", "2024-07-06T12:50", "2024-08-05T13:25", "2024-09-04T13:45",
    "2025-05-28T13:35", "2025-06-26T13:20", "2025-07-25T13:10", "2025-08-24T13:40", "2025-09-22T13:15",
    "2026-05-18T13:50", "2026-06-16T13:40", "2026-07-15T13:30", "2026-08-13T13:20", "2026-09-11T13:05",
)  # fmt: skip
HAULS_PER_OUTING = 4
SUBSAMPLE_FROM = 250
SCOOPS = 12
SCOOPS_COUNTED = 3


@dataclass(frozen=True, slots=True)
class Kind:
    """How one taxon and stage behaves at the cove (all invented).

    ``per_100_m2`` in June of the first year; ``k`` of the negative binomial; ``months`` factor by month;
    ``a_year`` factor by which the bed's density changes from year to year; ``dies`` share found dead.
    """

    taxon: str
    name: str
    stage: str | None
    per_100_m2: float
    k: float
    months: tuple[float, float, float, float, float]
    a_year: float = 1.0
    dies: float = 0.0
    length_mm: tuple[float, float] | None = None


_EVEN = (1.0, 1.0, 1.0, 1.0, 1.0)
_SUMMER = (0.3, 0.7, 1.3, 1.6, 1.0)
_SPRING = (1.5, 1.0, 0.7, 0.5, 0.5)
KINDS = (
    Kind("atlantic-silverside", "silverside", None, 55.0, 0.7, _SUMMER, 1.0, 0.012, (62, 12)),
    Kind("mummichog", "mummichog", None, 9.0, 0.8, _EVEN, 1.0, 0.004, (58, 14)),
    Kind("striped-killifish", "striped killifish", None, 6.0, 0.7, _EVEN),
    Kind("fourspine-stickleback", "fourspine stickleback", None, 14.0, 1.1, _SPRING, 1.05, 0.006, (36, 6)),
    Kind("threespine-stickleback", "threespine stickleback", None, 4.0, 0.9, _SPRING, 1.0, 0.004),
    Kind("northern-pipefish", "northern pipefish", None, 5.0, 1.3, _SUMMER, 1.3, 0.002, (128, 31)),
    Kind("cunner", "cunner", "young", 3.5, 1.0, _SUMMER),
    Kind("tautog", "tautog", "young", 1.8, 0.9, _SUMMER),
    Kind("winter-flounder", "winter flounder", "young", 3.0, 1.0, _SUMMER, 0.85, 0.0, (44, 11)),
    Kind("grubby", "grubby", None, 1.2, 0.8, _EVEN),
    Kind("rock-gunnel", "rock gunnel", None, 0.7, 0.8, _SPRING),
    Kind("american-eel", "eel", "young", 0.5, 0.7, _SPRING),
    Kind("atlantic-tomcod", "tomcod", "young", 0.6, 0.5, _SPRING),
    Kind("lined-seahorse", "lined seahorse", None, 0.05, 0.5, _SUMMER),
    Kind("alewife", "alewife", "young", 0.8, 0.3, _SUMMER, 1.0, 0.02),
    Kind("european-green-crab", "green crab", None, 7.0, 1.2, _EVEN, 1.1),
    Kind("asian-shore-crab", "Asian shore crab", None, 1.5, 0.8, _EVEN),
    Kind("pagurus", "hermit crab", None, 6.0, 1.0, _EVEN),
    Kind("palaemon", "grass shrimp", None, 38.0, 0.8, _SUMMER, 1.0, 0.003),
    Kind("sand-shrimp", "sand shrimp", None, 16.0, 0.9, _SPRING),
    Kind("moon-jelly", "moon jelly", None, 1.0, 0.4, _SPRING),
)
KEEP = {
    # What the exhibit asks for, by outing, while the permit has room.
    "northern-pipefish": 3, "fourspine-stickleback": 6, "cunner": 2, "grubby": 1, "pagurus": 5,
    "palaemon": 20,
}  # fmt: skip


KEEP_A_YEAR = {"northern-pipefish": 12}
"""What the invented permit lets the exhibit keep in a permit year; the crew stops there."""


@dataclass(frozen=True, slots=True)
class Catch:
    """What one haul held of one kind: ``back + kept + dead + escaped`` animals.

    ``scoops`` are the counts of the counted scoops where the rest was not counted: then ``back`` is the
    rounded-up estimate and nothing else was taken from the scoops. ``kept_as`` is the taxon under which the
    kept ones were called, where that was found out in the tank.
    """

    kind: Kind
    back: int
    kept: int = 0
    dead: int = 0
    escaped: int = 0
    scoops: tuple[int, ...] = ()
    lengths_mm: tuple[int, ...] = ()
    kept_as: str | None = None

    @property
    def n(self) -> int:
        """All of them, the escaped included."""
        return self.back + self.kept + self.dead + self.escaped


@dataclass(frozen=True, slots=True)
class DrawnHaul:
    """One haul as it was drawn."""

    number: int
    started: datetime
    landed: datetime
    ended: datetime
    width_m: float
    distance_m: float
    condition: int
    why: str | None
    temperature_c: float
    salinity: float
    catch: tuple[Catch, ...]


@dataclass(frozen=True, slots=True)
class DrawnOuting:
    """One morning at the cove."""

    key: str
    hauls: tuple[DrawnHaul, ...]


def _scoop(total: int, rng: np.random.Generator) -> tuple[int, tuple[int, ...]]:
    """Deal ``total`` animals into equal scoops, count some; return the rounded-up estimate and the counts."""
    counts = rng.multinomial(total, [1 / SCOOPS] * SCOOPS)[:SCOOPS_COUNTED]
    seen = tuple(int(count) for count in counts)
    return -(-SCOOPS * sum(seen) // SCOOPS_COUNTED), seen


def _catch(
    kind: Kind, area_m2: float, when: datetime, wanted: dict[str, int], rng: np.random.Generator
) -> Catch | None:
    mean = kind.per_100_m2 * area_m2 / 100 * kind.months[when.month - 5] * kind.a_year ** (when.year - 2024)
    n = int(rng.negative_binomial(kind.k, kind.k / (kind.k + mean)))
    if not n:
        return None
    dead = int(rng.binomial(n, kind.dies))
    kept = min(wanted.get(kind.taxon, 0), n - dead)
    wanted[kind.taxon] = wanted.get(kind.taxon, 0) - kept
    rest = n - dead - kept
    scoops: tuple[int, ...] = ()
    if rest >= SUBSAMPLE_FROM:
        rest, scoops = _scoop(rest, rng)
    escaped = 0 if scoops else int(rng.binomial(rest, 0.004))
    lengths: tuple[int, ...] = ()
    if kind.length_mm:
        mean_mm, sd_mm = kind.length_mm
        drawn = rng.normal(mean_mm, sd_mm, size=min(20, rest + kept))
        lengths = tuple(int(mm) for mm in np.clip(drawn.round(), mean_mm * 0.4, mean_mm * 1.8))
    return Catch(kind, rest - escaped, kept, dead, escaped, scoops, lengths)


def _condition(rng: np.random.Generator) -> tuple[int, str | None]:
    draw = rng.random()
    if draw < 0.82:
        return 1, None
    if draw < 0.93:
        return 2, "leadline lifted for a moment over a stone"
    if draw < 0.98:
        return 3, "net full of drift weed, stopped twice"
    return 4, "bunt torn on a mooring, part of the catch lost"


def _haul(number: int, started: datetime, wanted: dict[str, int], rng: np.random.Generator) -> DrawnHaul:
    width = round(float(rng.normal(6.2, 0.3)), 1)
    distance = float(rng.choice([25, 30, 30, 35, 40]))
    condition, why = _condition(rng)
    landed = started + timedelta(minutes=int(rng.integers(4, 9)))
    ended = landed + timedelta(minutes=int(rng.integers(12, 24)))
    season = 14 + 4 * np.sin((started.timetuple().tm_yday - 120) / 120 * np.pi / 2)
    return DrawnHaul(
        number, started, landed, ended, width, distance, condition, why,
        temperature_c=round(float(rng.normal(season, 0.6)), 1),
        salinity=round(float(rng.normal(30.4, 0.5)), 1),
        catch=tuple(
            found
            for kind in KINDS
            if (found := _catch(kind, width * distance, started, wanted, rng)) is not None
        ),
    )  # fmt: skip


def draw_seasons(seed: int = SEED) -> tuple[DrawnOuting, ...]:
    """Draw three invented seasons: 15 outings, 60 hauls.

    Parameters
    ----------
    seed : int
        The same seed draws the same seasons.
    """
    rng = np.random.default_rng(seed)
    outings = []
    kept_in: dict[tuple[int, str], int] = {}
    for text in FIRST_SETS:
        start = datetime.fromisoformat(text).replace(tzinfo=ZONE)
        wanted = dict(KEEP)
        for taxon, most in KEEP_A_YEAR.items():
            wanted[taxon] = min(wanted[taxon], most - kept_in.get((start.year, taxon), 0))
        hauls = []
        for number in range(1, HAULS_PER_OUTING + 1):
            hauls.append(_haul(number, start, wanted, rng))
            start = hauls[-1].ended + timedelta(minutes=int(rng.integers(3, 8)))
        for catch in (catch for haul in hauls for catch in haul.catch):
            year = (start.year, catch.kind.taxon)
            kept_in[year] = kept_in.get(year, 0) + catch.kept
        outings.append(DrawnOuting(f"{hauls[0].started:%Y-%m-%d}-a", tuple(hauls)))
    return _with_one_look_alike_kept(outings)


def _with_one_look_alike_kept(outings: list[DrawnOuting]) -> tuple[DrawnOuting, ...]:
    """Turn the first cunner that was kept into a young tautog that somebody called cunner."""
    by_taxon = {kind.taxon: kind for kind in KINDS}
    for o, outing in enumerate(outings):
        for h, haul in enumerate(outing.hauls):
            found = {catch.kind.taxon: catch for catch in haul.catch}
            cunner = found.get("cunner")
            if cunner is None or not cunner.kept:
                continue
            found["cunner"] = replace(cunner, kept=cunner.kept - 1)
            tautog = found.get("tautog", Catch(by_taxon["tautog"], 0))
            found["tautog"] = replace(tautog, kept=1, kept_as="cunner")
            catch = tuple(found[kind.taxon] for kind in KINDS if kind.taxon in found and found[kind.taxon].n)
            hauls = (*outing.hauls[:h], replace(haul, catch=catch), *outing.hauls[h + 1 :])
            return (*outings[:o], replace(outing, hauls=hauls), *outings[o + 1 :])
    return tuple(outings)
