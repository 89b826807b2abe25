"""Quantiles against scipy's, to 1e-8 relative."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from haulbook.estimate.quantiles import chi2_quantile, t_quantile
from haulbook.problems import Refusal


@pytest.mark.parametrize("df", [1, 2, 3, 4, 5, 10, 11, 30, 99, 421, 1000])
@pytest.mark.parametrize("p", [0.001, 0.025, 0.51, 0.9, 0.95, 0.975, 0.995, 0.9995])
def test_t_equals_scipy(p, df):
    assert t_quantile(p, df) == pytest.approx(stats.t.ppf(p, df), rel=1e-8)


@pytest.mark.parametrize("df", [0.5, 1, 2, 3, 4, 10, 41, 42, 200, 2000, 20000, 600000])
@pytest.mark.parametrize("p", [0.001, 0.025, 0.05, 0.5, 0.95, 0.975, 0.999])
def test_chi_square_equals_scipy(p, df):
    assert chi2_quantile(p, df) == pytest.approx(stats.chi2.ppf(p, df), rel=1e-8)


@given(p=st.floats(0.001, 0.999), df=st.integers(1, 60))
@settings(max_examples=60)
def test_both_equal_scipy_anywhere(p, df):
    assert t_quantile(p, df) == pytest.approx(stats.t.ppf(p, df), rel=1e-8, abs=1e-12)
    assert chi2_quantile(p, df) == pytest.approx(stats.chi2.ppf(p, df), rel=1e-8)


@pytest.mark.parametrize(
    ("quantile", "p", "df", "says"),
    [
        (t_quantile, 1.0, 3, "a probability of 1 has no quantile"),
        (t_quantile, 0.9, 0, "needs a whole number, 1 or more"),
        (t_quantile, 0.9, 2.5, "needs a whole number, 1 or more"),
        (chi2_quantile, 0.0, 3, "a probability of 0 has no quantile"),
        (chi2_quantile, 0.9, 0, "chi-square needs more than 0"),
    ],
)
def test_what_has_no_quantile_is_refused(quantile, p, df, says):
    with pytest.raises(Refusal, match=says):
        quantile(p, df)
