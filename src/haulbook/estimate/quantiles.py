"""Quantiles of Student's t and of chi-square, with nothing but sums: the phone does the same."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

from haulbook.problems import Refusal


@lru_cache(maxsize=512)
def t_quantile(p: float, df: int) -> float:
    """Return the t below which a share ``p`` of Student's distribution lies.

    Parameters
    ----------
    p : float
        Above 0, below 1.
    df : int
        Degrees of freedom, at least 1.

    Notes
    -----
    The central probability for whole degrees of freedom is a finite sum of cosines (Abramowitz & Stegun 1964,
    26.7.3 and 26.7.4), solved for the angle θ with t = √df·tan θ by bisection.
    """
    _check_share(p)
    if df < 1 or df != int(df):
        raise Refusal(f"{df} degrees of freedom: Student's t here needs a whole number, 1 or more")
    if p < 0.5:
        return -t_quantile(1 - p, df)
    central = 2 * p - 1
    theta = _solve(lambda angle: _central_t(angle, df) < central, 0.0, math.pi / 2)
    return math.sqrt(df) * math.tan(theta)


def _central_t(theta: float, df: int) -> float:
    """Return P(|T| < √df·tan θ)."""
    sine, cosine = math.sin(theta), math.cos(theta)
    odd = df % 2
    term = cosine if odd else 1.0
    total = term if df > 1 else 0.0
    for j in range(2 + odd, df - 1, 2):
        term *= cosine**2 * (j - 1) / j
        total += term
    return 2 / math.pi * (theta + sine * total) if odd else sine * total


@lru_cache(maxsize=512)
def chi2_quantile(p: float, df: float) -> float:
    """Return the value below which a share ``p`` of the chi-square distribution with ``df`` degrees lies.

    Parameters
    ----------
    p : float
        Above 0, below 1.
    df : float
        Degrees of freedom, above 0.
    """
    _check_share(p)
    if not 0 < df < math.inf:
        raise Refusal(f"{df:g} degrees of freedom: chi-square needs more than 0")
    a = df / 2
    top = a + 1
    while _lower_gamma(a, top) < p:
        top *= 2
    return 2 * _solve(lambda x: _lower_gamma(a, x) < p, 0.0, top)


def _lower_gamma(a: float, x: float) -> float:
    """Return the regularised lower incomplete gamma function P(a, x).

    Series below x = a + 1 (Abramowitz & Stegun 1964, 6.5.29), continued fraction of the upper tail above
    (6.5.31, evaluated by Lentz's method).
    """
    if x <= 0:
        return 0.0
    front = math.exp(a * math.log(x) - x - math.lgamma(a))
    if x < a + 1:
        term = total = 1 / a
        n = a
        while term > total * 1e-17:
            n += 1
            term *= x / n
            total += term
        return front * total
    b = x + 1 - a
    c = math.inf
    d = 1 / b
    fraction = d
    for i in range(1, 1_000_000):
        step = -i * (i - a)
        b += 2
        d = 1 / (step * d + b)
        c = b + step / c
        fraction *= d * c
        if abs(d * c - 1) < 1e-16:
            break
    return 1 - front * fraction


def _solve(still_below: Callable[[float], bool], low: float, high: float) -> float:
    """Halve [low, high] until floats run out; ``still_below`` is true left of the answer."""
    while low < (middle := (low + high) / 2) < high:
        if still_below(middle):
            low = middle
        else:
            high = middle
    return middle


def _check_share(p: float) -> None:
    if not 0 < p < 1:
        raise Refusal(f"a probability of {p:g} has no quantile; it lies above 0 and below 1")
