"""From hauls to catch per area, by a decision table: how many valid hauls, how many of them with a catch."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from haulbook.estimate.estimate import WIDEST_RATIO, Estimate, HaulDensity, HaulRow, LeftOut, Method
from haulbook.estimate.means import log_t_interval, mean_of_haul_densities, ratio_of_means
from haulbook.estimate.nothing_caught import exact_poisson_limits, upper_if_patchy, upper_if_scattered
from haulbook.problems import Refusal

PATCHY_K = 0.5
"""Clumping assumed after a catch of nothing: the patchy end of the planning range 0.5 to 1.5."""

UNDERCOUNT = (
    "Catch per area is a least figure: animals on the bottom and in it slip under the leadline "
    "and are under-counted."
)
"""Stands on every public output (Steele, Schroeter & Page 2006; Pierce, Rasmussen & Leggett 1990)."""


class Comparable(NamedTuple):
    """What hauls must share to be put together; None where nobody said."""

    net: str | None
    set_type: str | None
    light: str | None
    tide: str | None

    @property
    def words(self) -> str:
        """The group as a heading: ``net n1, straight, day``."""
        net = f"net {self.net}" if self.net else "net not named"
        named = [net, (self.set_type or "set not named").replace("_", " ")]
        return ", ".join(named + [part for part in (self.light, self.tide) if part])


def catches_per_area(rows: Iterable[HaulRow], k: float = PATCHY_K) -> dict[Comparable, Estimate]:
    """Return one estimate for each group of hauls that may be compared, in the order they first appear.

    Hauls of different nets or set types gave different richness and catch per area on the same shore
    (surf-zone comparison of parallel tows and hauls to the beach), and night catches differ from day (Guest,
    Connolly & Loneragan 2003): they are never pooled.
    """
    groups: dict[Comparable, list[HaulRow]] = {}
    for row in rows:
        groups.setdefault(_group(row), []).append(row)
    return {group: catch_per_area(members, k) for group, members in groups.items()}


def catch_per_area(rows: Sequence[HaulRow], k: float = PATCHY_K) -> Estimate:
    """Return catch per 100 m² of one taxon over hauls of one net and set type.

    Decision table (proposal of this project, reasons and coverage in
    ``docs/explanation/how-sure-is-a-catch-per-area.md``): no valid haul, no number; nothing caught, 0 with
    two upper bounds; one haul, its density with exact Poisson limits; else the ratio of means with a log-t
    interval. Hauls that agree by luck would make that interval too narrow, down to nothing: where chance
    alone leaves more room on both sides, its exact Poisson limits stand instead.

    Parameters
    ----------
    rows : sequence of HaulRow
        One group (see `catches_per_area`).
    k : float
        Clumping assumed for the bound after a catch of nothing.

    Raises
    ------
    Refusal
        The hauls are of more than one net, set type, light or tide stage; or a negative count.
    """
    groups = {_group(row) for row in rows}
    if len(groups) > 1:
        listed = "; ".join(sorted(group.words for group in groups))
        raise Refusal(f"these hauls cannot be put together: {listed}. Estimate each group apart")
    left_out = tuple(LeftOut(row.label, why) for row in rows if (why := _why_left_out(row)))
    used = [row for row in rows if not _why_left_out(row)]
    if not used:
        return Estimate(None, None, None, 0, 0, "none", ("no valid haul: no number",), (), left_out)
    counts = [row.count or 0 for row in used]
    areas = [row.area_m2 or 0.0 for row in used]
    mean = ratio_of_means(counts, areas)
    low, high, scattered, method, warnings = _interval(counts, areas, k)
    return Estimate(
        per_100_m2=100 * mean.value,
        low=100 * low,
        high=100 * high,
        high_if_scattered=None if scattered is None else 100 * scattered,
        mean_of_hauls_per_100_m2=100 * mean_of_haul_densities(counts, areas).value,
        n_hauls=len(used),
        n_positive=sum(count > 0 for count in counts),
        method=method,
        warnings=(*warnings, *_standing_warnings(used, low, high)),
        hauls=tuple(
            HaulDensity(row.label, 100 * y / a) for row, y, a in zip(used, counts, areas, strict=True)
        ),
        left_out=left_out,
    )


def _group(row: HaulRow) -> Comparable:
    return Comparable(row.net, row.set_type, row.light, row.tide)


def _why_left_out(row: HaulRow) -> str | None:
    if not row.eligible:
        return row.why_not or "not counted for density"
    if row.area_m2 is None:
        return "no area, no density"
    if row.area_m2 <= 0:
        return f"area {row.area_m2:g} m², no density"
    if row.count is None:
        return "not looked for or not counted"
    return None


_Interval = tuple[float, float, float | None, Method, list[str]]


def _interval(counts: Sequence[int], areas: Sequence[float], k: float) -> _Interval:
    """Return low, high, the scattered bound of an empty catch, the method and its warnings, per m²."""
    effort, n = sum(areas), len(counts)
    if not any(counts):
        warning = f"not seen is not absent; the bound for patches assumes a clumping k of {k:g}"
        return 0.0, upper_if_patchy(areas, k), upper_if_scattered(effort), "nothing caught", [warning]
    if n == 1:
        low, high = exact_poisson_limits(counts[0], effort)
        return low, high, None, "one haul, exact Poisson", ["this haul only; ignores patchiness"]
    mean = ratio_of_means(counts, areas)
    warnings = ["one haul holds all the catch"] if sum(count > 0 for count in counts) == 1 else []
    low, high = log_t_interval(mean)
    by_chance = exact_poisson_limits(sum(counts), effort)
    if low > by_chance[0] and high < by_chance[1]:
        warnings.append(
            "the hauls agree more closely than chance alone would make them: these are its limits"
        )
        return *by_chance, None, "ratio of means, exact Poisson", warnings
    return low, high, None, "ratio of means, log-t", warnings


def _standing_warnings(used: Sequence[HaulRow], low: float, high: float) -> list[str]:
    n = len(used)
    warnings = []
    if low > 0 and high > WIDEST_RATIO * low:
        warnings.append("too few hauls for an interval")
    if flagged := [row.label for row in used if row.flagged]:
        warnings.append(f"counted with a minor fault: {', '.join(flagged)}")
    if assumed := sum(row.area_assumed for row in used):
        warnings.append(
            f"the area of {assumed} of {n} hauls rests on an assumed length; that error does not average out"
        )
    if estimated := sum(row.estimated for row in used):
        warnings.append(f"{estimated} of {n} hauls hold animals that were expanded or judged, not counted")
    return warnings
