"""The packaged stations: find one by number or name, or those near a position."""

from __future__ import annotations

import gzip
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Any

from haulbook.problems import Refusal, nearest
from haulbook.tide.constituents import NAMES
from haulbook.tide.station import Constant, Differences, Station, Vintage

_EARTH_RADIUS_KM = 6371.0


@dataclass(frozen=True, slots=True)
class Catalog:
    """All stations that come with haulbook.

    Attributes
    ----------
    header : mapping of str to str
        Source, licence, version and dates of the packaged file.
    stations : mapping of str to Station
        By number, in the order of the file.
    """

    header: Mapping[str, str]
    stations: Mapping[str, Station]

    def find(self, word: str) -> Station:
        """Return the station with this number, or the only one with this name.

        Raises
        ------
        Refusal
            Unknown, with the nearest three named; or a name that several stations have.
        """
        if word in self.stations:
            return self.stations[word]
        fold = word.strip().casefold()
        named = [one for one in self.stations.values() if fold in (one.name.casefold(), one.id.casefold())]
        if fold and len(named) == 1:
            return named[0]
        if fold and named:
            titles = "; ".join(one.title for one in named)
            raise Refusal(f"{len(named)} tide stations are called {word!r}; give the number: {titles}")
        titles = "; ".join(one.title for one in self._likest(word))
        near = f"the nearest three are {titles}" if titles else "none is spelt like it; list them by position"
        raise Refusal(f"there is no tide station {word!r}; {near}")

    def near(self, latitude: float, longitude: float, *, most: int = 10) -> list[tuple[Station, float]]:
        """Return up to ``most`` stations and their distance in km, nearest first."""
        away = [(one, distance_km(latitude, longitude, one)) for one in self.stations.values()]
        return sorted(away, key=lambda pair: pair[1])[:most]

    def _likest(self, word: str) -> list[Station]:
        """Three stations: those with the closest numbers, which run along the coast, or the likest names."""
        if word.isdigit():
            numbered = [one for one in self.stations.values() if one.id.isdigit()]
            return sorted(numbered, key=lambda one: abs(int(one.id) - int(word)))[:3]
        known = {one.name: one for one in self.stations.values() if one.name} | dict(self.stations)
        return [known[hit] for hit in nearest(word, known, most=3)]


def distance_km(latitude: float, longitude: float, station: Station) -> float:
    """Return the great-circle distance from a position to a station (haversine on a sphere of 6371 km)."""
    a, b = math.radians(latitude), math.radians(station.latitude)
    half = math.radians(station.longitude - longitude) / 2
    chord = math.sin((b - a) / 2) ** 2 + math.cos(a) * math.cos(b) * math.sin(half) ** 2
    return 2 * _EARTH_RADIUS_KM * math.asin(min(1.0, math.sqrt(chord)))


@cache
def load_catalog() -> Catalog:
    """Return the packaged stations; read once."""
    packed = files("haulbook.tide").joinpath("data/stations.json.gz").read_bytes()
    contents = json.loads(gzip.decompress(packed))
    header = contents["header"]
    if tuple(contents["constituents"]) != NAMES:
        raise ValueError("the packaged stations list other constituents than the engine")
    vintage = Vintage("NOAA CO-OPS", header["published"])
    stations = (_station(record, vintage) for record in contents["stations"])
    return Catalog(header, {one.id: one for one in stations})


def _station(record: dict[str, Any], vintage: Vintage) -> Station:
    latitude, longitude = record["at"]
    place = Station(record["id"], record["name"], latitude, longitude, record["zone"], (), None, vintage)
    if "reference" in record:
        return replace(place, reference=record["reference"], differences=_differences(record))
    published = zip(NAMES, record["mm"], record["tenths"], strict=True)
    epoch = record.get("epoch")
    return replace(
        place,
        constants=tuple(Constant(name, mm / 1000, tenths / 10) for name, mm, tenths in published if mm),
        mean_level_m=record.get("mean"),
        epoch=(epoch[0], epoch[1]) if epoch else None,
        lowest_m=record.get("lowest"),
        highest_m=record.get("highest"),
        unused_m=record.get("unused", 0.0),
    )


def _differences(record: dict[str, Any]) -> Differences:
    high, low = record["minutes"]
    if "ratio" in record:
        return Differences(high, low, *record["ratio"])
    add_high, add_low = record["fixed"]
    return Differences(high, low, add_high_m=add_high, add_low_m=add_low)
