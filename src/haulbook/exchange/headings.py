"""What a heading of the trade usually means, as a table; a guess that the cells below it have to bear out."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from haulbook.exchange.column_roles import METRES, SQUARE_METRES

SYNONYMS: Mapping[str, tuple[str, ...]] = {
    "haul": (
        "haul", "haul id", "haul key", "haul code", "seine id", "set id", "event id", "event", "tow id",
        "sample id", "collection id",
    ),
    "haul_no": (
        "haul no", "seine no", "set no", "tow no", "set", "seine", "tow", "rep", "rep no", "replicate",
        "haul number", "set number", "seine number", "pull",
    ),
    "site": (
        "site", "site id", "site name", "site code", "station", "station id", "beach", "location", "bed",
    ),
    "lat": ("lat", "latitude", "decimal latitude", "start lat"),
    "lon": ("lon", "long", "lng", "longitude", "decimal longitude", "start long"),
    "date": (
        "date", "sample date", "sampling date", "haul date", "set date", "collection date",
        "date collected",
    ),
    "year": ("year", "yr"),
    "month": ("month", "mon", "mo"),
    "day": ("day",),
    "time": (
        "time", "set time", "haul time", "start time", "time set", "time landed", "time of day", "landed",
    ),
    "name": (
        "name", "common", "common name", "species", "species name", "species code", "taxon", "taxa",
        "fish", "animal", "organism", "taxon name",
    ),
    "scientific": ("scientific", "scientific name", "genus species", "latin", "latin name", "binomial"),
    "code": ("code", "abbreviation", "abbr"),
    "higher": ("family", "higher classification", "order"),
    "members": ("complex components", "members"),
    "stage": ("stage", "life stage", "lifestage", "age class", "maturity", "age"),
    "n": (
        "n", "count", "number", "no", "abundance", "total", "total count", "total number", "catch",
        "quantity", "qty", "individuals", "tally", "num", "number caught", "number of fish", "no caught",
        "total caught",
    ),
    "n_unmeasured": ("unmeasured", "n unmeasured", "number unmeasured", "not measured"),
    "estimated": ("estimated", "estimate", "est", "n estimated"),
    "fate": ("fate", "disposition", "outcome", "status", "released kept", "went"),
    "dead": (
        "dead", "deceased", "mortality", "mortalities", "morts", "n dead", "number dead", "died",
        "no dead",
    ),
    "sex": ("sex",),
    "length_type": ("length type",),
    "length": ("length", "total length", "fork length", "standard length", "tl", "fl", "sl", "size", "len"),
    "net": ("net", "gear", "net id", "gear id"),
    "set_type": ("set type", "set geometry"),
    "condition": ("condition", "haul condition", "gear condition", "condition code"),
    "success": ("success", "success code", "seine success"),
    "why": ("why", "condition notes", "haul problem"),
    "area": ("area", "area swept", "swept area", "set area", "seined area"),
    "depth": ("depth", "max depth", "water depth", "maximum depth"),
    "temperature_c": (
        "temperature", "temp", "water temperature", "water temp", "temperature c", "temp c", "sst", "water c",
    ),
    "salinity": ("salinity", "sal", "salinity psu", "salinity ppt", "psu"),
    "oxygen_mg_l": ("do mg l", "do mgl", "dissolved oxygen mg l", "oxygen mg l", "oxygen mgl"),
    "oxygen_percent": ("do perc", "do percent", "dissolved oxygen percent", "oxygen percent", "do sat"),
    "oxygen": ("do", "dissolved oxygen", "oxygen"),
    "ph": ("ph",),
    "remark": ("notes", "note", "remark", "remarks", "comment", "comments"),
    "person": (
        "crew", "initials", "smplers initials", "samplers initials", "sampler", "samplers", "observer",
        "observers", "recorder", "recorded by", "entered", "entered by", "checked", "checked by",
        "collector", "surveyor", "staff", "email", "e mail", "dive supervisor", "caller", "names",
        "field crew", "people", "who",
    ),
}  # fmt: skip
"""Our word for a column, and how sheets of the trade head it (reduced as by ``reduced``).

Collected from the sheets described in ``docs/how-to/map-a-sheet.md``; the rest is common practice, no source.
"""

LENGTH_TYPES: Mapping[str, str] = {
    "total length": "total", "tl": "total", "fork length": "fork", "fl": "fork",
    "standard length": "standard", "sl": "standard",
}  # fmt: skip

_IN_WORDS: Mapping[str, str] = {
    "n": "the number of animals", "n_unmeasured": "the animals not measured", "name": "the taxon's name",
    "lat": "the latitude", "lon": "the longitude", "haul_no": "the haul's number", "haul": "the haul's key",
    "person": "people", "dead": "the dead", "length": "a length", "ph": "the pH", "code": "a code",
    "temperature_c": "the temperature in °C", "oxygen_mg_l": "oxygen in mg/L", "remark": "remarks",
    "oxygen_percent": "oxygen in per cent", "scientific": "the scientific name", "stage": "the life stage",
    "higher": "the family or order", "members": "the members of a group", "estimated": "the estimated part",
    "success": "how the set went", "condition": "how the set went",
}  # fmt: skip
_WORD_OF = {said: word for word, sayings in SYNONYMS.items() for said in sayings}
_UNITS = {**dict.fromkeys(METRES, ""), **dict.fromkeys(SQUARE_METRES, "")}
_LONG_UNITS = {
    "metres": "m",
    "meters": "m",
    "feet": "ft",
    "inches": "in",
    "hectares": "ha",
    "sqm": "m2",
    "m 2": "m2",
}
_SIDE = re.compile(r"(.*?) ?(?:set|seine|haul) ?([1-9])$")


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a heading says: our word, the unit it names, and the set it is of where several stand in a row."""

    word: str
    said: str
    unit: str | None = None
    set_no: str | None = None


def reduced(heading: str) -> str:
    """Return a heading in small letters, its words parted by blanks: ``SeineID`` is ``seine id``."""
    text = re.sub(r"(?<=[a-z]{2})(?=[A-Z])", " ", heading.strip()).casefold()
    text = (
        text.replace("#", " no ")
        .replace("%", " percent ")
        .replace("²", "2")
        .replace("'", "")
        .replace("’", "")
    )
    return " ".join(re.findall(r"[a-z0-9?]+", text))


def meaning_of(heading: str) -> Meaning | None:
    """Return what a heading usually means, or None where the trade has no such heading."""
    said, set_no = reduced(heading), None
    if said not in _WORD_OF and (side := _SIDE.fullmatch(said)) and side[1]:
        said, set_no = side[1], side[2]
    if said in _WORD_OF:
        return Meaning(_WORD_OF[said], said, None, set_no)
    for bare, unit in _without_unit(said):
        if bare in _WORD_OF:
            return Meaning(_WORD_OF[bare], bare, unit, set_no)
    return None


def _without_unit(said: str) -> list[tuple[str, str]]:
    for long, short in _LONG_UNITS.items():
        if said.endswith(f" {long}"):
            return [(said.removesuffix(f" {long}"), short)]
    bare, _, last = said.rpartition(" ")
    return [(bare, last)] if bare and last in _UNITS else []


def says(word: str) -> str:
    """Return what a column of this word holds, in words."""
    return _IN_WORDS.get(word, f"the {word.replace('_', ' ')}")
