"""The functions that ``tests/cases/care-*.json`` name, so that another language can be held to the same cases."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from haulbook.care import seawater
from haulbook.care.acclimation import mixing
from haulbook.care.acclimation.schedule import Bath, schedule
from haulbook.care.bucket import ammonia, change, clock, measured, model, warming
from haulbook.care.demand import Demand, crab_uptake_mg_h, fish_uptake_mg_h, shrimp_uptake_mg_h
from haulbook.care.mass import mass_from_length
from haulbook.care.seawater.salinity import conductivity_ratio_35
from haulbook.care.tank import ration


def _bucket_minutes(
    litres, temperature_c, salinity, air_per_h, mg_h, low, high, multiplier, decay_per_h, threshold_mg_l
):
    water = clock.Water(litres, temperature_c, salinity, None, air_per_h)
    left = clock.minutes_left(
        water, Demand(mg_h, low, high), threshold_mg_l, clock.Stress(multiplier, decay_per_h)
    )
    return {"middle": left.middle, "low": left.low, "high": left.high}


def _schedule_salinity(start, target, temperature_c, litres):
    made = schedule(Bath(temperature_c, start), Bath(temperature_c, target), litres)
    return [[step.at_min, step.salinity] for step in made.steps]


def _fraction_total_per_kg_water(temperature_c, salinity, ph):
    pka = seawater.pka_total(temperature_c, salinity, per_kg_water=True)
    return seawater.unionised_fraction(ph, pka)


def _nh3_of_water(tan_mg_n_l, temperature_c, salinity, ph, scale):
    return seawater.nh3_mg_per_l(tan_mg_n_l, seawater.ammonia_fraction(temperature_c, salinity, ph, scale))


_PLAIN = (
    seawater.ammonia_fraction,
    seawater.conductivity_from_salinity,
    seawater.density_kg_m3,
    seawater.freezing_c,
    seawater.nh3_mg_per_l,
    seawater.oxygen_meter_corrected,
    seawater.oxygen_mg_per_l,
    seawater.oxygen_umol_per_kg,
    seawater.oxygen_percent,
    seawater.mg_per_l_from_umol_per_kg,
    seawater.salinity_from_chlorinity,
    seawater.pka_fresh,
    seawater.pka_nbs,
    seawater.pka_total,
    seawater.pressure_factor,
    seawater.salinity_from_conductivity,
    seawater.salinity_from_hydrometer,
    seawater.unionised_fraction,
    conductivity_ratio_35,
    fish_uptake_mg_h,
    shrimp_uptake_mg_h,
    crab_uptake_mg_h,
    mass_from_length,
    model.air_needed,
    model.animals_allowed,
    model.demand_allowed,
    model.hours_until,
    model.hours_until_calming,
    model.lowest_oxygen,
    model.oxygen_after,
    model.steady_oxygen,
    measured.air_from_readings,
    measured.demand_from_readings,
    measured.schmidt_number,
    measured.surface_air_per_h,
    warming.box_constant_h,
    warming.constant_from_readings,
    warming.sun_towards_c,
    warming.hours_until_rise,
    warming.ice_kg,
    warming.pail_constant_h,
    warming.sun_c_per_h,
    warming.temperature_after,
    ammonia.ammonia_mg_n_per_h,
    ammonia.hours_until_nh3,
    ammonia.nh3_light,
    ammonia.tan_after,
    change.after_change,
    change.share_to_change,
    mixing.constant_rate_hours,
    mixing.constant_rate_flow,
    mixing.drip,
    mixing.drip_flow_most,
    mixing.drip_hours,
    mixing.fill,
    mixing.swaps_left,
    mixing.swaps_needed,
    ration.cysts_g_per_day,
    ration.ration_share,
    ration.ration_g_per_day,
)

FUNCTIONS: dict[str, Callable[..., Any]] = {function.__name__: function for function in _PLAIN} | {
    "bucket_minutes": _bucket_minutes,
    "schedule_salinity": _schedule_salinity,
    "fraction_total_per_kg_water": _fraction_total_per_kg_water,
    "nh3_of_water": _nh3_of_water,
}
