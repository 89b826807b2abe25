"""The water of an outing's day, with its hauls in it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import lru_cache

from haulbook.custody.facts import Haul
from haulbook.exchange.station_toml import Site
from haulbook.office.kit_water import STEP, day_at, light_of, water_of
from haulbook.problems import Refusal
from haulbook.publish.plan_parts import TideDay
from haulbook.tide import extremes, over_bed

A_SET = timedelta(minutes=12)
"""Drawn for a haul that nobody ended: setting and landing take about so long (common practice, no source)."""


def tide_day(site: Site, day: date, hauls: Iterable[Haul] = ()) -> TideDay | None:
    """Return the water of a local day at a site; None where it has no tide station, or the day can't be predicted."""
    made = _day(site, day)
    spans = [span for haul in hauls if (span := _span(haul)) is not None]
    return replace(made, hauls=tuple(spans)) if made else None


def _span(haul: Haul) -> tuple[datetime, datetime] | None:
    started = haul.started.instant if haul.started else None
    landed = haul.landed.instant if haul.landed else None
    if started is not None:
        return started, landed or started + A_SET
    return (landed - A_SET, landed) if landed is not None else None


@lru_cache(maxsize=64)
def _day(site: Site, day: date) -> TideDay | None:
    try:
        at = water_of(site, None)
        if at is None:
            return None
        own = day_at(site, day)
        count = (own.ends - own.begins) // STEP + 1
        heights = at.water.grid(own.begins.timestamp(), STEP.total_seconds(), count)
        turns = extremes(at.water, own.begins, own.ends)
        _, light = light_of(site, own)
    except Refusal:
        return None
    return TideDay(
        day=day,
        zone=own.zone,
        begins=own.begins,
        ends=own.ends,
        heights_m=tuple(round(one, 3) + 0.0 for one in heights.tolist()),
        step=STEP,
        interpolated=at.water.interpolated,
        extremes=turns,
        band=over_bed(site.bed_m or 0.0, *site.depth_m),
        bed_m=site.bed_m or 0.0,
        light=light,
    )
