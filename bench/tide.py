"""The tide engine beside utide's reconstruction: same constituents, same instants, one run.

utide (a general library for fitting and reconstructing tides) runs in its fastest setting: node corrections
and astronomical arguments taken once and held, as the engine does. It knows four of the 37 by other names;
2MK3 has the speed of its MO3. Its SA is h - p1, so p1 is taken out of the phase.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, date, datetime

import numpy as np
from utide import reconstruct
from utide._ut_constants import constit_index_dict, ut_constants
from utide.utilities import Bunch

from haulbook.tide import Station, Terms, find_windows, load_catalog, over_bed, rank, water_at
from haulbook.tide.clock import zone_of
from haulbook.tide.nodes import longitudes

STATION, YEAR = "8452660", 2027
PEER_NAMES = {"LAM2": "LDA2", "M1": "NO1", "RHO": "RHO1", "2MK3": "MO3"}
_UNIX = 719163  # days from 0000-12-31, where utide counts from, to 1970-01-01


def peer_coefficients(station: Station, at: datetime, *, held: bool) -> Bunch:
    """utide's own form of a station's constants; ``held``: node corrections and arguments once, at ``at``."""
    p1 = longitudes(at).p1
    names = [PEER_NAMES.get(one.name, one.name) for one in station.constants]
    index = np.array([constit_index_dict[name] for name in names])
    options = {
        "twodim": False, "nodiagn": True, "notrend": True, "prefilt": [],
        "nodsatlint": held, "nodsatnone": False, "gwchlint": held, "gwchnone": False,
    }  # fmt: skip
    return Bunch(
        name=np.array(names),
        A=np.array([one.amplitude_m for one in station.constants]),
        g=np.array([one.phase_deg - (p1 if one.name == "SA" else 0) for one in station.constants]),
        mean=station.mean_level_m,
        aux=Bunch(
            opt=Bunch(options),
            frq=ut_constants.const.freq[index],
            lind=index,
            lat=station.latitude,
            reftime=_UNIX + at.timestamp() / 86400,
        ),
    )


def peer_heights(coefficients: Bunch, times: np.ndarray) -> np.ndarray:
    """Heights by utide at seconds since 1970 UTC."""
    return reconstruct(times / 86400 + _UNIX, coefficients, epoch="python", verbose=False).h


def _seconds(work: Callable[[], object], times: int = 3) -> float:
    """The best of several runs: the machine is shared."""
    took = []
    for _ in range(times):
        begin = time.perf_counter()
        work()
        took.append(time.perf_counter() - begin)
    return min(took)


def main() -> None:
    catalog = load_catalog()
    station = catalog.find(STATION)
    water = water_at(station, catalog.stations)
    start = datetime(YEAR, 1, 1, tzinfo=UTC).timestamp()
    middle = datetime(YEAR, 7, 2, 12, tzinfo=UTC)
    count = 365 * 1440
    instants = start + 60.0 * np.arange(count)
    coefficients = peer_coefficients(station, middle, held=True)

    water.heights(instants[:2])  # the year's factors are made once, before either is timed
    ours = _seconds(lambda: water.grid(start, 60.0, count))
    theirs = _seconds(lambda: peer_heights(coefficients, instants), times=2)
    apart = np.abs(water.grid(start, 60.0, count) - peer_heights(coefficients, instants)).max()
    print(f"{station.title}, {len(station.constants)} constituents, {count:,} heights a minute apart")
    print(f"haulbook {ours:.3f} s, utide {theirs:.2f} s: {theirs / ours:.0f} times (at least 10 wanted)")
    print(f"largest difference {apart:.3f} m")

    zone = zone_of(station.zone)
    terms = Terms(
        date(YEAR, 1, 1),
        date(YEAR, 12, 31),
        zone,
        light_at=(station.latitude, station.longitude),
        in_daylight=True,
    )
    found = rank(find_windows(water, over_bed(-0.3), terms), terms)
    took = _seconds(lambda: rank(find_windows(water, over_bed(-0.3), terms), terms))
    print(f"a year of ranked windows ({len(found)}): {took:.2f} s (0.3 s as a guide)")
