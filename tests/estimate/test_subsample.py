"""Expansion of subsamples. Worked values: independent arithmetic on Cochran 1977, chapters 2, 3 and 6."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulbook.estimate import subsample
from haulbook.problems import Refusal


def test_three_of_twelve_scoops():
    found = subsample.scoops([41, 36, 52], of=12)
    assert found.n == pytest.approx(516)
    assert found.se == pytest.approx(49.11, abs=0.005)
    assert found.method == "scoops"


def test_the_same_scoops_weighed():
    found = subsample.scoops_by_weight([41, 36, 52], [0.52, 0.47, 0.61], total=6.40, of=12)
    assert found.n == pytest.approx(516.0, abs=0.05)
    assert found.n / 6.40 == pytest.approx(80.625)
    assert found.se == pytest.approx(14.93, abs=0.005)


def test_a_quarter_split():
    found = subsample.split(129, 0.25)
    assert found.n == pytest.approx(516)
    assert found.se == pytest.approx(39.34, abs=0.005)


def test_mean_weight_has_the_relative_error_of_the_mean():
    """W/ū with CV²(ū) = s²/(n·ū²): 10 animals of 2 g on average in 400 g."""
    weights = [1.6, 2.4, 1.8, 2.2, 2.0, 1.7, 2.3, 1.9, 2.1, 2.0]
    found = subsample.by_mean_weight(weights, total=400)
    s2 = sum((w - 2.0) ** 2 for w in weights) / 9
    assert found.n == pytest.approx(200)
    assert found.se == pytest.approx(200 * math.sqrt(s2 / 10) / 2.0)


def test_one_scoop_or_one_weighed_animal_has_no_error_that_can_be_estimated():
    assert subsample.scoops([41], of=12).se is None
    assert subsample.scoops_by_weight([41], [0.5], total=6, of=12).se is None
    assert subsample.by_mean_weight([2.0], total=400).se is None


def test_all_scoops_counted_is_a_count():
    assert subsample.scoops([41, 36, 52], of=3) == subsample.Expanded(129, 0.0, "scoops")
    assert subsample.scoops_by_weight([4, 5], [1.0, 2.0], total=3.0, of=2).se == 0
    assert subsample.split(129, 1.0).se == 0


def test_what_was_judged_by_eye_stays_as_it_was_said():
    assert subsample.visual(500) == subsample.Expanded(500, None, "visual")


def test_none_in_the_scoops_is_not_a_sure_zero():
    for found in (
        subsample.scoops([0, 0, 0], of=12),
        subsample.split(0, 0.25),
        subsample.scoops_by_weight([0, 0], [1, 1], total=6, of=6),
    ):
        assert found.not_in_subsample
        assert found.n == 0
        assert found.se is None
    assert not subsample.scoops([0, 0], of=2).not_in_subsample
    assert subsample.scoops([0, 0], of=2).se == 0


def test_counted_and_expanded_parts_add_and_so_do_their_variances():
    whole = subsample.total(7, [subsample.scoops([41, 36, 52], of=12), subsample.split(129, 0.25)])
    assert whole.n == pytest.approx(7 + 516 + 516)
    assert whole.se == pytest.approx(math.hypot(49.1121, 39.3446), abs=0.001)
    assert whole.method == "counted + scoops + split"
    assert subsample.total(7, [subsample.visual(500)]).se is None
    assert subsample.total(7, []) == subsample.Expanded(7, 0.0, "counted")
    none, some = subsample.scoops([0, 0], of=9), subsample.scoops([0, 2], of=9)
    assert subsample.total(0, [none]).not_in_subsample
    assert not subsample.total(0, [none, some]).not_in_subsample, "it stood in one of the two"
    assert not subsample.total(3, [none]).not_in_subsample, "three were counted"
    assert not subsample.total(0, []).not_in_subsample, "nothing was sampled: that is a true 0"


@pytest.mark.parametrize(("n", "up"), [(516.0, 516), (516.0000000001, 516), (515.2, 516), (0.0, 0)])
def test_permit_lines_round_up(n, up):
    assert subsample.Expanded(n, None, "scoops").rounded_up == up


@given(
    counted=st.lists(st.integers(0, 400), min_size=2, max_size=8),
    more=st.integers(0, 30),
)
def test_equal_scoops_of_equal_weight_give_one_answer(counted, more):
    of = len(counted) + more
    by_count = subsample.scoops(counted, of)
    by_weight = subsample.scoops_by_weight(counted, [1.0] * len(counted), total=of, of=of)
    assert by_weight.n == pytest.approx(by_count.n)
    assert (by_weight.se is None) == (by_count.se is None)
    if by_count.se is not None:
        assert by_weight.se == pytest.approx(by_count.se, rel=1e-9, abs=1e-9)


@given(
    measured=st.dictionaries(st.integers(10, 300), st.integers(1, 40), min_size=1, max_size=20),
    unmeasured=st.integers(0, 5000),
)
def test_lengths_spread_over_the_catch_add_up_to_the_catch(measured, unmeasured):
    caught = sum(measured.values()) + unmeasured
    assert math.fsum(subsample.numbers_at_length(measured, caught).values()) == pytest.approx(caught)


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: subsample.split(3, 0), "a fraction of 0"),
        (lambda: subsample.split(3, 1.5), "a fraction of 1.5"),
        (lambda: subsample.split(-3, 0.5), "a count of -3 animals"),
        (lambda: subsample.split(1.5, 0.5), "a count of 1.5 animals"),
        (lambda: subsample.scoops([], of=12), "0 scoops counted of 12"),
        (lambda: subsample.scoops([1, 2, 3], of=2), "3 scoops counted of 2"),
        (lambda: subsample.scoops_by_weight([1, 2], [0.5], 6, of=4), "2 scoops were counted and 1 weighed"),
        (lambda: subsample.scoops_by_weight([1, 2], [0.5, 0], 6, of=4), "every weight is more than 0"),
        (lambda: subsample.scoops_by_weight([1, 2], [4, 4], 6, of=4), "heavier than the whole"),
        (lambda: subsample.by_mean_weight([], 6), "no animal was weighed"),
        (lambda: subsample.numbers_at_length({}, 6), "none was measured"),
        (lambda: subsample.numbers_at_length({60: 9}, 6), "9 were measured and 6 caught"),
    ],
)
def test_subsamples_that_cannot_be_are_refused(ask, says):
    with pytest.raises(Refusal, match=says):
        ask()
