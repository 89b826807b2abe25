"""The water and the light of an outing's day, as whole numbers that a phone draws and reads."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from haulbook.exchange.station_toml import Site
from haulbook.office.planning.water import offset_of
from haulbook.shore import shape
from haulbook.tide import (
    Daylight,
    Extreme,
    Station,
    Water,
    cautions,
    daylight,
    extremes,
    load_catalog,
    water_at,
)
from haulbook.tide.clock import day_start, to_minute

_PLACED = re.compile(r" \(\d[\d.]* [NS], \d[\d.]* [EW]\)")
"""The position in a station's title: one's own station may stand where a protected bed is."""

STEP = timedelta(minutes=10)
BEYOND = timedelta(hours=12)
"""The curve runs on into the next day, so that even at the last minute the next turn is known."""


@dataclass(frozen=True, slots=True)
class Day:
    """The outing's local day, its first instant and the first of the next (UTC)."""

    date: date
    zone: ZoneInfo
    begins: datetime
    ends: datetime

    @property
    def span(self) -> tuple[datetime, datetime]:
        """First and last instant."""
        return self.begins, self.ends - timedelta(microseconds=1)


def day_at(site: Site, day: date) -> Day:
    """Return a local day of a site."""
    zone = ZoneInfo(site.zone)
    return Day(day, zone, day_start(day, zone), day_start(day + timedelta(days=1), zone))


def light_of(site: Site, day: Day) -> tuple[shape.Sun, Daylight]:
    """Return the light of a day, as the kit has it and as it is reckoned."""
    light = daylight(*site.position, day.date, day.zone)

    def local(at: datetime | None) -> str | None:
        return _text(at, day.zone) if at else None

    sun = shape.Sun(
        dawn=local(light.dawn),
        sunrise=local(light.sunrise),
        sunset=local(light.sunset),
        dusk=local(light.dusk),
        words=light.words,
    )
    return sun, light


@dataclass(frozen=True, slots=True, eq=False)
class SiteWater:
    """The predicted water at a site, and the sentences that belong beside it."""

    station: Station
    water: Water
    words: tuple[str, ...]


def water_of(site: Site, own: Station | None) -> SiteWater | None:
    """Return the water at a site; None where it names no tide station.

    Parameters
    ----------
    site : Site
    own : Station or None
        Its tide station, where that is none of the packaged ones.

    Raises
    ------
    Refusal
        An unknown station, one without constants or datum, an offset outside its bounds.
    """
    tide = site.tide
    if tide is None:
        return None
    catalog = load_catalog()
    station = own or catalog.find(tide.station)
    offset = offset_of(tide)
    water = water_at(station, catalog.stations, offset)
    said = cautions(station, catalog.stations, offset=offset, site=site.position, drawn=water.interpolated)
    return SiteWater(station, water, tuple(_PLACED.sub("", words) for words in said))


def tide_of(site: Site, at: SiteWater, day: Day, light: Daylight) -> shape.Tide:
    """Return the water of a day at a site."""
    until = day.ends + BEYOND
    heights = at.water.grid(day.begins.timestamp(), STEP.total_seconds(), (until - day.begins) // STEP + 1)
    turns = extremes(at.water, day.begins, until)
    return shape.Tide(
        station=_PLACED.sub("", at.station.title),
        start=_text(day.begins, day.zone),
        step_min=int(STEP.total_seconds()) // 60,
        height_cm=tuple(_cm(height) for height in heights.tolist()),
        extremes=tuple(_turn(one, day.zone) for one in turns),
        turn=_working_low(turns, day, light),
        drawn=at.water.interpolated,
        bed_cm=None if site.bed_m is None else _cm(site.bed_m),
        depth_cm=(_cm(site.depth_m[0]), _cm(site.depth_m[1])),
        # A lag of 0 can't be told from one that nobody looked for.
        slack_lag_min=site.slack_lag_min or None,
    )


def _working_low(turns: tuple[Extreme, ...], day: Day, light: Daylight) -> shape.Turn | None:
    """Return the lowest low of the day in daylight: the turn that the work is planned around."""
    lit = light.span()
    lows = [
        one
        for one in turns
        if one.kind == "low" and one.time < day.ends and lit and lit[0] <= one.time <= lit[1]
    ]
    lowest = min(lows, key=lambda one: one.height_m, default=None)
    return _turn(lowest, day.zone) if lowest else None


def _turn(one: Extreme, zone: ZoneInfo) -> shape.Turn:
    return shape.Turn(at=_text(one.time, zone), cm=_cm(one.height_m), kind=one.kind)


def _cm(metres: float) -> int:
    return round(100 * metres)


def _text(at: datetime, zone: ZoneInfo) -> str:
    return to_minute(at, zone).isoformat()
