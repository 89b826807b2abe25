"""What must hold for every way home and every table of company."""

from __future__ import annotations

import math
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from haulbook.care.acclimation import mixing
from haulbook.care.acclimation.schedule import Bath, schedule
from haulbook.care.company import Guest, best_bucket, verdict, worst
from haulbook.care.company_table import ALONE, BY_GROUP
from haulbook.care.planning import HOUSE
from haulbook.problems import Refusal

baths = st.builds(Bath, st.floats(0, 26), st.floats(4, 38))
kinds = st.sampled_from(sorted({*BY_GROUP.values(), ALONE, "small crabs"}))
sizes = st.one_of(st.none(), st.floats(5, 400))
guests = st.builds(lambda kind, mm: Guest("animal", kind, mm, mm), kinds, sizes)


@given(baths, baths, st.floats(1, 200))
def test_a_schedule_ends_at_the_target_and_conserves_what_is_mixed(start, tank, litres):
    made = schedule(start, tank, litres)
    temperature, salinity, before = start.temperature_c, start.salinity, 0.0
    for step in made.steps:
        share = step.swap_l / litres
        rest_h = (step.at_min - before) / 60
        assert math.isclose(
            step.temperature_c, temperature + share * (tank.temperature_c - temperature), abs_tol=1e-9
        )
        assert math.isclose(step.salinity, salinity + share * (tank.salinity - salinity), abs_tol=1e-9)
        assert abs(step.temperature_c - temperature) <= HOUSE.acclimation_c_per_h * rest_h + 1e-9
        assert abs(step.salinity - salinity) <= HOUSE.acclimation_salinity_per_h * rest_h + 1e-9
        temperature, salinity, before = step.temperature_c, step.salinity, step.at_min
    if made.steps:
        assert abs(temperature - tank.temperature_c) <= HOUSE.acclimation_close
        assert abs(salinity - tank.salinity) <= HOUSE.acclimation_close
        assert math.isclose(made.hours * 60, made.steps[-1].at_min)
    else:
        assert max(abs(temperature - tank.temperature_c), abs(salinity - tank.salinity)) <= 1.0


@given(baths, baths, st.floats(1, 200), st.floats(0.5, 60))
def test_a_drip_nears_the_target_steadily_and_uses_its_flow(start, tank, litres, flow):
    try:
        made = schedule(start, tank, litres, flow_l_h=flow)
    except Refusal:  # a drip of more than a week is no way home: tests of the command hold the words
        return
    if made.route != "drip":
        return
    assert math.isclose(sum(step.swap_l for step in made.steps), flow * made.hours, rel_tol=1e-9)
    gaps = [abs(start.salinity - tank.salinity), *(abs(step.salinity - tank.salinity) for step in made.steps)]
    assert all(later <= earlier for earlier, later in pairwise(gaps))
    assert gaps[-1] <= HOUSE.acclimation_close * (1 + 1e-9)


@given(st.floats(0, 40), st.floats(0, 40), st.floats(1, 100), st.floats(0, 100))
def test_filling_keeps_the_salt(start, target, litres, added):
    mixed = mixing.fill(start, target, litres, added)
    assert math.isclose(mixed * (litres + added), start * litres + target * added, abs_tol=1e-6)


@given(st.floats(0.01, 0.9), st.floats(0.001, 1))
def test_swaps_needed_are_enough_and_not_one_too_many(share, left):
    n = mixing.swaps_needed(share, left)
    assert mixing.swaps_left(share, n) <= left * (1 + 1e-9)
    assert n == 0 or mixing.swaps_left(share, n - 1) > left * (1 - 1e-9)


@given(guests, guests)
def test_company_is_the_same_both_ways(one, other):
    assert verdict(one, other).level == verdict(other, one).level


@given(guests, st.lists(st.lists(guests, max_size=3), max_size=4))
def test_no_animal_is_put_where_it_eats_or_is_eaten(newcomer, filled):
    buckets = {f"bucket {n}": inside for n, inside in enumerate(filled, 1)}
    choice = best_bucket(newcomer, buckets)
    if choice.place is not None:
        assert worst(newcomer, buckets[choice.place]).level in ("ok", "short")
    else:
        assert all(worst(newcomer, inside).level in ("no", "never") for inside in filled)
