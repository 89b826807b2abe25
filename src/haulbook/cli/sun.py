"""``haulbook sun``: first light, sunrise, noon, sunset, last light and the moon."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from haulbook.cli.common import print_json, print_problems
from haulbook.problems import Problem

if TYPE_CHECKING:
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

NEAR_KM = 200.0
"""Within this distance the zone of the nearest tide station is taken where none is given."""


def register(app: typer.Typer) -> None:
    """Add ``haulbook sun``."""
    # A southern latitude begins with a minus and would otherwise be taken for an option.
    app.command("sun", context_settings={"ignore_unknown_options": True})(sun)


def sun(
    position: Annotated[str, typer.Argument(metavar="LAT,LON", help="Degrees north and east.")],
    day: Annotated[str, typer.Argument(metavar="DATE", help="Local day, as 2027-05-14.")],
    zone: Annotated[
        str,
        typer.Option(
            "--zone", metavar="Z", help="Time zone, as America/New_York; else the nearest station's."
        ),
    ] = "",
    as_json: Annotated[
        bool, typer.Option("--json", help="Print JSON: times in UTC, null for what does not happen.")
    ] = False,
) -> None:
    """Print civil dawn, sunrise, noon, sunset and civil dusk around one noon, and the phase of the moon.

    For a flat sea horizon, to about a minute; bluffs and fog take more.

    \b
    Example:
        haulbook sun 41.46,-71.31 2027-05-14
        haulbook sun 41.46,-71.31 2027-05-14 --zone America/New_York --json
    """  # noqa: D301
    from haulbook.tide import daylight
    from haulbook.tide.clock import date_of, position_of, say_day, utc_text, zone_of

    latitude, longitude = position_of(position)
    date = date_of(day)
    key = zone or _zone_near(latitude, longitude)
    clock = zone_of(key)
    light = daylight(latitude, longitude, date, clock)
    events = {
        "dawn": light.dawn,
        "sunrise": light.sunrise,
        "noon": light.noon,
        "sunset": light.sunset,
        "dusk": light.dusk,
    }
    if as_json:
        times = {name: utc_text(at) if at else None for name, at in events.items()}
        print_json({**times, "moon_phase": light.moon_phase})
    else:
        typer.echo(f"{say_day(date)}, {key}")
        for name, at in events.items():
            typer.echo(f"{name:<8} {_said(at, clock, date) if at else 'does not happen'}")
        typer.echo(f"{'moon':<8} {light.moon_phase}")
    if light.words:
        print_problems([Problem("note", light.words)])


def _said(at: datetime, clock: ZoneInfo, day: date) -> str:
    from haulbook.tide.clock import say_clock, to_minute

    on = to_minute(at, clock).date()
    other = " (the day before)" if on < day else " (the next day)" if on > day else ""
    return say_clock(at, clock) + other


def _zone_near(latitude: float, longitude: float) -> str:
    """Zone of the nearest tide station, or UTC far from any; says which."""
    from haulbook.tide import load_catalog

    station, away = load_catalog().near(latitude, longitude, most=1)[0]
    if away <= NEAR_KM:
        key, why = station.zone, "the zone of the nearest tide station"
    else:
        key, why = "UTC", f"since no tide station lies within {NEAR_KM:g} km"
    print_problems([Problem("note", f"no --zone given: times are in {key}, {why}")])
    return key
