"""The water at the site: windows over the bed, one day's curve, and each day at a glance."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from haulbook.exchange.station_toml import Site, SiteTide
from haulbook.office.planning.asked import Asked
from haulbook.tide import (
    Band,
    Daylight,
    Extreme,
    Ranked,
    SiteOffset,
    Station,
    Terms,
    Water,
    cautions,
    daylight,
    extremes,
    find_windows,
    over_bed,
    rank,
    water_at,
)
from haulbook.tide.clock import day_start

STEP = timedelta(minutes=10)
"""Step of the curve that is drawn and sent to the phone."""


@dataclass(frozen=True, slots=True, eq=False)
class SiteWater:
    """The tide at a site and the band in which its bed can be worked.

    ``cautions`` are the sentences that belong beside every prediction of it.
    """

    site: Site
    station: Station
    water: Water
    band: Band
    terms: Terms
    cautions: tuple[str, ...]

    def windows(self) -> tuple[Ranked, ...]:
        """Return every window of the days asked for, best first by the tide alone."""
        return rank(find_windows(self.water, self.band, self.terms), self.terms)


@dataclass(frozen=True, slots=True)
class DayWater:
    """One local day: its light, highs and lows.

    ``begins`` and ``ends`` are local midnights in UTC: a day has 23, 24 or 25 hours.
    """

    day: date
    begins: datetime
    ends: datetime
    light: Daylight
    extremes: tuple[Extreme, ...]

    @property
    def lows(self) -> tuple[Extreme, ...]:
        """The lows of the day."""
        return tuple(one for one in self.extremes if one.kind == "low")


@dataclass(frozen=True, slots=True)
class Curve:
    """Heights in metres above MLLW at equal steps from ``start``, the last at the end of the day or before."""

    start: datetime
    step: timedelta
    heights_m: tuple[float, ...]
    interpolated: bool


def offset_of(tide: SiteTide) -> SiteOffset:
    """Return how the water at a site differs from its tide station, as the station file says."""
    return SiteOffset(
        tide.minutes_high, tide.minutes_low, tide.ratio, tide.add_m, tide.observed_by or "", tide.observed
    )


def site_water(asked: Asked) -> SiteWater:
    """Return the water at the site that was asked about, on the days asked for."""
    site, tide = asked.site, asked.site.tide
    offset = offset_of(tide) if tide else SiteOffset()
    water = water_at(asked.tide_station, asked.tide_stations, offset)
    terms = Terms(
        asked.first,
        asked.last,
        asked.zone,
        light_at=site.position,
        in_daylight=True,
        hours=asked.permit_hours,
        # A lag of 0 can't be told from one that nobody looked for, so nothing is said of slack then.
        slack_lag_min=site.slack_lag_min or None,
        work=replace(asked.work, hauls=asked.hauls),
    )
    said = cautions(
        asked.tide_station,
        asked.tide_stations,
        offset=offset,
        site=site.position,
        drawn=water.interpolated,
        rates=True,
    )
    band = over_bed(site.bed_m or 0.0, *site.depth_m)
    return SiteWater(site, asked.tide_station, water, band, terms, said)


def days_of(place: SiteWater) -> tuple[DayWater, ...]:
    """Return each day asked for, at a glance."""
    terms = place.terms
    return tuple(day_of(place, day) for day in terms.days if terms.first <= day <= terms.last)


def day_of(place: SiteWater, day: date) -> DayWater:
    """Return one local day."""
    zone = place.terms.zone
    begins, ends = day_start(day, zone), day_start(day + timedelta(days=1), zone)
    light = daylight(*place.site.position, day, zone)
    return DayWater(day, begins, ends, light, extremes(place.water, begins, ends))


def curve_of(place: SiteWater, day: DayWater) -> Curve:
    """Return the water of a day, to the millimetre; a drawn curve to the centimetre."""
    count = (day.ends - day.begins) // STEP + 1
    heights = place.water.grid(day.begins.timestamp(), STEP.total_seconds(), count)
    digits = 2 if place.water.interpolated else 3
    return Curve(
        day.begins,
        STEP,
        tuple(round(one, digits) + 0.0 for one in heights.tolist()),
        place.water.interpolated,
    )
