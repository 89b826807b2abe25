"""What the next hauls may bring: a gamma-Poisson predictive drawn from what hauls like them brought.

A haul holds Poisson(L) animals, and L differs between hauls as Gamma(k, m / k): the negative binomial with
mean m and Var = m + m^2 / k (Greenwood & Yule 1920, from memory). Nobody knows m and k, so neither is fixed:

- every k of a grid is weighed by how well it explains the past hauls, prior log-uniform;
- given k, the chance p = k / (k + m) is Beta(n k, S + 1/2) after n hauls with S animals, which is the
  Jeffreys prior for the mean of a negative binomial with known k (conjugate: Johnson, Kemp & Kotz, Univariate
  Discrete Distributions, from memory).

So an animal that n hauls did not bring keeps a small chance, and ten hauls promise less than a hundred.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]
Hits = NDArray[np.bool_]

CLUMPING: Floats = np.geomspace(0.1, 20.0, 48)
"""Values of k that are weighed: from a few hauls with nearly all of a school, to hardly any clumping. A planning
prior for schooling fish is 0.5 to 1.5 (proposal of this project, no source)."""

MOST_MEAN = 1e6
"""Animals a haul, beyond which a draw is cut: no small seine holds a million."""

_LGAMMA = np.vectorize(math.lgamma, otypes=[float])


def clumping_weights(past: Sequence[int], clumping: Floats = CLUMPING) -> Floats:
    """Return how much each k weighs after the past hauls; the weights sum to 1.

    Parameters
    ----------
    past : sequence of int
        Animals in each past haul, zeros included; at least one haul.
    clumping : array of float
        Values of k, equally spaced in their logarithm.

    Notes
    -----
    Marginal likelihood of k with p integrated out under p^-1 (1-p)^-1/2 sqrt(k):
    sqrt(k) B(n k, S + 1/2) prod_i G(y_i + k) / G(k).
    """
    counts = np.asarray(past, dtype=np.float64)
    n, total = len(counts), float(counts.sum())
    each = _LGAMMA(counts[:, None] + clumping).sum(axis=0) - n * _LGAMMA(clumping)
    beta = _LGAMMA(n * clumping) + math.lgamma(total + 0.5) - _LGAMMA(n * clumping + total + 0.5)
    score = each + beta + 0.5 * np.log(clumping)
    weights = np.exp(score - score.max())
    normed: Floats = weights / weights.sum()
    return normed


def predict(
    past: Sequence[int], hauls: int, draws: int, rng: np.random.Generator, clumping: Floats = CLUMPING
) -> Counts:
    """Return what further hauls may bring: one row a draw, one column a haul.

    Parameters
    ----------
    past : sequence of int
        Animals in each past haul, zeros included; at least one haul.
    hauls, draws : int
        How many hauls are looked ahead, and how often.
    rng : numpy.random.Generator
        Handed in, seeded.
    """
    n, total = len(past), sum(past)
    k = rng.choice(clumping, size=draws, p=clumping_weights(past, clumping))
    p = rng.beta(n * k, total + 0.5)
    mean = np.minimum(k * (1.0 - p) / np.maximum(p, 1e-12), MOST_MEAN)
    return draw_hauls(mean, k, hauls, rng)


def draw_hauls(mean: Floats, k: Floats, hauls: int, rng: np.random.Generator) -> Counts:
    """Return negative binomial counts as a Poisson whose mean is a gamma: one row for each mean and k."""
    shape = (len(mean), hauls)
    rates = rng.gamma(np.broadcast_to(k[:, None], shape), np.broadcast_to((mean / k)[:, None], shape))
    drawn: Counts = rng.poisson(rates)
    return drawn


def over_after(hits: Hits) -> tuple[float, ...]:
    """Return the share of draws that were over after each haul or before it: over once is over."""
    shares: list[float] = np.logical_or.accumulate(hits, axis=1).mean(axis=0).tolist()
    return tuple(shares)


def most_hauls(chances: Sequence[float], below: float) -> int:
    """Return the most hauls whose chance stays below a bound: 0 where one haul is too many."""
    return next((i for i, chance in enumerate(chances) if chance >= below), len(chances))
