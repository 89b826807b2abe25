"""The station file: places and things that stay. See ``docs/reference/station-and-plan.md``."""

from __future__ import annotations

import zoneinfo
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Literal, cast

from haulbook.exchange.toml_keys import Keys, each_once, load_toml, refuse_problems
from haulbook.gear import Net
from haulbook.problems import Problem, Refusal, unknown
from haulbook.taxa import PACKS

ROLES = ("lead", "recorder", "caller", "keeper", "crew", "viewer")
INSTRUMENTS = (
    "hydrometer",
    "refractometer",
    "thermometer",
    "conductivity meter",
    "oxygen meter",
    "pH meter",
    "ammonia test",
)
PH_SCALES = ("NBS", "total", "free", "seawater")


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody of the station. The book knows the key only; a name stands in this file or nowhere."""

    key: str
    role: str
    name: str | None = None


@dataclass(frozen=True, slots=True)
class Instrument:
    """A measuring instrument and what makes its readings mean something.

    Attributes
    ----------
    key, kind : str
        ``kind`` is one of ``INSTRUMENTS``.
    calibration : str or None
        A hydrometer's pair of temperatures, ``60/60F``: the same float reading is 25 to 29 in salinity
        depending on it.
    scale : {"NBS", "total", "free", "seawater"} or None
        A pH meter's.
    salinity_setting : float or None
        Practical salinity an oxygen meter is set to (0 where it corrects for none).
    """

    key: str
    kind: str
    calibration: str | None = None
    scale: str | None = None
    salinity_setting: float | None = None


@dataclass(frozen=True, slots=True)
class Tank:
    """A tank of the station; ``tank KEY`` is its place in the book."""

    key: str
    litres: float
    quarantine: bool = False


@dataclass(frozen=True, slots=True)
class SiteTide:
    """From a tide station's prediction to the water at the site.

    Attributes
    ----------
    station : str
        Identifier of the tide station.
    minutes_high, minutes_low : float
        High and low water at the site come this much later (earlier where negative).
    ratio, add_m : float
        Height above MLLW times ``ratio``, plus ``add_m`` metres.
    observed_by : str or None
        Person's key.
    observed : date or None
    """

    station: str
    minutes_high: float = 0.0
    minutes_low: float = 0.0
    ratio: float = 1.0
    add_m: float = 0.0
    observed_by: str | None = None
    observed: date | None = None


@dataclass(frozen=True, slots=True)
class Site:
    """A bed with its shoreline, where the net lands.

    Attributes
    ----------
    key, zone : str
        ``zone`` is an IANA zone name.
    position : (latitude, longitude)
        Decimal degrees, EPSG:4326; west and south negative.
    tide : SiteTide or None
    bed_m : float or None
        Height of the bed above MLLW, metres; negative below it.
    depth_m : (least, most)
        Water over the bed in which the net is set, metres.
    slack_lag_min : float
        Minutes from high or low water to slack.
    coarsen_km : float
        In public outputs the position is given no finer than this; 0 leaves it.
    """

    key: str
    position: tuple[float, float]
    zone: str
    tide: SiteTide | None = None
    bed_m: float | None = None
    depth_m: tuple[float, float] = (0.3, 1.0)
    slack_lag_min: float = 0.0
    coarsen_km: float = 0.0


@dataclass(frozen=True, slots=True)
class Station:
    """Everything in one station file, by key."""

    name: str
    pack: str
    people: Mapping[str, Person]
    nets: Mapping[str, Net]
    instruments: Mapping[str, Instrument]
    tanks: Mapping[str, Tank]
    sites: Mapping[str, Site]


def read_station(path: Path) -> Station:
    """Read a station file.

    Raises
    ------
    Refusal
        With every problem of the file together, each by its dotted key (``site.1.zone``).
    """
    return station_of(load_toml(path), path.name)


def station_of(content: dict[str, Any], name: str) -> Station:
    """Read the content of a station file; otherwise as :func:`read_station`."""
    problems: list[Problem] = []
    known = ("station", "pack", "people", "net", "instrument", "tank", "site")
    top = Keys(content, "", name, known, problems)
    station = Station(
        name=top.text("station"),
        pack=top.one_of("pack", PACKS),
        people=_people(top),
        nets=_nets(top),
        instruments=_instruments(top),
        tanks=_tanks(top),
        sites=_sites(top),
    )
    _check_observers(top, station)
    refuse_problems(problems)
    return station


def _people(top: Keys) -> dict[str, Person]:
    table = top.table("people", None)
    people = {}
    for key in table.found if table else ():
        one = cast("Keys", table).table(key, ("role", "name"))
        if one is not None:
            people[key] = Person(key, one.one_of("role", ROLES), one.maybe_text("name"))
    return people


def _nets(top: Keys) -> dict[str, Net]:
    nets, seen = {}, []
    known = ("key", "length_m", "height_m", "mesh_mm", "mesh_as", "width_ratio")
    for table in top.tables("net", known):
        before = len(top.problems)
        key = table.text("key")
        mesh_as = cast("Literal['stretch', 'bar']", table.one_of("mesh_as", ("stretch", "bar")))
        length, height, mesh = (table.number(name) for name in ("length_m", "height_m", "mesh_mm"))
        ratio = table.maybe_number("width_ratio")
        seen.append((table, key))
        if len(top.problems) > before:
            continue
        try:
            nets[key] = Net(key, length, height, mesh, mesh_as, ratio)
        except Refusal as refusal:
            for problem in refusal.problems:
                table.wrong(problem.column or "", problem.message)
    each_once(seen, "net")
    return nets


def _instruments(top: Keys) -> dict[str, Instrument]:
    instruments, seen = {}, []
    for table in top.tables("instrument", ("key", "kind", "calibration", "scale", "salinity_setting")):
        key, kind = table.text("key"), table.one_of("kind", INSTRUMENTS)
        scale = table.one_of("scale", PH_SCALES) if "scale" in table.found else None
        instruments[key] = Instrument(
            key, kind, table.maybe_text("calibration"), scale, table.maybe_number("salinity_setting", low=0)
        )
        _check_reading(table, kind)
        seen.append((table, key))
    each_once(seen, "instrument")
    return instruments


def _check_reading(table: Keys, kind: str) -> None:
    needed = {
        "hydrometer": ("calibration", 'the pair printed on the float, as "60/60F"; salinity hangs on it'),
        "pH meter": ("scale", f"one of {', '.join(PH_SCALES)}; ammonia hangs on it"),
        "oxygen meter": ("salinity_setting", "the salinity it is set to, 0 where it corrects for none"),
    }
    if kind in needed and needed[kind][0] not in table.found:
        key, words = needed[kind]
        table.wrong(key, f"is needed for a {kind}: write {words}")


def _tanks(top: Keys) -> dict[str, Tank]:
    tanks, seen = {}, []
    for table in top.tables("tank", ("key", "litres", "quarantine")):
        key = table.text("key")
        tanks[key] = Tank(key, table.number("litres", above=0), table.flag("quarantine"))
        seen.append((table, key))
    each_once(seen, "tank")
    return tanks


def _sites(top: Keys) -> dict[str, Site]:
    sites, seen = {}, []
    known = ("key", "position", "zone", "tide", "bed_m", "depth_m", "slack_lag_min", "coarsen_km")
    for table in top.tables("site", known):
        key = table.text("key")
        sites[key] = Site(
            key=key,
            position=_position(table),
            zone=zone_name(table, "zone"),
            tide=_tide(table),
            bed_m=table.maybe_number("bed_m"),
            depth_m=_depths(table),
            slack_lag_min=table.number("slack_lag_min", 0.0),
            coarsen_km=table.number("coarsen_km", 0.0, low=0),
        )
        seen.append((table, key))
    each_once(seen, "site")
    return sites


def zone_name(table: Keys, key: str) -> str:
    """Read an IANA zone name; an unknown one is noted with the nearest known."""
    zone = table.text(key)
    if zone and zone not in zoneinfo.available_timezones():
        table.wrong(key, unknown("time zone", zone, zoneinfo.available_timezones()))
    return zone


def _position(table: Keys) -> tuple[float, float]:
    if "position" not in table.found:
        table.wrong("position", "is needed: write latitude and longitude, as [41.0, -70.0]")
    latitude, longitude = table.pair("position") or (0.0, 0.0)
    if not -90 <= latitude <= 90:
        table.wrong("position", f"latitude {latitude:g} is beyond the pole; latitude stands first")
    if not -180 <= longitude <= 180:
        table.wrong("position", f"longitude {longitude:g} is beyond the date line; west is negative")
    return latitude, longitude


def _depths(table: Keys) -> tuple[float, float]:
    least, most = table.pair("depth_m") or (0.3, 1.0)
    if not 0 <= least < most:
        table.wrong(
            "depth_m", f"is {least:g} to {most:g}; write the least, then the most water, as [0.3, 1.0]"
        )
    return least, most


def _tide(site: Keys) -> SiteTide | None:
    known = ("station", "minutes_high", "minutes_low", "ratio", "add_m", "observed_by", "observed")
    table = site.table("tide", known)
    if table is None:
        return None
    return SiteTide(
        station=table.text("station"),
        minutes_high=table.number("minutes_high", 0.0),
        minutes_low=table.number("minutes_low", 0.0),
        ratio=table.number("ratio", 1.0, above=0),
        add_m=table.number("add_m", 0.0),
        observed_by=table.maybe_text("observed_by"),
        observed=table.day("observed"),
    )


def _check_observers(top: Keys, station: Station) -> None:
    for site in station.sites.values():
        by = site.tide.observed_by if site.tide else None
        if by is not None and by not in station.people:
            top.wrong(f"site {site.key}.tide.observed_by", unknown("person", by, station.people))
