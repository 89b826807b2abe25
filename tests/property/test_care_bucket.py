"""What must hold for every bucket."""

from __future__ import annotations

import math

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from haulbook.care.bucket import clock, model
from haulbook.care.bucket.clock import Stress, Water
from haulbook.care.demand import NOTHING, demand_of, spread
from haulbook.taxa import load_pack

PACK = load_pack("nwatlantic")
ANIMALS = [key for key, taxon in PACK.taxa.items() if not taxon.group.startswith(("cover", "higher"))]

waters = st.builds(
    Water,
    litres=st.floats(1, 60),
    temperature_c=st.floats(2, 26),
    salinity=st.floats(0, 38),
    oxygen_mg_l=st.one_of(st.none(), st.floats(0, 14)),
    air_per_h=st.one_of(st.just(0.0), st.floats(0.01, 12)),
)
loads = st.floats(0.01, 500).map(lambda mg_h: spread(mg_h, 0.5))
stresses = st.one_of(
    st.floats(1, 4).map(Stress),
    st.builds(Stress, st.floats(1, 4), st.floats(0.2, 6)),
)
thresholds = st.floats(0.5, 9)


def _order(hours: float | None) -> float:
    return math.inf if hours is None else hours


@given(waters, loads, thresholds, stresses)
def test_the_range_holds_the_middle_and_nothing_is_negative(water, load, threshold, stress):
    left = clock.minutes_left(water, load, threshold, stress)
    assert 0 <= _order(left.low) <= _order(left.middle) * (1 + 1e-9)
    assert _order(left.middle) <= _order(left.high) * (1 + 1e-9)


@given(waters, loads, loads, thresholds, stresses)
def test_minutes_fall_when_animals_are_added(water, inside, added, threshold, stress):
    before = clock.minutes_left(water, inside, threshold, stress)
    after = clock.minutes_left(water, inside + added, threshold, stress)
    for name in ("low", "middle", "high"):
        assert _order(getattr(after, name)) <= _order(getattr(before, name)) * (1 + 1e-9) + 1e-6


@given(waters, st.floats(0.01, 12), loads, thresholds, stresses)
def test_more_air_never_shortens(water, more, load, threshold, stress):
    aired = Water(
        water.litres, water.temperature_c, water.salinity, water.oxygen_mg_l, water.air_per_h + more
    )
    before = clock.minutes_left(water, load, threshold, stress)
    after = clock.minutes_left(aired, load, threshold, stress)
    for name in ("low", "middle", "high"):
        assert _order(getattr(after, name)) >= _order(getattr(before, name)) * (1 - 1e-9) - 1e-6


@given(waters, loads, thresholds, stresses, st.floats(0.05, 3))
def test_a_lower_threshold_is_never_reached_sooner(water, load, threshold, stress, less):
    high = clock.minutes_left(water, load, threshold, stress)
    low = clock.minutes_left(water, load, max(0.0, threshold - less), stress)
    assert _order(low.middle) >= _order(high.middle) * (1 - 1e-9)
    assert _order(low.high) >= _order(high.high) * (1 - 1e-9) - 1e-6


@given(
    st.lists(st.tuples(st.sampled_from(ANIMALS), st.integers(1, 9)), min_size=1, max_size=5), st.floats(2, 26)
)
@settings(max_examples=50)
def test_mixed_buckets_add(lots, temperature):
    each = [demand_of(PACK[key], temperature).times(n) for key, n in lots]
    together = sum(each, NOTHING)
    assert math.isclose(together.mg_h, math.fsum(one.mg_h for one in each))
    assert math.isclose(together.high, math.fsum(one.high for one in each))
    assert together.low <= together.mg_h <= together.high


@given(waters, loads, thresholds, st.floats(1, 4))
def test_at_the_end_of_the_minutes_the_oxygen_stands_at_the_threshold(water, load, threshold, multiplier):
    left = clock.minutes_left(water, load, threshold, Stress(multiplier)).middle
    assume(left is not None and 0 < left < 1e5)
    then = model.oxygen_after(
        left / 60,
        water.start_mg_l,
        water.saturation_mg_l,
        water.litres,
        load.mg_h * multiplier,
        water.air_per_h,
    )
    assert math.isclose(then, threshold, abs_tol=1e-5)


@given(waters, loads, thresholds, st.floats(1.01, 4), st.floats(0.2, 6))
def test_stress_that_wears_off_reaches_the_threshold_first_at_its_minutes(
    water, load, threshold, factor, decay
):
    hours = model.hours_until_calming(
        threshold,
        water.start_mg_l,
        water.saturation_mg_l,
        water.litres,
        load.mg_h,
        water.air_per_h,
        factor,
        decay,
    )
    assume(hours != 0.0)

    def oxygen(at: float) -> float:
        return model.oxygen_after(
            at,
            water.start_mg_l,
            water.saturation_mg_l,
            water.litres,
            load.mg_h,
            water.air_per_h,
            factor,
            decay,
        )

    span = 200.0 if hours is None else hours
    assert min(oxygen(span * step / 200) for step in range(200)) >= threshold - 1e-6
    if hours is not None:
        assert math.isclose(oxygen(hours), threshold, abs_tol=1e-5)


@given(waters, loads, thresholds, st.floats(10, 240))
def test_as_many_as_fit_last_the_carry_and_one_more_does_not(water, each, threshold, carry):
    assume(water.start_mg_l > threshold)
    stress = Stress(2.4)
    room = clock.room_for(water, NOTHING, each, threshold, stress, carry)
    assume(room < 1e6)
    fits = clock.minutes_left(water, each.times(room), threshold, stress).middle
    over = clock.minutes_left(water, each.times(room + 1), threshold, stress).middle
    assert _order(fits) >= carry * (1 - 1e-6)
    assert _order(over) <= carry * (1 + 1e-6)


@given(st.sampled_from(ANIMALS), st.floats(2, 24), st.floats(0.1, 6), st.floats(20, 200), st.floats(1, 50))
@settings(max_examples=60)
def test_warmer_and_longer_animals_need_more(key, temperature, warmer, length, longer):
    taxon = PACK[key]
    at = demand_of(taxon, temperature, length_mm=length)
    assert demand_of(taxon, temperature + warmer, length_mm=length).mg_h > at.mg_h
    assert demand_of(taxon, temperature, length_mm=length + longer).mg_h > at.mg_h
