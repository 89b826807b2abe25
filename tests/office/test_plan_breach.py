"""The gamma-Poisson predictive, held against closed forms, a published fit, and its own promises."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from haulbook.office.planning.breach import (
    CLUMPING,
    clumping_weights,
    draw_hauls,
    most_hauls,
    over_after,
    predict,
)

DRAWS = 40_000
WITHIN = 4 * np.sqrt(0.25 / DRAWS)  # four standard errors of a share


@pytest.mark.parametrize(("mean", "k", "hauls"), [(8.0, 0.5, 3), (2.0, 1.5, 6), (40.0, 1.0, 1)])
def test_known_mean_and_clumping_draw_the_negative_binomial(mean, k, hauls):
    # A Poisson with gamma mean is negative binomial, and n of them sum to one with n k
    # (Greenwood & Yule 1920, J. R. Stat. Soc. 83; from memory). Oracle: scipy.stats.nbinom.
    rng = np.random.default_rng(11)
    drawn = draw_hauls(np.full(DRAWS, mean), np.full(DRAWS, k), hauls, rng).sum(axis=1)
    exact = stats.nbinom(hauls * k, k / (k + mean))
    for quantile in (0.1, 0.5, 0.9, 0.95, 0.99):
        at = exact.ppf(quantile)
        assert abs(np.mean(drawn <= at) - exact.cdf(at)) < WITHIN


@pytest.mark.parametrize(
    "past", [[3, 0, 5, 1, 8, 0, 0, 2, 4, 9], [0] * 12, [120, 4, 0, 33, 0, 7, 250, 1, 0, 15]]
)
@pytest.mark.parametrize("k", [1, 3])
def test_one_taxon_of_known_clumping_is_the_beta_negative_binomial(past, k):
    # p ~ Beta(n k, S + 1/2) makes the sum of N further hauls beta negative binomial (Johnson, Kemp & Kotz,
    # Univariate Discrete Distributions; from memory). Oracle: scipy.stats.betanbinom.
    rng = np.random.default_rng(12)
    drawn = predict(past, 3, DRAWS, rng, np.array([float(k)])).sum(axis=1)
    exact = stats.betanbinom(3 * k, len(past) * k, sum(past) + 0.5)
    for at in {0, 1, *(int(3 * sum(past) / len(past) * share) for share in (0.5, 1, 2))}:
        assert abs(np.mean(drawn <= at) - exact.cdf(at)) < WITHIN


def test_the_likeliest_clumping_of_the_red_mites_is_the_published_one():
    # Bliss & Fisher 1953, Biometrics 9: red mites on 150 leaves; maximum likelihood k 1.0246
    # (R glm.nb and statsmodels agree, 1.02459).
    leaves = [70, 38, 17, 10, 9, 3, 2, 1]
    mites = [count for count, n in enumerate(leaves) for _ in range(n)]
    weights = clumping_weights(mites)
    step = CLUMPING[1] / CLUMPING[0]
    assert 1.02459 / step < CLUMPING[weights.argmax()] < 1.02459 * step
    assert weights.sum() == pytest.approx(1.0)


def test_hauls_without_clumping_weigh_large_k():
    scattered = [5, 4, 6, 5, 7, 3, 5, 6, 4, 5, 5, 6]
    assert (clumping_weights(scattered) * (CLUMPING > 5)).sum() > 0.9


@pytest.mark.parametrize(("mean", "k"), [(2.0, 0.5), (15.0, 1.5), (60.0, 1.0), (0.3, 0.5)])
def test_a_bound_of_five_per_cent_from_ten_hauls_is_overstepped_five_to_eight_times_in_a_hundred(mean, k):
    # Calibration: ten hauls are drawn, the bound is what 3 further hauls stay under in 95 of 100 predictions, and
    # the true chance to overstep it comes from the exact distribution.
    rng = np.random.default_rng(13)
    exact = stats.nbinom(3 * k, k / (k + mean))
    missed = []
    for _ in range(150):
        past = rng.negative_binomial(k, k / (k + mean), 10).tolist()
        bound = np.quantile(predict(past, 3, 800, rng).sum(axis=1), 0.95, method="higher")
        missed.append(1 - exact.cdf(bound))
    assert 0.03 < np.mean(missed) < 0.085


def test_what_the_hauls_did_not_bring_keeps_a_chance_that_more_empty_hauls_make_smaller():
    rng = np.random.default_rng(14)
    ten, forty = (np.mean(predict([0] * n, 1, DRAWS, rng) > 0) for n in (10, 40))
    assert 0.03 < ten < 0.06
    assert 0 < forty < ten / 2


def test_the_same_seed_draws_the_same():
    one, two = (predict([1, 5, 0, 2], 4, 100, np.random.default_rng(5)) for _ in range(2))
    np.testing.assert_array_equal(one, two)


def test_over_once_stays_over_and_the_most_hauls_stop_before_the_bound():
    hits = np.array(
        [[False, True, False], [False, False, False], [False, False, True], [False, False, False]]
    )
    assert over_after(hits) == (0.0, 0.25, 0.5)
    assert most_hauls((0.01, 0.04, 0.05, 0.2), 0.05) == 2
    assert most_hauls((0.06,), 0.05) == 0
    assert most_hauls((0.01, 0.02), 0.05) == 2
