"""What must hold for all sea water."""

from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st

from haulbook.care import seawater
from haulbook.care.seawater.hydrometer import CALIBRATIONS

temperatures = st.floats(0, 35)
salinities = st.floats(2, 40)


@given(temperatures, salinities, st.floats(0.1, 4))
def test_warm_and_salty_water_holds_less_oxygen(temperature, salinity, more):
    at = seawater.oxygen_mg_per_l(temperature, salinity)
    assert seawater.oxygen_mg_per_l(temperature + more, salinity) < at
    assert seawater.oxygen_mg_per_l(temperature, max(0.0, salinity - more)) > at


@given(temperatures, salinities, st.floats(900, 1059))
def test_more_pressure_dissolves_more(temperature, salinity, pressure):
    less = seawater.oxygen_mg_per_l(temperature, salinity, pressure)
    assert less < seawater.oxygen_mg_per_l(temperature, salinity, pressure + 1)


@given(st.floats(0, 34), st.floats(2.1, 41.9))
def test_conductivity_and_salinity_are_each_others_inverse(temperature, salinity):
    there = seawater.conductivity_from_salinity(salinity, temperature)
    assert math.isclose(seawater.salinity_from_conductivity(there, temperature), salinity, abs_tol=1e-6)


@given(st.floats(1.01, 1.028), st.floats(2, 30), st.sampled_from(sorted(CALIBRATIONS)))
def test_a_hydrometer_range_holds_its_value_and_a_higher_reading_is_saltier(reading, temperature, pair):
    value = seawater.salinity_from_hydrometer(reading, temperature, pair)
    low, high = seawater.hydrometer_low_high(reading, temperature, pair, 0.001)
    assert low <= value <= high
    assert seawater.salinity_from_hydrometer(reading + 0.001, temperature, pair) > value
    everything = seawater.hydrometer_low_high(reading, temperature, None, 0.001)
    assert everything[0] <= low <= high <= everything[1]


@given(st.floats(5, 29), st.floats(5, 40), st.floats(6, 9), st.sampled_from(["nbs", "total"]))
def test_the_poisonous_share_grows_with_ph_and_warmth(temperature, salinity, ph, scale):
    share = seawater.ammonia_fraction(temperature, salinity, ph, scale)
    assert 0 < share < 1
    assert seawater.ammonia_fraction(temperature, salinity, ph + 0.1, scale) > share
    assert seawater.ammonia_fraction(temperature + 1, salinity, ph, scale) > share


@given(temperatures, st.floats(0, 40))
def test_salt_makes_water_heavier_and_freeze_later(temperature, salinity):
    assert seawater.density_kg_m3(temperature, salinity + 1) > seawater.density_kg_m3(temperature, salinity)
    if salinity <= 39:
        assert seawater.freezing_c(salinity + 1) < seawater.freezing_c(salinity)
