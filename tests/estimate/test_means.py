"""Two means and their intervals, against R's survey package and scipy.

H12 is an invented set of twelve hauls; its values were computed with svyratio of R survey 4.1-1.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulbook.estimate.means import (
    Mean,
    log_t_interval,
    mean_of_haul_densities,
    ratio_of_means,
    t_interval,
)
from haulbook.problems import Refusal

Y = (3, 0, 12, 5, 1, 8, 22, 0, 4, 17, 31, 9)
A = (60, 45, 90, 60, 50, 75, 90, 40, 60, 80, 95, 70)

hauls = st.lists(st.tuples(st.integers(0, 500), st.floats(10, 500)), min_size=2, max_size=12).filter(
    lambda rows: any(y for y, _ in rows)
)


def test_ratio_of_means_equals_svyratio():
    mean = ratio_of_means(Y, A)
    assert mean.value == pytest.approx(0.1374233129, abs=5e-11)
    assert mean.se == pytest.approx(0.0317996369, abs=5e-11)
    assert t_interval(mean) == pytest.approx((0.067433, 0.207414), abs=5e-7)
    assert log_t_interval(mean) == pytest.approx((0.082579, 0.228691), abs=5e-7)


def test_mean_of_haul_densities_is_another_number():
    mean = mean_of_haul_densities(Y, A)
    assert mean.value == pytest.approx(0.1143193052, abs=5e-11)
    assert mean.se == pytest.approx(0.0294571524, abs=5e-11)


def test_three_hauls_show_why_the_plain_interval_will_not_do():
    mean = ratio_of_means((4, 0, 11), (50, 42, 66))
    assert mean.value == pytest.approx(0.0949367, abs=5e-8)
    assert mean.se == pytest.approx(0.0483271, abs=5e-8)
    assert log_t_interval(mean) == pytest.approx((0.010622, 0.848488), abs=5e-7)
    assert t_interval(mean) == pytest.approx((-0.113, 0.303), abs=5e-4)


@given(rows=hauls, scale=st.floats(0.01, 100))
def test_a_density_is_per_area_whatever_the_unit(rows, scale):
    y, a = zip(*rows, strict=True)
    here, there = ratio_of_means(y, a), ratio_of_means(y, [x * scale for x in a])
    assert there.value == pytest.approx(here.value / scale, rel=1e-9)
    assert there.se == pytest.approx(here.se / scale, rel=1e-6, abs=1e-12)


@given(rows=hauls)
def test_the_log_t_interval_holds_the_estimate_and_stays_above_zero(rows):
    y, a = zip(*rows, strict=True)
    mean = ratio_of_means(y, a)
    low, high = log_t_interval(mean)
    assert 0 <= low <= mean.value * (1 + 1e-12)
    assert high >= mean.value * (1 - 1e-12)


@given(y=st.lists(st.integers(0, 300), min_size=2, max_size=10), a=st.floats(10, 500))
def test_both_means_are_one_where_all_areas_are_equal(y, a):
    areas = [a] * len(y)
    assert ratio_of_means(y, areas).value == pytest.approx(mean_of_haul_densities(y, areas).value, rel=1e-9)
    assert ratio_of_means(y, areas).se == pytest.approx(
        mean_of_haul_densities(y, areas).se, rel=1e-9, abs=1e-12
    )


@pytest.mark.parametrize(
    ("counts", "areas", "says"),
    [
        ((), (), "no haul, no mean"),
        ((1, 2), (50,), "2 counts stand beside 1 areas"),
        ((-1, 2), (50, 60), "a haul with -1 animals"),
        ((1, 2), (50, 0), "no area, no catch per area"),
    ],
)
def test_hauls_that_make_no_mean_are_refused(counts, areas, says):
    with pytest.raises(Refusal, match=says):
        ratio_of_means(counts, areas)
    with pytest.raises(Refusal, match=says):
        mean_of_haul_densities(counts, areas)


def test_no_interval_from_one_haul_or_from_nothing():
    with pytest.raises(Refusal, match="two are needed"):
        log_t_interval(ratio_of_means((4,), (50,)))
    with pytest.raises(Refusal, match="use the bounds for zero catches"):
        log_t_interval(Mean(0.0, 0.0, 3))
