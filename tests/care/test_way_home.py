"""The schedule from transport water to tank water."""

from __future__ import annotations

import pytest

from haulbook.care.acclimation.schedule import Bath, schedule
from haulbook.care.planning import own_defaults
from haulbook.problems import Refusal


def test_waters_alike_need_no_schedule():
    made = schedule(Bath(12, 30), Bath(13, 31), 10)
    assert (made.route, made.hours, made.steps) == ("none needed", 0.0, ())


def test_six_of_salinity_take_nine_quarters():
    # 6 to within 0.5 needs 9 swaps of a quarter (mixing law); the mean rate is 2 per hour.
    made = schedule(Bath(12, 26), Bath(12, 32), 10)
    assert len(made.steps) == 9
    assert all(step.swap_l == 2.5 for step in made.steps)
    assert made.hours == pytest.approx((made.steps[-1].salinity - 26) / 2)


def test_the_slower_of_heat_and_salt_sets_the_pace():
    made = schedule(Bath(16, 30), Bath(11, 32), 10)
    assert made.steps[0].at_min == pytest.approx(0.25 * 5 / 2 * 60)


def test_ammonia_is_looked_at_first_and_shortens_the_way():
    # TAN 2 mg N/L at pH 8.1, 12 °C, S 30 is 0.0522 mg NH3/L: above 0.035.
    made = schedule(Bath(12, 30, 7.2), Bath(12, 30, 8.1), 10, tan_mg_n_l=2)
    assert made.route == "short"
    assert made.nh3_mg_l == pytest.approx(0.0522, abs=5e-5)
    assert "0.052 mg NH3/L" in made.findings[0]
    assert made.steps == ()


def test_little_ammonia_leaves_the_long_way_open():
    made = schedule(Bath(12, 24), Bath(12, 30, 8.1), 10, tan_mg_n_l=0.2)
    assert made.route == "swaps"


def test_a_drip_that_is_too_fast_says_the_flow_that_is_not():
    # V 12, q 6, 16 to 11 °C: at most 4.8 L/h for 2 °C per hour.
    made = schedule(Bath(16, 30), Bath(11, 30), 12, flow_l_h=6)
    assert made.route == "drip"
    assert "open the tap to 4.8 L/h" in made.findings[0]
    assert schedule(Bath(16, 30), Bath(11, 30), 12, flow_l_h=4.8).findings == ()


def test_more_than_ten_of_salinity_in_one_go_is_asked():
    made = schedule(Bath(12, 20), Bath(12, 32), 10)
    assert "more than 10 in one go" in made.findings[0]
    assert schedule(Bath(12, 20), Bath(12, 30), 10).findings == ()


def test_a_large_step_in_ph_is_asked():
    assert "pH differs by 0.9" in schedule(Bath(12, 30, 7.2), Bath(12, 30, 8.1), 10).findings[0]


def test_a_stations_own_rate_changes_the_hours():
    slow = own_defaults({"acclimation_salinity_per_h": 1})
    assert schedule(Bath(12, 26), Bath(12, 32), 10, planning=slow).hours == pytest.approx(
        2 * schedule(Bath(12, 26), Bath(12, 32), 10).hours
    )


def test_water_that_is_none_is_refused():
    with pytest.raises(Refusal, match="salinity 60 is outside 0 to 42"):
        Bath(12, 60)
    with pytest.raises(Refusal, match="water volume 0 L"):
        schedule(Bath(12, 26), Bath(12, 32), 0)
