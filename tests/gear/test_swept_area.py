"""Areas of the nine set types.

Worked values: plane geometry evaluated by an independent run, as listed with each set type in
docs/reference/gear.md. Geodesic polygon: PROJ's geodesic routines, WGS84, 164.357 m².
"""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from haulbook.custody.facts import Measure
from haulbook.gear import LETTERS, SET_TYPES, SHAPES, Area, Net, swept_area, wedge_volume_m3
from haulbook.gear.polygon import polygon_area_m2
from haulbook.gear.shapes import largest_enclosed, segment
from haulbook.problems import Refusal

NET = Net("n1", length_m=12.0, height_m=1.5, mesh_mm=6, mesh_as="stretch", width_ratio=0.7)
LONG_NET = Net("n2", length_m=24.4, height_m=1.8, mesh_mm=6, mesh_as="bar")


def measured(**lengths: float) -> dict[str, Measure]:
    return {letter: Measure(m, "measured") for letter, m in lengths.items()}


def refusal(*args, **kwargs) -> str:
    with pytest.raises(Refusal) as caught:
        swept_area(*args, **kwargs)
    return str(caught.value)


@pytest.mark.parametrize(
    ("set_type", "lengths", "m2", "within"),
    [
        ("straight", {"w": 6.2, "d": 40}, 248.0, 1e-9),
        ("quarter", {"L": 9.1}, 65.04, 0.005),
        ("semicircle", {"L": 24.4}, 94.75, 0.005),
        ("segment", {"L": 24.4, "c": 12}, 90.63, 0.005),
        ("segment", {"L": 24.4, "c": 20}, 84.37, 0.005),
        ("half_ellipse", {"c": 14, "b": 9}, 98.96, 0.005),
        ("trapezoid", {"w": 37, "c": 12, "D": 30}, 735.0, 1e-9),
    ],
)
def test_each_set_type_gives_its_worked_area(set_type, lengths, m2, within):
    area = swept_area(set_type, measured(**lengths))
    assert area.m2 == pytest.approx(m2, abs=within)
    assert area.basis == "measured"
    assert area.notes == ()


def test_half_angle_and_radius_of_the_worked_segment():
    """θ 1.91445 and r 6.3726 for 24.4 m of net over a chord of 12 m."""
    theta, r = 1.91445, 6.3726
    assert segment(24.4, 12) == pytest.approx(r**2 * (2 * theta - math.sin(2 * theta)) / 2, abs=0.01)
    assert math.sin(theta) / theta == pytest.approx(12 / 24.4, abs=1e-5)


def test_polygon_agrees_with_the_geodesic_area():
    corners = [(48.5, -122.6), (48.5, -122.5998), (48.5001, -122.5998), (48.5001, -122.6)]
    assert polygon_area_m2(corners) == pytest.approx(164.357, abs=0.001)
    assert polygon_area_m2(corners[::-1]) == pytest.approx(164.357, abs=0.001)


@pytest.mark.parametrize("south", [-60.0, 0.0, 41.0, 70.0])
def test_polygon_agrees_with_the_exact_area_between_two_parallels(south):
    """Zone of an ellipsoid, b²Δλ/2·[sin φ/(1 - e²sin²φ) + artanh(e sin φ)/e] (textbook form, from memory)."""
    e2, a = 0.00669437999014, 6378137.0
    e = math.sqrt(e2)

    def half_zone(degrees: float) -> float:
        s = math.sin(math.radians(degrees))
        return s / (1 - e2 * s * s) + math.atanh(e * s) / e

    north, east = south + 0.005, 0.005
    exact = a * a * (1 - e2) / 2 * math.radians(east) * (half_zone(north) - half_zone(south))
    corners = [(south, 0), (south, east), (north, east), (north, 0)]
    assert polygon_area_m2(corners) == pytest.approx(exact, rel=1e-6)


def test_polygon_across_the_date_line_is_the_same_as_beside_it():
    here = [(52.0, 179.9999), (52.0, -179.9999), (52.0001, -179.9999), (52.0001, 179.9999)]
    beside = [(52.0, 10.0), (52.0, 10.0002), (52.0001, 10.0002), (52.0001, 10.0)]
    assert polygon_area_m2(here) == pytest.approx(polygon_area_m2(beside), rel=1e-9)


def test_small_polygon_says_that_a_phone_is_too_coarse():
    corners = [(48.5, -122.6), (48.5, -122.5998), (48.5001, -122.5998), (48.5001, -122.6)]
    assert "too coarse below about 200 m²" in swept_area("polygon", {}, corners=corners).notes[0]


def test_wedge_volume_of_the_worked_haul():
    assert wedge_volume_m3(248, 0.9) == pytest.approx(111.6)


def test_given_area_keeps_who_said_so():
    assert swept_area("given", {}, given_m2=200, said_by="p1") == Area(
        200, "given", notes=("area given by p1",)
    )
    assert swept_area("given", {}, given_m2=200).notes == ("area given, nobody named",)


@given(
    length=st.floats(0.5, 200),
    share=st.floats(1e-6, 1),
)
def test_no_segment_is_larger_than_the_half_circle(length, share):
    assert 0 <= segment(length, length * share) <= largest_enclosed(length) * (1 + 1e-9)


@given(length=st.floats(0.5, 200), a=st.floats(0.65, 0.999), b=st.floats(0.65, 0.999))
def test_beyond_the_half_circle_a_wider_chord_closes_off_less(length, a, b):
    assume(abs(a - b) > 1e-6)
    wide, narrow = max(a, b), min(a, b)
    assert segment(length, length * wide) < segment(length, length * narrow)


def test_chord_as_long_as_the_net_closes_off_nothing():
    assert swept_area("segment", measured(L=10, c=10)).m2 == 0


@given(
    scale=st.floats(0.1, 50),
    set_type=st.sampled_from(sorted(SHAPES)),
    lengths=st.fixed_dictionaries(
        {
            "L": st.floats(8, 12),
            "c": st.floats(4, 8),
            "w": st.floats(3, 8),
            "d": st.floats(5, 40),
            "D": st.floats(5, 40),
            "b": st.floats(4.1, 4.6),
        }
    ),
)
def test_twice_the_lengths_sweep_four_times_the_area(scale, set_type, lengths):
    needed = SHAPES[set_type].needs
    small = swept_area(set_type, measured(**{k: lengths[k] for k in needed}))
    large = swept_area(set_type, measured(**{k: lengths[k] * scale for k in needed}))
    assert large.m2 == pytest.approx(small.m2 * scale**2, rel=1e-6)


def test_width_from_the_net_is_flagged_and_says_that_it_does_not_average_out():
    area = swept_area("straight", measured(d=40), NET)
    assert area.m2 == pytest.approx(12 * 0.7 * 40)
    assert area.basis == "assumed"
    assert "0.7 of 12 m assumed" in area.notes[0]
    assert "do not average" in area.notes[0]


def test_width_assumed_at_the_haul_is_flagged_too():
    area = swept_area("straight", {"w": Measure(6.2, "assumed"), "d": Measure(40, "measured")})
    assert area.basis == "assumed"
    assert area.notes == ("width between the wing ends of 6.2 m was assumed",)


def test_net_length_taken_from_the_station_file_is_flagged():
    area = swept_area("semicircle", {}, LONG_NET)
    assert area.m2 == pytest.approx(94.75, abs=0.005)
    assert area.basis == "assumed"
    assert area.notes == ("all 24.4 m of net n2 taken to have been in the water",)


def test_no_width_and_no_ratio_is_refused_not_borrowed_from_the_net_length():
    assert (
        refusal("straight", measured(d=40), LONG_NET)
        == "column w: set type straight needs the width between the wing ends (w), in m; "
        "it was not measured and net n2 has no width ratio to assume"
    )


def test_all_missing_lengths_are_named_together():
    message = refusal("trapezoid", {})
    for letter in "wcD":
        assert f"column {letter}: " in message


@pytest.mark.parametrize("value", [0, -3, math.nan, math.inf])
def test_a_length_that_is_no_length_is_refused(value):
    assert f"({'d'}) is {value:g} m; a length is more than 0" in refusal(
        "straight", measured(w=6.2) | {"d": Measure(value, "measured")}
    )


def test_width_beyond_the_net_is_refused_or_kept_with_a_reason():
    lengths = measured(w=51, d=40)
    assert "width 51 m is wider than the 12 m net" in refusal("straight", lengths, NET)
    kept = swept_area("straight", lengths, NET, override="extension panels laced on")
    assert kept.m2 == 51 * 40
    assert kept.notes == ("width 51 m is beyond the 12 m net, kept because: extension panels laced on",)


@pytest.mark.parametrize("set_type", ["segment", "half_ellipse"])
def test_chord_beyond_the_net_is_refused_whatever_the_reason(set_type):
    lengths = measured(L=24.4, c=25, b=3)
    assert "farther than 24.4 m of net can reach" in refusal(set_type, lengths, override="we are sure")


def test_half_ellipse_larger_than_the_net_can_close_off_is_refused():
    assert "close off at most 94.8 m²" in refusal("half_ellipse", measured(c=20, b=12), LONG_NET)


def test_half_disc_wider_than_the_reach_is_refused():
    assert "no half disc fits" in refusal("rectangle_half_disc", measured(w=10, b=4))


def test_reach_may_be_called_distance_hauled():
    by_b = swept_area("rectangle_half_disc", measured(w=6, b=20))
    assert by_b == swept_area("rectangle_half_disc", measured(w=6, d=20))


@pytest.mark.parametrize(
    ("corners", "says"),
    [
        ([(48.5, -122.6), (48.6, -122.6)], "needs at least 3 corners; here are 2"),
        ([(-122.6, 48.5), (48.5, -122.5), (48.6, -122.6)], "corner 1 (-122.6, 48.5) is no latitude"),
        ([(48.5, -122.6), (48.5, -122.5), (48.6, -122.6)], "no seine reaches so far"),
        (
            [(48.5, -122.6), (48.5001, -122.5998), (48.5001, -122.6), (48.5, -122.5998)],
            "the side from corner 1 crosses the side from corner 3",
        ),
    ],
)
def test_corners_that_enclose_nothing_sensible_are_refused(corners, says):
    assert says in refusal("polygon", {}, corners=corners)


def test_corners_may_lie_two_kilometres_apart_and_no_more():
    """A degree of latitude at 48.5° is 111.2 km (WGS84), so 2 km are 0.01799°."""

    def corners(north):
        return [(48.5, -122.6), (48.5, -122.6001), (48.5 + north, -122.6001), (48.5 + north, -122.6)]

    assert polygon_area_m2(corners(0.01797)) > 0
    with pytest.raises(Refusal, match="no seine reaches so far"):
        polygon_area_m2(corners(0.01801))


def test_unknown_set_types_and_letters_name_the_nearest():
    assert "nearest is 'semicircle'" in refusal("semicirle", {})
    assert "nobody said how the net was set" in refusal(None, {})
    assert "there is no measure 'x'" in refusal(
        "straight", measured(w=5, d=30) | {"x": Measure(1, "measured")}
    )
    assert "needs the area itself" in refusal("given", {})
    assert "is 0 m²" in refusal("given", {}, given_m2=0)


def test_a_sheets_own_area_is_compared_with_the_lengths():
    lengths = measured(w=6.2, d=40)
    assert swept_area("straight", lengths, given_m2=248).notes == ()
    assert swept_area("straight", lengths, given_m2=284).notes == (
        "the sheet says 284 m², the lengths give 248.0 m²; the lengths were used",
    )


def test_area_error_of_a_straight_haul_adds_in_squares_and_of_a_round_haul_doubles():
    """CV²(A) = CV²(w) + CV²(d), first-order error of a product; A ∝ L² doubles that of L."""
    straight = swept_area("straight", measured(w=6, d=40), cvs={"w": 0.2, "d": 0.05})
    assert straight.cv == pytest.approx(math.hypot(0.2, 0.05), rel=1e-6)
    assert swept_area("semicircle", measured(L=24), cvs={"L": 0.1}).cv == pytest.approx(0.2, rel=1e-6)
    assert swept_area("straight", measured(w=6, d=40)).cv is None


def test_there_are_nine_set_types_and_every_formula_uses_known_letters():
    assert len(SET_TYPES) == 9
    assert set(SET_TYPES) == set(SHAPES) | {"polygon", "given"}
    assert all(letter in LETTERS for shape in SHAPES.values() for letter in shape.needs)
