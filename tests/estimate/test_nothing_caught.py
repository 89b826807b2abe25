"""Exact limits and the bounds after a catch of nothing.

Poisson limits: R poisson.test, scipy and statsmodels agree on all. Binomial and negative binomial bounds:
arithmetic on the closed forms.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulbook.estimate.nothing_caught import (
    exact_poisson_limits,
    upper_if_patchy,
    upper_if_scattered,
    upper_share_of_hauls,
)
from haulbook.problems import Refusal


@pytest.mark.parametrize(
    ("count", "low", "high"),
    [
        (0, 0.0, 3.688879),
        (1, 0.025318, 5.571643),
        (2, 0.242209, 7.224688),
        (3, 0.618672, 8.767273),
        (5, 1.623486, 11.668332),
        (10, 4.795389, 18.390356),
        (20, 12.216520, 30.888378),
    ],
)
def test_exact_poisson_limits_equal_poisson_test(count, low, high):
    assert exact_poisson_limits(count, 1) == pytest.approx((low, high), abs=5e-7)
    assert exact_poisson_limits(count, 50) == pytest.approx((low / 50, high / 50), abs=1e-8)


def test_three_over_n():
    assert upper_if_scattered(1) == pytest.approx(2.995732, abs=5e-7)


@pytest.mark.parametrize(
    ("n", "k", "patchy", "scattered"),
    [(5, 0.5, 1.157227, 0.599146), (3, 0.5, 3.184031, 0.998577), (10, 1, 0.349283, 0.299573)],
)
def test_patches_leave_more_room_than_chance(n, k, patchy, scattered):
    assert upper_if_patchy([1] * n, k) == pytest.approx(patchy, abs=5e-7)
    assert upper_if_scattered(n) == pytest.approx(scattered, abs=5e-7)


@given(areas=st.lists(st.floats(10, 300), min_size=1, max_size=10), k=st.floats(0.1, 5))
def test_at_the_patchy_bound_all_hauls_are_empty_one_time_in_twenty(areas, k):
    rate = upper_if_patchy(areas, k)
    assert math.prod((1 + rate * a / k) ** -k for a in areas) == pytest.approx(0.05, rel=1e-6)
    assert rate >= upper_if_scattered(sum(areas))


def test_share_of_hauls_that_could_hold_the_taxon():
    assert upper_share_of_hauls(10) == pytest.approx(0.258866, abs=5e-7)


def test_the_patchiest_clumping_that_is_taken_is_a_hundredth():
    """One haul of 1: k[(1 - 0.95)^(-1/k) - 1] = 0.01 (20^100 - 1), computed by hand in whole numbers."""
    assert upper_if_patchy([1], 0.01) == pytest.approx(1.2676506002282295e128, rel=1e-9)


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: exact_poisson_limits(-1, 1), "a count of -1"),
        (lambda: exact_poisson_limits(1.5, 1), "a count of 1.5"),
        (lambda: exact_poisson_limits(1, 0), "an effort of 0 has no rate"),
        (lambda: upper_if_patchy([], 1), "no haul, no bound"),
        (lambda: upper_if_patchy([50], 0), "a clumping k of 0; it is 0.01 or more"),
        (lambda: upper_if_patchy([50], 0.0099), "a clumping k of 0.0099; it is 0.01 or more"),
        (lambda: upper_if_patchy([50, -1], 1), "an effort of -1 has no rate"),
        (lambda: upper_share_of_hauls(0), "no haul, no bound"),
    ],
)
def test_questions_without_an_answer_are_refused(ask, says):
    with pytest.raises(Refusal, match=says):
        ask()
