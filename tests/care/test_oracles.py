"""Sea water against libraries and older formulas that are not part of haulbook."""

from __future__ import annotations

import math

import gsw
import numpy as np
import pytest
from scipy.integrate import solve_ivp

from haulbook.care import seawater
from haulbook.care.bucket import model

GRID = [(float(t), float(s)) for t in np.linspace(1, 30, 9) for s in np.linspace(0, 40, 9)]


def test_oxygen_in_micromoles_is_the_toolbox_value_of_teos_10():
    for t, s in GRID:
        assert seawater.oxygen_umol_per_kg(t, s) == pytest.approx(gsw.O2sol_SP_pt(s, t), abs=1e-9)


def test_both_oxygen_formulas_agree_within_2_micrograms_between_5_and_25_degrees():
    for t, s in GRID:
        if 5 <= t <= 25 and s <= 35:
            other = seawater.mg_per_l_from_umol_per_kg(seawater.oxygen_umol_per_kg(t, s), t, s)
            assert seawater.oxygen_mg_per_l(t, s) == pytest.approx(other, abs=0.002)


def test_oxygen_agrees_with_weiss_1970_within_half_a_percent():
    # Weiss 1970 in mL/L as in R marelac; 1 mL O2 = 1.42905 mg (USGS memorandum 2011.03).
    for t, s in GRID:
        if s > 35:
            continue
        k = (t + 273.15) / 100
        ml = math.exp(
            -173.4292 + 249.6339 / k + 143.3483 * math.log(k) - 21.8492 * k
            + s * (-0.033096 + 0.014259 * k - 0.0017 * k**2)
        )  # fmt: skip
        assert seawater.oxygen_mg_per_l(t, s) == pytest.approx(ml * 1.42905, rel=0.005)


def test_the_short_pressure_form_agrees_with_the_full_one_of_benson_and_krause():
    # Full form from memory (Benson & Krause 1984, as in Standard Methods); the page says 6e-5 over 950-1040 hPa.
    for t in (5.0, 12.0, 25.0):
        k = t + 273.15
        theta = 0.000975 - 1.426e-5 * t + 6.436e-8 * t**2
        u = math.exp(11.8571 - 3840.70 / k - 216961 / k**2)
        for hpa in (950.0, 980.0, 1013.25, 1040.0):
            p = hpa / 1013.25
            full = p * (1 - u / p) * (1 - theta * p) / ((1 - u) * (1 - theta))
            assert seawater.pressure_factor(t, hpa) == pytest.approx(full, abs=6.5e-5)


def test_the_linear_salt_correction_of_the_published_fresh_water_table_stays_near():
    # ISO 5814 reprint: subtract 0.0875, 0.0632, 0.0475, 0.0371 mg/L for each g/kg; linear, so 0.15 is allowed.
    for t, fresh, each in ((0, 14.6, 0.0875), (10, 11.3, 0.0632), (20, 9.09, 0.0475), (30, 7.56, 0.0371)):
        assert seawater.oxygen_mg_per_l(t, 30) == pytest.approx(fresh - 30 * each, abs=0.15)


def test_a_chlorinity_table_read_as_salinity_would_be_far_off():
    # A copied lecture table: 10 °C, columns 0 5 10 15 20, printed under the word salinity.
    for column, printed in ((0, 11.33), (5, 10.73), (10, 10.13), (15, 9.55), (20, 8.98)):
        as_chlorinity = seawater.oxygen_mg_per_l(10, seawater.salinity_from_chlorinity(column))
        assert as_chlorinity == pytest.approx(printed, abs=0.08)
    assert seawater.oxygen_mg_per_l(10, 20) > 8.98 * 1.1


def test_salinity_from_conductivity_and_back_is_the_toolbox_value():
    for t, s in GRID:
        if s < 2:
            continue
        c = float(gsw.C_from_SP(s, t, 0.0))
        assert seawater.salinity_from_conductivity(c, t) == pytest.approx(s, abs=1e-6)
        assert seawater.conductivity_from_salinity(s, t) == pytest.approx(c, abs=1e-6)


def test_density_differs_from_teos_10_by_less_than_7_grams_in_a_cubic_metre():
    for t, s in GRID:
        sa = s * 35.16504 / 35
        assert seawater.density_kg_m3(t, s) == pytest.approx(gsw.rho_t_exact(sa, t, 0.0), abs=0.007)


def test_the_freezing_point_agrees_with_air_saturated_teos_10():
    for s in (5.0, 20.0, 30.0, 35.0):
        teos = gsw.t_freezing(s * 35.16504 / 35, 0.0, 1.0)
        assert seawater.freezing_c(s) == pytest.approx(teos, abs=0.005)


def test_printed_hydrometer_tables_lie_near():
    # Aquarium handbook table for 15/4 floats: "about 33"; another printed table rounds low by 0.3 to 0.4.
    assert seawater.salinity_from_hydrometer(1.0230, 22, "15/4") == pytest.approx(33, abs=0.5)
    assert seawater.salinity_from_hydrometer(1.023, 25, "60/60F") == pytest.approx(32.5, abs=0.45)
    assert seawater.salinity_from_hydrometer(1.027, 23.3, "60/60F") == pytest.approx(37.2, abs=0.45)


def test_a_hydrometer_without_its_pair_is_a_range_that_holds_all_four():
    low, high = seawater.hydrometer_low_high(1.022, 10, None, 0.001)
    for pair in seawater.CALIBRATIONS:
        assert low <= seawater.salinity_from_hydrometer(1.022, 10, pair) <= high
    assert high - low > 3


def test_ammonia_on_the_total_scale_is_pyco2sys():
    co2 = pytest.importorskip("PyCO2SYS")
    for t, s in ((5.0, 20.0), (12.0, 30.0), (15.0, 30.0), (25.0, 35.0)):
        k = co2.sys(temperature=t, salinity=s, opt_pH_scale=1)["k_ammonia"]
        assert seawater.pka_total(t, s) == pytest.approx(-math.log10(k), abs=1e-4)


def test_ammonia_on_the_nbs_scale_lies_within_a_tenth_of_pyco2sys():
    # Different formulas by different authors: 3.98 % there, 4.25 % here at 25 °C, S 35, pH 8.0.
    co2 = pytest.importorskip("PyCO2SYS")
    k = co2.sys(temperature=25.0, salinity=35.0, opt_pH_scale=4)["k_ammonia"]
    theirs = 1 / (1 + 10 ** (-math.log10(k) - 8.0))
    assert theirs == pytest.approx(0.0398, abs=5e-4)
    assert seawater.ammonia_fraction(25, 35, 8.0, "nbs") == pytest.approx(theirs, rel=0.1)


def test_the_salinity_slope_agrees_with_the_other_published_form():
    # Bell et al. 2007/2008, from memory: pKa = 10.0423 - 0.0315536 T + 0.003071 S.
    for t in (8.0, 12.0, 18.0, 25.0):
        assert seawater.pka_nbs(t, 34) == pytest.approx(10.0423 - 0.0315536 * t + 0.003071 * 34, abs=0.008)


@pytest.mark.parametrize("air", [0.0, 0.07141, 2.0, 3.0])
def test_the_closed_form_of_the_bucket_is_its_differential_equation(air):
    rest, volume, saturation, start = 24.9762, 15.0, 8.9242, 7.5
    factor, decay = 2.4, 2.0

    def slope(t, c):
        return -rest * (1 + (factor - 1) * math.exp(-decay * t)) / volume + air * (saturation - c)

    solved = solve_ivp(slope, (0, 1.5), [start], rtol=1e-11, atol=1e-12, dense_output=True)
    for hours in (0.1, 0.5, 1.0, 1.5):
        ours = model.oxygen_after(hours, start, saturation, volume, rest, air, factor, decay)
        assert ours == pytest.approx(float(solved.sol(hours)[0]), abs=1e-8)
