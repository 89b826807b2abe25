"""The low waters of a season by daylight: what a lead looks at to see which mornings are still to be had."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from haulbook.exchange.station_toml import Site
from haulbook.office.kit_water import water_of
from haulbook.problems import Refusal
from haulbook.tide import Extreme, daylight, extremes
from haulbook.tide.clock import day_start


def daylight_lows(site: Site, first: date, last: date) -> Mapping[date, Extreme]:
    """Return the lowest low water in daylight of each day from ``first`` to ``last``; days without one are left out.

    Empty where the site has no tide station, or the days lie outside what can be predicted.
    """
    return _lows(site, first, last)


@lru_cache(maxsize=64)
def _lows(site: Site, first: date, last: date) -> dict[date, Extreme]:
    try:
        at = water_of(site, None)
    except Refusal:
        return {}
    if at is None:
        return {}
    zone = ZoneInfo(site.zone)
    found: dict[date, Extreme] = {}
    try:
        turns = extremes(at.water, day_start(first, zone), day_start(last + timedelta(days=1), zone))
    except Refusal:
        return {}
    for one in turns:
        day = one.time.astimezone(zone).date()
        if one.kind != "low" or (day in found and found[day].height_m <= one.height_m):
            continue
        lit = daylight(*site.position, day, zone).span()
        if lit and lit[0] <= one.time <= lit[1]:
            found[day] = one
    return found
