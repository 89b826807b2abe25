"""From a counted part of a large catch to the whole, with a standard error.

Protected, rare, large, kept and dead animals are taken out and counted in full first; only the stirred rest
is sampled. Sources: Cochran 1977, Sampling Techniques, chapters 2, 3 and 6.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from haulbook.problems import Refusal


@dataclass(frozen=True, slots=True)
class Expanded:
    """An estimated number of animals.

    Attributes
    ----------
    n : float
        0 or more; round only for display.
    se : float or None
        Standard error; None where it cannot be estimated, which is never the same as 0.
    method : str
    not_in_subsample : bool
        None stood in the part that was looked at. That is "not detected in the subsample", not zero.
    """

    n: float
    se: float | None
    method: str
    not_in_subsample: bool = False

    @property
    def rounded_up(self) -> int:
        """Whole animals for a permit line: never fewer than estimated."""
        return math.ceil(round(self.n, 6))


def split(counted: int, fraction: float) -> Expanded:
    """Return the whole from a known fraction: n/f, variance n(1 - f)/f² (binomial; well mixed).

    Raises
    ------
    Refusal
        A fraction that is not above 0 and at most 1, or a count below 0.
    """
    _check_counts([counted])
    if not 0 < fraction <= 1:
        raise Refusal(f"a fraction of {fraction:g} was counted; it lies above 0 and is at most 1")
    variance = counted * (1 - fraction) / fraction**2
    return _expanded(counted / fraction, variance, "split", none=not counted, whole=fraction == 1)


def scoops(counted: Sequence[int], of: int) -> Expanded:
    """Return the whole from m of M equal scoops: M·ȳ, variance M²(1 - m/M)s²/m.

    Parameters
    ----------
    counted : sequence of int
        Animals in each scoop that was counted, m of them.
    of : int
        All scoops of the catch, M >= m.
    """
    m = _check_scoops(counted, of)
    mean = sum(counted) / m
    variance = None
    if m == of:
        variance = 0.0
    elif m > 1:
        s2 = math.fsum((y - mean) ** 2 for y in counted) / (m - 1)
        variance = of**2 * (1 - m / of) * s2 / m
    return _expanded(of * mean, variance, "scoops", none=not any(counted), whole=m == of)


def scoops_by_weight(counted: Sequence[int], weights: Sequence[float], total: float, of: int) -> Expanded:
    """Return the whole from scoops that were weighed (or measured by volume): R·W with R = Σy/Σw.

    Variance W²(1 - m/M)·Σ(y_i - R·w_i)²/(m - 1)/(m·w̄²).

    Parameters
    ----------
    counted, weights : sequences
        Animals and weight of each counted scoop; any one unit, the same as ``total``.
    total : float
        Weight of the whole catch, W.
    of : int
        All scoops of the catch, M.
    """
    m = _check_scoops(counted, of)
    if len(weights) != m:
        raise Refusal(f"{m} scoops were counted and {len(weights)} weighed; each needs both")
    _check_weights(weights, total)
    ratio = sum(counted) / sum(weights)
    variance = None
    if m == of:
        variance = 0.0
    elif m > 1:
        squares = math.fsum((y - ratio * w) ** 2 for y, w in zip(counted, weights, strict=True))
        variance = total**2 * (1 - m / of) * squares / (m - 1) / (m * (sum(weights) / m) ** 2)
    return _expanded(ratio * total, variance, "scoops by weight", none=not any(counted), whole=m == of)


def by_mean_weight(weighed: Sequence[float], total: float) -> Expanded:
    """Return the whole from the mean weight of single animals: W/ū, variance N²·s²/(n·ū²).

    Parameters
    ----------
    weighed : sequence of float
        Weight of each animal that was weighed.
    total : float
        Weight of the whole catch, same unit.
    """
    if not weighed:
        raise Refusal("no animal was weighed, so there is no mean weight")
    _check_weights(weighed, total)
    n = len(weighed)
    mean = math.fsum(weighed) / n
    number = total / mean
    variance = None
    if n > 1:
        s2 = math.fsum((u - mean) ** 2 for u in weighed) / (n - 1)
        variance = number**2 * s2 / (n * mean**2)
    return _expanded(number, variance, "mean weight", none=False, whole=False)


def visual(n: int) -> Expanded:
    """Return what somebody judged by eye, as recorded: no variance, and none is made up."""
    _check_counts([n])
    return Expanded(float(n), None, "visual")


def total(counted: int, parts: Iterable[Expanded]) -> Expanded:
    """Return counted animals (exact) plus independent expanded parts; variances add.

    The standard error is None as soon as one part has none.
    """
    _check_counts([counted])
    parts = tuple(parts)
    errors = [part.se for part in parts]
    known = [se for se in errors if se is not None]
    se = math.sqrt(math.fsum(e**2 for e in known)) if len(known) == len(errors) else None
    methods = dict.fromkeys((["counted"] if counted or not parts else []) + [part.method for part in parts])
    return Expanded(
        counted + math.fsum(part.n for part in parts),
        se,
        " + ".join(methods),
        not_in_subsample=not counted and bool(parts) and all(part.not_in_subsample for part in parts),
    )


def numbers_at_length(measured: Mapping[int, int], caught: float) -> dict[int, float]:
    """Return the whole catch at each length: n_l·N/n within one haul, taxon and stage.

    Parameters
    ----------
    measured : mapping of length (mm) to animals measured
    caught : float
        All of them, measured or not; at least as many as measured.

    Raises
    ------
    Refusal
        None measured, or more measured than caught.
    """
    n = sum(measured.values())
    if n == 0:
        raise Refusal("none was measured, so the catch cannot be spread over lengths")
    if n > caught:
        raise Refusal(f"{n} were measured and {caught:g} caught; correct one of them")
    return {length: count * caught / n for length, count in measured.items()}


def _expanded(n: float, variance: float | None, method: str, *, none: bool, whole: bool) -> Expanded:
    """Keep "none in the part looked at" from passing as a sure zero."""
    unseen = none and not whole
    se = None if variance is None or unseen else math.sqrt(variance)
    return Expanded(n, se, method, not_in_subsample=unseen)


def _check_counts(counts: Sequence[int]) -> None:
    for count in counts:
        if count < 0 or count != int(count):
            raise Refusal(f"a count of {count:g} animals; it is a whole number, 0 or more")


def _check_scoops(counted: Sequence[int], of: int) -> int:
    _check_counts(counted)
    m = len(counted)
    if not 1 <= m <= of:
        raise Refusal(f"{m} scoops counted of {of}; count at least one and no more than there are")
    return m


def _check_weights(weights: Sequence[float], total: float) -> None:
    if not all(0 < w < math.inf for w in weights):
        raise Refusal("every weight is more than 0")
    if sum(weights) > total * (1 + 1e-9):
        raise Refusal(f"the weighed part ({sum(weights):g}) is heavier than the whole ({total:g})")
