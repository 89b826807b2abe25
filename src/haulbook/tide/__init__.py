"""The tide at a station or a site, the daylight, and when a bed can be worked.

``load_catalog().find(...)`` gives a station, ``water_at`` its water, ``find_windows`` and ``rank`` windows.
Nothing here reads a clock: days and instants are handed in.
"""

from __future__ import annotations

from haulbook.tide.band import Band, below, over_bed
from haulbook.tide.catalog import Catalog, distance_km, load_catalog
from haulbook.tide.cautions import cautions
from haulbook.tide.daylight import Daylight, daylight
from haulbook.tide.own import own_station
from haulbook.tide.prediction import Extreme, check_years, extremes, water_at
from haulbook.tide.rank import Ranked, rank
from haulbook.tide.station import Constant, Differences, SiteOffset, Station, Vintage
from haulbook.tide.terms import Terms, Work
from haulbook.tide.water import Water
from haulbook.tide.windows import Window, find_windows

__all__ = [
    "Band",
    "Catalog",
    "Constant",
    "Daylight",
    "Differences",
    "Extreme",
    "Ranked",
    "SiteOffset",
    "Station",
    "Terms",
    "Vintage",
    "Water",
    "Window",
    "Work",
    "below",
    "cautions",
    "check_years",
    "daylight",
    "distance_km",
    "extremes",
    "find_windows",
    "load_catalog",
    "over_bed",
    "own_station",
    "rank",
    "water_at",
]
