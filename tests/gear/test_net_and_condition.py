"""Nets that cannot be, and the two separate eligibilities of a haul."""

from __future__ import annotations

import pytest

from haulbook.gear import CONDITIONS, Net, condition
from haulbook.problems import Refusal


def test_every_impossible_figure_of_a_net_is_named_at_once():
    with pytest.raises(Refusal) as caught:
        Net("n1", length_m=0, height_m=-1.5, mesh_mm=0, mesh_as="knot", width_ratio=1.2)
    assert [problem.column for problem in caught.value.problems] == [
        "length_m",
        "height_m",
        "mesh_mm",
        "mesh_as",
        "width_ratio",
    ]
    assert "say stretch (knot to opposite knot) or bar" in str(caught.value)


def test_a_net_lower_than_a_metre_and_one_as_wide_as_it_is_long_are_nets():
    """Width over length lies above 0 and is at most 1; poles tied a net's length apart hold it there."""
    low = Net("n1", length_m=5, height_m=0.9, mesh_mm=0.5, mesh_as="bar", width_ratio=1)
    assert (low.height_m, low.mesh_mm, low.width_ratio) == (0.9, 0.5, 1)
    with pytest.raises(Refusal, match=r"width_ratio is 0; width over length lies above 0 and is at most 1"):
        Net("n1", length_m=5, height_m=0.9, mesh_mm=0.5, mesh_as="bar", width_ratio=0)


def test_only_conditions_1_and_2_count_for_density_and_all_count_for_the_permit():
    """Public processing code of the San Francisco Estuary series: 1 and 2 analysed, 3, 4 and 9 dropped."""
    assert {code for code, c in CONDITIONS.items() if c.for_density} == {1, 2}
    assert {code for code, c in CONDITIONS.items() if c.flagged} == {2}
    assert all(c.for_permit for c in CONDITIONS.values())
    assert list(CONDITIONS) == [1, 2, 3, 4, 5, 9]


def test_a_haul_that_nobody_judged_counts_as_not_known():
    assert condition(None).code == 9
    assert not condition(None).for_density


def test_an_unknown_condition_is_refused_with_the_known_ones():
    with pytest.raises(Refusal, match="there is no condition 7; known are 1 good, 2 minor fault"):
        condition(7)
