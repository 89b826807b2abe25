"""The water at a station or a site, and the years for which it can be trusted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Literal

from haulbook.problems import Refusal
from haulbook.tide.derived import DrawnWater, MovedWater
from haulbook.tide.harmonic import HarmonicWater
from haulbook.tide.station import SiteOffset, Station
from haulbook.tide.water import Water

FIRST_YEAR, LAST_YEAR = 1983, 2040
"""Calendar years predicted: from the start of the epoch that the constants stand on to the last year for
which the node factors were checked against a second coding of the same tables."""

NO_OFFSET = SiteOffset()


@dataclass(frozen=True, slots=True)
class Extreme:
    """A high or a low.

    Attributes
    ----------
    time : datetime
        UTC.
    height_m : float
        Metres above mean lower low water.
    kind : {"high", "low"}
        Which.
    """

    time: datetime
    height_m: float
    kind: Literal["high", "low"]


def water_at(station: Station, stations: Mapping[str, Station], offset: SiteOffset = NO_OFFSET) -> Water:
    """Return the predicted tide at a station, or at a site beside it.

    Parameters
    ----------
    station : Station
        Reference or subordinate.
    stations : mapping of str to Station
        Where a subordinate's reference is found.
    offset : SiteOffset
        What was observed at the site. With highs and lows alike the curve moves as one; otherwise it is drawn
        between the moved highs and lows.

    Raises
    ------
    Refusal
        The station publishes no constants, or no mean level above mean lower low water.
    """
    water = _published(station, stations)
    if not offset.changes_anything:
        return water
    by = offset.differences
    return MovedWater(water, by) if by.is_uniform else DrawnWater(water, by)


def _published(station: Station, stations: Mapping[str, Station]) -> Water:
    if station.reference is not None and station.differences is not None:
        return DrawnWater(_published(stations[station.reference], stations), station.differences)
    if not station.constants:
        raise Refusal(f"station {station.title} has no published constants; choose another station near it")
    if station.mean_level_m is None:
        raise Refusal(
            f"station {station.title} has no mean sea level above mean lower low water, so heights would "
            "have no datum; choose another station near it"
        )
    return HarmonicWater(station.constants, station.mean_level_m)


def extremes(water: Water, start: datetime, end: datetime) -> tuple[Extreme, ...]:
    """Return the highs and lows in [start, end), both aware instants."""
    turns = water.turns(start.timestamp(), end.timestamp())
    return tuple(
        Extreme(datetime.fromtimestamp(time, UTC), float(height), "high" if high else "low")
        for time, height, high in zip(turns.times.tolist(), turns.heights, turns.high, strict=True)
    )


def check_years(first: date, last: date) -> None:
    """Refuse days outside the years that can be trusted."""
    if first.year < FIRST_YEAR or last.year > LAST_YEAR:
        raise Refusal(
            f"tides are predicted for {FIRST_YEAR} to {LAST_YEAR}; the constants are not to be trusted in "
            f"{first.year if first.year < FIRST_YEAR else last.year}"
        )
