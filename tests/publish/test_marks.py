"""Small drawings: as many strokes and rings as the numeral beside them says."""

from __future__ import annotations

import dataclasses
import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulbook.estimate import Estimate, HaulDensity, HaulRow, catch_per_area
from haulbook.publish.marks import Axis, axis_for, gates, headroom, strip


@pytest.mark.parametrize("n", range(1, 21))
def test_gates_have_one_stroke_an_animal(n):
    drawn = str(gates(n))
    assert drawn.count("M") == n
    assert len(re.findall(r"L", drawn)) == n // 5
    assert 'aria-hidden="true"' in drawn


@pytest.mark.parametrize("n", [0, 21, 600, -1])
def test_beyond_twenty_and_for_none_the_numeral_stands_alone(n):
    assert gates(n) == ""


@given(before=st.integers(0, 14), now=st.integers(0, 14), limit=st.integers(0, 12))
def test_rings_show_used_left_and_over(before, now, limit):
    drawn = str(headroom(before, now, limit))
    assert drawn.count("<circle") == limit
    assert drawn.count('class="solid"') == max(0, min(limit, before + now) - min(limit, before))
    assert drawn.count("h9v9h-9z") == min(5, max(0, before + now - limit))


def test_above_twelve_a_scale_in_tenths():
    drawn = str(headroom(84, 754, 1500))
    assert "<circle" not in drawn
    assert drawn.count("v-5") == 9
    assert 'width="7.8"' in drawn  # 84 of 1500 on 140
    assert 'width="70.4"' in drawn  # 754 of 1500 on 140
    assert drawn.count("h9v9h-9z") == 0
    assert str(headroom(1500, 1, 1500)).count("h9v9h-9z") == 1


def test_axis_spaces_decades_evenly_and_prints_plain_numbers():
    axis = Axis([0.3, 40])
    assert [label for _, label in axis.ticks] == ["0.1", "1", "10", "100"]
    places = [at for at, _ in axis.ticks]
    assert places[1] - places[0] == pytest.approx(places[2] - places[1])
    assert axis.at(1) == pytest.approx(places[1])
    assert axis.ZERO_END < places[0] < places[1] < places[2] < places[3] < 100
    assert (axis.at(0.02), axis.at(5000)) == (places[0], places[3]), "what runs off stands at the edge"
    assert [axis.runs_off_left(value) for value in (0, 0.02, 0.1, 5000)] == [True, True, False, False]


def test_an_axis_takes_no_account_of_what_is_no_number():
    assert Axis([1.0, 30.0, math.inf]).ticks == Axis([1.0, 30.0]).ticks
    assert [label for _, label in Axis([0.0]).ticks] == ["1", "10"]


def rows(*counts):
    return [HaulRow(str(i), y, 50.0) for i, y in enumerate(counts)]


def test_every_haul_is_a_ring_and_hauls_with_none_stand_left_of_the_line():
    estimate = catch_per_area(rows(0, 4, 0, 11, 9))
    drawn = str(strip(estimate, axis_for([estimate])))
    places = [float(at) for at in re.findall(r'<circle cx="([\d.]+)%"', drawn)]
    assert len(places) == 5
    assert sum(at < Axis.ZERO_END for at in places) == 2
    assert 'class="bar"' in drawn
    assert 'class="upright"' in drawn


def test_a_limit_far_below_the_hauls_runs_off_with_an_arrow_and_leaves_them_their_room():
    near = Estimate(3.0, 1.5, 6.0, 2, 2, "ratio of means, log-t", hauls=(HaulDensity("1", 3.0),))
    far = dataclasses.replace(near, low=0.1, high=9.0)
    assert [label for _, label in axis_for([far]).ticks] == ["1", "10"]
    arrow = 'd="M6 -5L0 0L6 5"'
    assert arrow in str(strip(far, axis_for([far])))
    assert arrow not in str(strip(near, axis_for([near])))


def test_where_nothing_was_caught_the_axis_shows_the_room_that_is_left():
    """Three hauls of 5000 m² at k = 0.5: 0.5 (20^(1/1.5) - 1) / 50 = 0.064 per 100 m²."""
    estimate = catch_per_area([HaulRow(str(i), 0, 5000.0) for i in range(3)])
    assert estimate.high == pytest.approx(0.0637, abs=5e-5)
    assert [label for _, label in axis_for([estimate]).ticks] == ["0.01", "0.1"]


def test_limits_that_tell_nothing_are_not_drawn():
    estimate = catch_per_area(rows(40, 2))
    assert not estimate.limits_shown
    assert 'class="bar"' not in str(strip(estimate, axis_for([estimate])))


def test_a_catch_of_nothing_is_drawn_as_room_up_to_its_bound():
    estimate = catch_per_area(rows(0, 0, 0))
    drawn = str(strip(estimate, axis_for([estimate])))
    assert 'class="bound"' in drawn
    assert 'class="upright"' not in drawn


@given(values=st.lists(st.floats(0, 1e6), max_size=6))
def test_any_axis_keeps_its_marks_inside(values):
    axis = Axis(values)
    for value in values:
        if value > 0:
            assert Axis.ZERO_END < axis.at(value) <= 100
    assert len(axis.ticks) >= 2
