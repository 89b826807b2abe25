"""The decision table, row by row, and what must hold whatever the hauls."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulbook.estimate import (
    Estimate,
    HaulRow,
    LeftOut,
    catch_per_area,
    catches_per_area,
    figure,
    in_figures,
    in_words,
)
from haulbook.estimate.nothing_caught import exact_poisson_limits
from haulbook.problems import Refusal


def hauls(*rows: tuple[int | None, float | None], **same) -> list[HaulRow]:
    return [HaulRow(str(i), y, a, net="n1", set_type="straight", **same) for i, (y, a) in enumerate(rows, 1)]


def test_no_valid_haul_gives_no_number():
    estimate = catch_per_area(hauls((4, None), (None, 50)))
    assert estimate.per_100_m2 is None
    assert (estimate.low, estimate.high) == (None, None)
    assert estimate.left_out == (
        LeftOut("1", "no area, no density"),
        LeftOut("2", "not looked for or not counted"),
    )
    assert in_figures(estimate) == "no valid haul"
    assert in_words(estimate) == "No valid haul, so no catch per area."
    assert catch_per_area([]).method == "none"


def test_one_haul_has_exact_poisson_limits_and_says_what_they_ignore():
    """T = 5: 1.623486 to 11.668332 (R poisson.test)."""
    estimate = catch_per_area(hauls((5, 50)))
    assert estimate.per_100_m2 == pytest.approx(10)
    assert (estimate.low, estimate.high) == pytest.approx((2 * 1.623486, 2 * 11.668332), abs=2e-6)
    assert estimate.warnings == ("this haul only; ignores patchiness",)
    assert in_figures(estimate) == "10 (3.2 to 23)"


def test_three_hauls_give_the_ratio_of_means_with_a_log_t_interval():
    """R survey svyratio and the delta method on the logarithm: 0.010622 to 0.848488 per m²."""
    estimate = catch_per_area(hauls((4, 50), (0, 42), (11, 66)))
    assert estimate.method == "ratio of means, log-t"
    assert estimate.per_100_m2 == pytest.approx(9.49367, abs=5e-6)
    assert (estimate.low, estimate.high) == pytest.approx((1.0622, 84.8488), abs=5e-4)
    assert estimate.mean_of_hauls_per_100_m2 == pytest.approx((8 + 0 + 100 / 6) / 3)
    assert [haul.per_100_m2 for haul in estimate.hauls] == pytest.approx([8, 0, 100 / 6])
    assert (estimate.n_hauls, estimate.n_positive) == (3, 2)
    assert in_figures(estimate) == "9.5 (1.1 to 85)"
    assert in_words(estimate) == "9.5 per 100 m² swept, from 3 hauls; 95 % interval 1.1 to 85."


def test_limits_are_printed_up_to_a_hundredfold_and_no_farther():
    """Rule of this project: upper over lower at most 100."""
    at_bar = Estimate(10.0, 1.0, 100.0, 2, 2, "ratio of means, log-t")
    assert at_bar.limits_shown
    assert in_figures(at_bar) == "10 (1 to 100)"
    above = dataclasses.replace(at_bar, high=100.5)
    assert not above.limits_shown
    assert in_figures(above) == "10 (too few)"


def test_two_unlike_hauls_keep_their_limits_in_the_data_and_off_the_page():
    estimate = catch_per_area(hauls((40, 50), (2, 60)))
    assert estimate.high > 100 * estimate.low
    assert not estimate.limits_shown
    assert "too few hauls for an interval" in estimate.warnings
    assert in_figures(estimate) == "38 (too few)"
    assert in_words(estimate).endswith("from 2 hauls: too few hauls for an interval.")


def test_one_positive_haul_is_said():
    estimate = catch_per_area(hauls((0, 50), (0, 50), (9, 60), (0, 55)))
    assert "one haul holds all the catch" in estimate.warnings
    assert "one haul holds all the catch" not in catch_per_area(hauls((1, 50), (9, 60))).warnings


def test_nothing_caught_has_two_upper_bounds():
    """n 5, k 0.5: 1.157227 a haul if patchy, 0.599146 if scattered."""
    estimate = catch_per_area(hauls(*[(0, 50)] * 5))
    assert estimate.per_100_m2 == 0
    assert estimate.low == 0
    assert estimate.high == pytest.approx(2 * 1.157227, abs=1e-6)
    assert estimate.high_if_scattered == pytest.approx(2 * 0.599146, abs=2e-6)
    assert in_figures(estimate) == "0 (under 2.3)"
    assert in_words(estimate) == (
        "None in 5 hauls. They leave room for up to 2.3 per 100 m² if the animals live in patches (1.2 if "
        "scattered). Not seen is not absent."
    )
    assert estimate.warnings[0] == "not seen is not absent; the bound for patches assumes a clumping k of 0.5"


def test_hauls_that_agree_to_the_animal_do_not_pass_as_certainty():
    estimate = catch_per_area(hauls((2, 50), (2, 50), (2, 50)))
    assert estimate.method == "ratio of means, exact Poisson"
    assert any("agree more closely than chance" in warning for warning in estimate.warnings)
    low, high = exact_poisson_limits(6, 1.5)  # 6 animals on 150 m², per 100 m²
    assert (estimate.low, estimate.high) == pytest.approx((low, high))


def test_hauls_left_out_are_named_with_the_reason():
    rows = hauls((4, 50), (7, 60), (3, 55), (2, 0))
    rows[1] = dataclasses.replace(rows[1], eligible=False, why_not="poor: leadline rolled")
    estimate = catch_per_area(rows)
    assert estimate.n_hauls == 2
    assert estimate.left_out == (LeftOut("2", "poor: leadline rolled"), LeftOut("4", "area 0 m², no density"))


def test_what_rests_on_assumptions_is_said():
    rows = hauls((4, 50), (7, 60), (3, 55))
    rows[0] = dataclasses.replace(rows[0], flagged=True, area_assumed=True, estimated=True)
    warnings = catch_per_area(rows).warnings
    assert "counted with a minor fault: 1" in warnings
    assert "the area of 1 of 3 hauls rests on an assumed length; that error does not average out" in warnings
    assert "1 of 3 hauls hold animals that were expanded or judged, not counted" in warnings


def test_hauls_of_different_nets_sets_light_or_tide_are_never_pooled():
    rows = hauls((4, 50), (7, 60))
    rows.append(dataclasses.replace(rows[0], label="3", net="n2"))
    rows.append(dataclasses.replace(rows[0], label="4", set_type="semicircle"))
    rows.append(dataclasses.replace(rows[0], label="5", light="night", tide="ebb"))
    with pytest.raises(Refusal, match="cannot be put together: net n1, semicircle; net n1, straight;"):
        catch_per_area(rows)
    groups = catches_per_area(rows)
    assert [group.words for group in groups] == [
        "net n1, straight",
        "net n2, straight",
        "net n1, semicircle",
        "net n1, straight, night, ebb",
    ]
    assert [estimate.n_hauls for estimate in groups.values()] == [2, 1, 1, 1]


def test_a_negative_count_is_refused():
    with pytest.raises(Refusal, match="a haul with -1 animals"):
        catch_per_area(hauls((-1, 50)))


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0, "0"),
        (0.0000432, "0.000043"),
        (0.96, "0.96"),
        (3.0, "3"),
        (9.96, "10"),
        (12.4, "12"),
        (99.7, "100"),
        (338.4, "338"),
        (12345.6, "12346"),
    ],
)
def test_figures_are_printed_plainly(value, text):
    assert figure(value) == text


some_hauls = st.lists(
    st.tuples(
        st.one_of(st.none(), st.integers(0, 400)), st.one_of(st.none(), st.floats(10, 500)), st.booleans()
    ),
    max_size=10,
)


@given(rows=some_hauls)
def test_every_haul_is_either_used_or_listed_and_limits_hold_the_estimate(rows):
    given_rows = [HaulRow(str(i), y, a, eligible=ok) for i, (y, a, ok) in enumerate(rows)]
    estimate = catch_per_area(given_rows)
    labels = [haul.label for haul in estimate.hauls] + [left.label for left in estimate.left_out]
    assert sorted(labels) == sorted(row.label for row in given_rows)
    assert estimate.n_hauls == len(estimate.hauls)
    if estimate.per_100_m2 is not None:
        assert 0 <= estimate.low <= estimate.per_100_m2 * (1 + 1e-9)
        assert estimate.high >= estimate.per_100_m2 * (1 - 1e-9)
        assert estimate.high < float("inf")
        assert in_words(estimate)
        assert in_figures(estimate)
