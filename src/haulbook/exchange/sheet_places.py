"""Positions and readings of sheets: where the sites are, what the water was, what can't be right."""

from __future__ import annotations

import math
import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from haulbook.exchange.cells import parse_number
from haulbook.exchange.coding import Coded, combine
from haulbook.exchange.column_roles import READINGS, split_quantity
from haulbook.exchange.findings import Findings
from haulbook.exchange.haul_facts import degrees
from haulbook.exchange.sheet_hauls import SheetHaul
from haulbook.exchange.sheet_map import FileMap
from haulbook.exchange.table import Table
from haulbook.exchange.trouble import CellTrouble

WESTERN_PACKS = ("nepacific", "nwatlantic")
"""Packs whose coasts lie wholly west of Greenwich."""

FAR_KM = 10.0
"""Hauls further than this from the middle of their site are told; a bed is smaller. No source."""

_POSSIBLE: Mapping[str, tuple[float, float]] = {
    "temperature_c": (-5, 60),
    "salinity": (0, 50),
    "oxygen_mg_l": (0, 40),
    "oxygen_percent": (0, 400),
    "ph": (0, 14),
}
_LIKELY: Mapping[str, tuple[float, float]] = {
    "temperature_c": (-2, 32),
    "salinity": (0, 40),
    "oxygen_mg_l": (0, 20),
    "oxygen_percent": (0, 200),
    "ph": (7.0, 9.0),
}
"""Bounds of sea water near a temperate shore, beyond which a reading is told. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class SheetReading:
    """What was read off the water in one row of a sheet.

    Attributes
    ----------
    haul : str
        Key of the haul it belongs to: of a visit's readings the first haul of that site and day.
    values : mapping of ``temperature_c``, ``salinity``, ``oxygen_mg_l``, ``oxygen_percent``, ``ph`` to float
    instrument, file, sheet, row
    depth_m, secchi_m : float or None
        How deep it was read; at what depth a white disk went out of sight.
    """

    haul: str
    values: Mapping[str, float]
    instrument: str
    file: str
    sheet: str | None
    row: int
    depth_m: float | None = None
    secchi_m: float | None = None


def readings_of(table: Table, part: FileMap, haul: Coded, findings: Findings) -> list[SheetReading]:
    """Return the readings of a table, one a row that has any."""
    columns = [
        (word, table.columns[h])
        for h, word in part.columns.items()
        if word in READINGS and h in table.columns
    ]
    parsed = [
        (word, column, [_reading(text, word, part) for text in column.values]) for word, column in columns
    ]
    for word, column, read in parsed:
        findings.refuse_cells(read, column, table)
        _tell_unlikely(word, column, read, table, findings)
    depth = _depths("depth", table, part, findings)
    secchi = _depths("secchi", table, part, findings)
    found = []
    for i in _rows_to_read(part, haul) if parsed else ():
        values = {
            word: value for word, column, read in parsed if isinstance(value := read[column.codes[i]], float)
        }
        if values and haul[i]:
            found.append(
                SheetReading(
                    haul[i],
                    values,
                    part.instrument,
                    table.file,
                    table.sheet,
                    int(table.rows[i]),
                    depth[i],
                    secchi[i],
                )
            )
    return found


def _rows_to_read(part: FileMap, haul: Coded) -> list[int]:
    """Return the rows whose readings count: of a catch, which repeats them on each row, the first of each haul."""
    if part.role != "catch":
        return list(range(len(haul)))
    first, _ = combine([haul.codes], [len(haul.values)])
    return [int(i) for i in first]


def _depths(name: str, table: Table, part: FileMap, findings: Findings) -> Sequence[float | None]:
    """Return the metres of each row of the column that is a depth of this name; None where there is none."""
    for heading, word in part.columns.items():
        quantity = split_quantity(word, "environment") if part.role == "environment" else None
        if quantity and quantity[0] == name and heading in table.columns:
            column = table.columns[heading]
            read = [parse_number(text, part.missing) for text in column.values]
            findings.refuse_cells(read, column, table)
            metres = [round(value * quantity[1], 4) if isinstance(value, float) else None for value in read]
            return [metres[code] for code in column.codes.tolist()]
    return [None] * len(table)


def _reading(text: str, word: str, part: FileMap) -> Any:
    value = parse_number(text, part.missing)
    low, high = _POSSIBLE[word]
    if isinstance(value, float) and not low <= value <= high:
        return CellTrouble(f"{text!r} lies outside {low} to {high}")
    return value


def _tell_unlikely(word: str, column: Any, read: list[Any], table: Table, findings: Findings) -> None:
    low, high = _LIKELY[word]
    odd = np.array([isinstance(value, float) and not low <= value <= high for value in read], np.bool_)
    for i in np.flatnonzero(odd[column.codes]).tolist() if odd.any() else ():
        message = (
            f"{word} {column[i]} is unusual (sea water near the shore: {low:g} to {high:g}); taken as written"
        )
        findings.tell("note", message, table, int(table.rows[i]), column.heading)


@dataclass(frozen=True, slots=True)
class SheetSite:
    """One site of a file of sites: its position in decimal degrees, west and south negative."""

    key: str
    lat: float | None
    lon: float | None


def sites_of(table: Table, part: FileMap, findings: Findings) -> dict[str, SheetSite]:
    """Return the sites of a table by their name."""
    column = table.columns[part.heading_of("site") or ""]
    positions: dict[str, list[Any]] = {}
    for word in ("lat", "lon"):
        heading = part.heading_of(word)
        if heading:
            cells = table.columns[heading]
            read = [degrees(word, part)(text) for text in cells.values]
            findings.refuse_cells(read, cells, table)
            positions[word] = [
                read[code] if isinstance(read[code], float) else None for code in cells.codes.tolist()
            ]
    found: dict[str, SheetSite] = {}
    for i in range(len(table)):
        name = " ".join(column[i].split())
        site = SheetSite(name, *(positions[w][i] if w in positions else None for w in ("lat", "lon")))
        if found.setdefault(name, site) != site:
            findings.tell(
                "altered",
                f"site {name!r} stands here again at another place; the first is kept",
                table,
                int(table.rows[i]),
                column.heading,
            )
    return found


def longitudes_settled(table: Table, part: FileMap, pack: str, findings: Findings) -> FileMap:
    """Return the map of a table with its longitudes settled: as it is, turned round, or left out while asked.

    Longitudes of a pack whose coasts lie west of Greenwich are negative. Where all of a file are positive, a
    person has to say whether the sign was left out; until then no position of the file is used.
    """
    heading = part.heading_of("lon")
    if heading is None or pack not in WESTERN_PACKS or "lon" in part.negate:
        return part
    column = table.columns[heading]
    east = np.array(
        [
            isinstance(value := parse_number(text, part.missing), float) and value > 0
            for text in column.values
        ],
        np.bool_,
    )
    at = np.flatnonzero(east[column.codes]) if east.any() else np.zeros(0, np.int64)
    if not len(at):
        return part
    ask = (
        f"{len(at)} longitudes are positive, as {column[int(at[0])]}, which is east of Greenwich; "
        f"the pack {pack} lies west of it. Was the sign left out? "
        'Answer "west" or "east", or say negate = ["lon"] in the map. '
        "Until then no position of the file is used."
    )
    answer = findings.ask(
        "unit",
        f"{table.label}|{heading}",
        table.rows[at].tolist(),
        ask,
        table,
        heading,
        takes=("west", "east"),
    )
    if answer == "west":
        return replace(part, negate=(*part.negate, "lon"))
    if answer == "east":
        return part
    return replace(part, columns={h: word for h, word in part.columns.items() if word not in ("lat", "lon")})


def tell_far_hauls(hauls: tuple[SheetHaul, ...], findings: Findings) -> None:
    """Note each haul whose position lies far from the middle of its site's hauls."""
    by_site: dict[str, list[SheetHaul]] = {}
    for haul in hauls:
        if haul.site and haul.lat is not None and haul.lon is not None:
            by_site.setdefault(haul.site, []).append(haul)
    for site, placed in by_site.items():
        lat = statistics.median(haul.lat or 0.0 for haul in placed)
        lon = statistics.median(haul.lon or 0.0 for haul in placed)
        for haul in placed:
            away = distance_km(lat, lon, haul.lat or 0.0, haul.lon or 0.0)
            if away > FAR_KM:
                findings.tell_at(
                    "note", f"haul {haul.key!r} lies {away:.0f} km from the other hauls of {site!r}", haul
                )


def distance_km(lat: float, lon: float, other_lat: float, other_lon: float) -> float:
    """Return the distance of two places on a sphere of 6371 km, by haversines.

    Source: Sinnott 1984, Virtues of the Haversine, Sky & Telescope 68 (page from memory: 159).
    """
    phi, other = math.radians(lat), math.radians(other_lat)
    half = math.sin((other - phi) / 2) ** 2
    half += math.cos(phi) * math.cos(other) * math.sin(math.radians(other_lon - lon) / 2) ** 2
    return 2 * 6371.0 * math.asin(math.sqrt(min(1.0, half)))
