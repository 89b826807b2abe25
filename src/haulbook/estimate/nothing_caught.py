"""What a count, or a catch of nothing, still leaves room for."""

from __future__ import annotations

import math
from collections.abc import Sequence

from haulbook.estimate.quantiles import chi2_quantile
from haulbook.problems import Refusal


def exact_poisson_limits(count: int, effort: float, level: float = 0.95) -> tuple[float, float]:
    """Return two-sided exact limits of a rate: χ²(α/2, 2T)/2E and χ²(1 - α/2, 2T + 2)/2E.

    Source: Garwood 1936, Biometrika 28:437-442. Animals taken to be scattered independently; schools are not.

    Raises
    ------
    Refusal
        A count below 0, or no effort.
    """
    if count < 0 or count != int(count):
        raise Refusal(f"a count of {count:g}; exact limits need a whole number, 0 or more")
    _check_effort(effort)
    alpha = 1 - level
    low = chi2_quantile(alpha / 2, 2 * count) / 2 if count else 0.0
    return low / effort, chi2_quantile(1 - alpha / 2, 2 * count + 2) / 2 / effort


def upper_if_scattered(effort: float, level: float = 0.95) -> float:
    """Return the one-sided upper bound of a rate after nothing was caught: -ln(1 - level)/E, 3/E at 95 %.

    Source: the zero case of Garwood 1936; the "rule of three" of Hanley & Lippman-Hand 1983, JAMA 249:1743.
    """
    _check_effort(effort)
    return -math.log(1 - level) / effort


def upper_if_patchy(efforts: Sequence[float], k: float, level: float = 0.95) -> float:
    """Return the same bound where animals live in patches: negative binomial with an assumed clumping ``k``.

    The rate at which all hauls are empty with probability 1 - level: Σ k·ln(1 + rate·a_i/k) = -ln(1 - level).
    With equal efforts a this is k[(1 - level)^(-1/nk) - 1]/a.

    Parameters
    ----------
    efforts : sequence of float
        One a haul, above 0.
    k : float
        At least 0.01; the smaller, the patchier. 0.5 to 1.5 is a planning range for schooling fish (proposal
        of this project, consistent with the published haul-to-haul CV of about 100 %).
    """
    if not efforts:
        raise Refusal("no haul, no bound")
    for effort in efforts:
        _check_effort(effort)
    if not 0.01 <= k < math.inf:
        raise Refusal(f"a clumping k of {k:g}; it is 0.01 or more")
    n, target = len(efforts), -math.log(1 - level)
    equal = k * math.expm1(target / (n * k))
    low, high = equal / max(efforts), equal / min(efforts)
    while low < (middle := (low + high) / 2) < high:
        if math.fsum(k * math.log1p(middle * a / k) for a in efforts) < target:
            low = middle
        else:
            high = middle
    return middle


def upper_share_of_hauls(n: int, level: float = 0.95) -> float:
    """Return the largest share of hauls that could hold the taxon when none of ``n`` did.

    1 - (1 - level)^(1/n): the exact binomial bound for no success.
    """
    if n < 1:
        raise Refusal("no haul, no bound")
    return -math.expm1(math.log(1 - level) / n)


def _check_effort(effort: float) -> None:
    if not 0 < effort < math.inf:
        raise Refusal(f"an effort of {effort:g} has no rate; it lies above 0")
