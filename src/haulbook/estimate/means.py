"""Two means that are not the same, and the interval of the first."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from haulbook.estimate.quantiles import t_quantile
from haulbook.problems import Refusal


@dataclass(frozen=True, slots=True)
class Mean:
    """A mean per unit of area, its standard error (None where n < 2) and how many hauls it rests on."""

    value: float
    se: float | None
    n: int


def ratio_of_means(counts: Sequence[float], areas: Sequence[float]) -> Mean:
    """Return all animals over all area: R = Σy/Σa, per unit of ``areas``.

    Var(R) = Σ(y_i - R·a_i)² / [(n - 1)·n·ā²], without finite-population factor (Cochran 1977, Sampling
    Techniques, ch. 6; bias of order 1/n).

    Raises
    ------
    Refusal
        No haul, unequal lengths, a negative count, or an area that is not above 0.
    """
    n = _check(counts, areas)
    total_area = sum(areas)
    ratio = sum(counts) / total_area
    if n < 2:
        return Mean(ratio, None, n)
    squares = math.fsum((y - ratio * a) ** 2 for y, a in zip(counts, areas, strict=True))
    return Mean(ratio, math.sqrt(squares / ((n - 1) * n)) / (total_area / n), n)


def mean_of_haul_densities(counts: Sequence[float], areas: Sequence[float]) -> Mean:
    """Return the plain mean of each haul's own density: every haul weighs alike, whatever it swept.

    SE = s/√n. Right only where each haul is a random draw of a place and its area was set beforehand.

    Raises
    ------
    Refusal
        As `ratio_of_means`.
    """
    n = _check(counts, areas)
    densities = [y / a for y, a in zip(counts, areas, strict=True)]
    mean = math.fsum(densities) / n
    if n < 2:
        return Mean(mean, None, n)
    return Mean(mean, math.sqrt(math.fsum((x - mean) ** 2 for x in densities) / ((n - 1) * n)), n)


def t_interval(mean: Mean, level: float = 0.95) -> tuple[float, float]:
    """Return the plain t interval, value ± t·SE. It can reach below 0: shown for comparison only."""
    se = _se(mean)
    half = t_quantile((1 + level) / 2, mean.n - 1) * se
    return mean.value - half, mean.value + half


def log_t_interval(mean: Mean, level: float = 0.95) -> tuple[float, float]:
    """Return value·exp(± t·SE/value) with n - 1 degrees of freedom (delta method on the logarithm).

    Why this one: ``docs/explanation/how-sure-is-a-catch-per-area.md``.

    Raises
    ------
    Refusal
        Fewer than two hauls, or nothing caught.
    """
    if not mean.value > 0:
        raise Refusal("nothing was caught, so there is no log-t interval; use the bounds for zero catches")
    se = _se(mean)
    exponent = t_quantile((1 + level) / 2, mean.n - 1) * se / mean.value
    # Limits a float cannot hold would say "cannot tell" just the same.
    factor = math.exp(min(exponent, 600.0))
    return mean.value / factor, mean.value * factor


def _se(mean: Mean) -> float:
    if mean.se is None:
        raise Refusal("one haul has no spread between hauls, so there is no t interval; two are needed")
    return mean.se


def _check(counts: Sequence[float], areas: Sequence[float]) -> int:
    if len(counts) != len(areas):
        raise Refusal(f"{len(counts)} counts stand beside {len(areas)} areas; each haul needs one of both")
    if not counts:
        raise Refusal("no haul, no mean")
    for y, a in zip(counts, areas, strict=True):
        if not 0 <= y < math.inf:
            raise Refusal(f"a haul with {y:g} animals; a count is 0 or more")
        if not 0 < a < math.inf:
            raise Refusal(f"a haul of {a:g} m² has no density; no area, no catch per area")
    return len(counts)
