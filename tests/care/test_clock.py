"""The bucket's clock as a recorder reads it."""

from __future__ import annotations

import pytest

from haulbook.care.bucket import change, clock, limits, measured
from haulbook.care.bucket.clock import INCLUDED, Minutes, Stress, Water, fresh_stress
from haulbook.care.demand import NOTHING, Demand, spread
from haulbook.problems import Refusal

WATER = Water(15, 12, 30)
PERCH = spread(24.9762 / 20, 0.5)  # one shiner perch of 8 cm at 12 °C, worked example
TWENTY = PERCH.times(20)
STRESSED = Stress(2.4)


def test_the_worked_example_reads_27_minutes_and_59_to_5_milligrams():
    left = clock.minutes_left(WATER, TWENTY, clock.target_mg_l(WATER), STRESSED)
    assert left.middle == pytest.approx(0.4466 * 60, abs=0.01)
    assert clock.minutes_left(WATER, TWENTY, 5, STRESSED).middle == pytest.approx(0.9820 * 60, abs=0.01)


def test_eight_perch_fit_for_an_hour_and_three_more_beside_five():
    target = clock.target_mg_l(WATER)
    assert clock.room_for(WATER, NOTHING, PERCH, target, STRESSED, 60) == 8
    assert clock.room_for(WATER, PERCH.times(5), PERCH, target, STRESSED, 60) == 3
    assert clock.room_for(WATER, PERCH.times(9), PERCH, target, STRESSED, 60) == 0


def test_with_air_it_is_never_and_28_fit():
    aired = Water(15, 12, 30, air_per_h=3)
    target = clock.target_mg_l(aired)
    assert clock.minutes_left(aired, TWENTY, target, STRESSED).middle is None
    assert clock.room_for(aired, NOTHING, PERCH, target, STRESSED, 60) == 28
    assert clock.steady_mg_l(aired, TWENTY, STRESSED) == pytest.approx(7.5922, abs=1e-4)


def test_below_the_threshold_it_says_now():
    low = Water(15, 12, 30, oxygen_mg_l=4.0)
    left = clock.minutes_left(low, TWENTY, 5, fresh_stress())
    assert left == Minutes(0.0, 0.0, 0.0)
    assert left.words() == "now"
    assert clock.room_for(low, NOTHING, PERCH, 5, STRESSED, 60) == 0


def test_an_empty_bucket_has_all_the_time():
    assert clock.minutes_left(WATER, NOTHING, 5, fresh_stress()).words() == "not while nothing changes"


def test_words_name_the_worst_and_the_best():
    assert Minutes(27.2, 17.9, 40.1).words() == "about 27 min (at worst 18, at best 40)"
    assert Minutes(27.2, 17.9, None).words() == "about 27 min (at worst 18, at best never)"
    assert Minutes(98.4, 65.6, 312.4).words() == "about 98 min (at worst 66, at best 310)"
    assert Minutes(None, 17.9, None).words() == "likely never, at worst in 18 min"


def test_what_stands_above_saturation_is_not_counted_on():
    assert Water(15, 12, 30, oxygen_mg_l=12).start_mg_l == WATER.saturation_mg_l


def test_act_now_is_whichever_comes_first_on_the_way_down():
    assert clock.act_now_mg_l(WATER) == pytest.approx(0.6 * WATER.saturation_mg_l)
    warm = Water(15, 25, 35)
    assert clock.act_now_mg_l(warm) == 5.0


def test_stress_wears_off_and_a_measured_demand_has_none():
    assert Stress(2.4, 2.0).after(1.5).multiplier == pytest.approx(1 + 1.4 * 0.05, abs=0.001)
    assert Stress(2.4).after(10).multiplier == 2.4
    assert INCLUDED.multiplier == 1.0


def test_two_readings_give_the_buckets_own_rate_with_the_meters_doubt():
    demand = measured.measured_demand(8.0, 6.0, 0.5, 15, 0.2)
    assert (demand.low, demand.mg_h, demand.high) == (pytest.approx(48), 60.0, pytest.approx(72))


def test_a_rate_that_cannot_be_read_is_refused():
    with pytest.raises(Refusal, match="take the second reading later, with the air off"):
        measured.measured_demand(6.0, 6.0, 0.5, 15, 0.2)
    with pytest.raises(Refusal, match="start from water well below saturation"):
        measured.air_from_readings(7.0, 9.5, 8.92, 0.5)


def test_warming_stops_at_the_end_temperature_for_catch_from_cold_water_only():
    cold = limits.warming_limits(Water(15, 16, 30), 25)
    assert [each.value for each in cold] == [18.0, 19.0, 18.0]
    warm = limits.warming_limits(Water(15, 22, 30), 35)
    assert [each.value for each in warm] == [24.0, 25.0, 27.0]
    assert all(each.minutes.middle and each.minutes.middle > 0 for each in warm)


def test_warming_takes_the_published_minutes():
    note = limits.warming_limits(WATER, 22)[0]
    assert note.minutes.middle == pytest.approx(0.8926 * 60, abs=0.01)
    assert note.minutes.low == pytest.approx(0.4463 * 60, abs=0.01)


def test_ammonia_takes_four_hours_where_oxygen_takes_half_of_one():
    # Worked example: R 59.943 mg/h in 15 L, pH 8.0 NBS, fed: 4.00 h; fasted 8.73 h.
    limit = limits.ammonia_limit(WATER, TWENTY, STRESSED, 8.0, "nbs")
    assert limit.minutes.middle == pytest.approx(4.00 * 60, abs=0.5)
    fasted = limits.ammonia_limit(WATER, Demand(59.943, 59.943, 59.943), INCLUDED, 8.0, "nbs")
    assert fasted.minutes.high == pytest.approx(8.73 * 60, abs=0.5)


def test_a_part_change_brings_what_new_water_can_bring():
    assert change.share_to_change(5.0, 9.0, 7.0) == pytest.approx(0.5)
    assert change.share_to_change(5.0, 6.0, 7.0) is None
    assert change.share_to_change(5.0, 5.0, 7.0) is None
    assert change.share_to_change(7.0, 9.0, 7.0) == 0.0


def test_all_that_is_wrong_with_the_water_is_said_together():
    with pytest.raises(Refusal) as refused:
        Water(0, 45, 30, air_per_h=-1)
    assert len(refused.value.problems) == 3
