"""Positions as people write them: degrees, or degrees and minutes, with the side as a sign or a letter."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence

from haulbook.problems import Problem, Refusal

_FORM = re.compile(
    r"""^\s*(?P<sign>[-−+])?\s*(?P<degrees>\d+(?:\.\d+)?)\s*°?
        (?:\s+(?P<minutes>\d+(?:\.\d+)?)\s*['′]?)?(?:\s+(?P<seconds>\d+(?:\.\d+)?)\s*["″]?)?
        \s*(?P<side>[NSEWnsew])?\s*$""",
    re.VERBOSE,
)


def read_coordinate(text: str, sides: str) -> float:
    """Return decimal degrees, north and east positive.

    Parameters
    ----------
    text : str
        As ``41.4612``, ``-71.31``, ``41 27.67 N`` or ``71 18 38 W``.
    sides : {"NS", "EW"}
        Latitude or longitude.

    Raises
    ------
    Refusal
        Where it can't be read, has minutes of 60 or more, names the other axis, or lies beyond pole or date line.
    """
    found = _FORM.match(text.replace(",", "."))
    if found is None:
        raise Refusal(f"{text!r} is no {_axis(sides)}; write it as 41.4612, or as 41 27.67 {sides[0]}")
    side = (found["side"] or "").upper()
    if side and side not in sides:
        raise Refusal(f"{text!r} ends in {side}; a {_axis(sides)} ends in {sides[0]} or {sides[1]}")
    minutes, seconds = float(found["minutes"] or 0), float(found["seconds"] or 0)
    if minutes >= 60 or seconds >= 60:
        raise Refusal(f"{text!r} has 60 or more minutes or seconds; look at it again")
    if side and found["sign"] in ("-", "−"):
        raise Refusal(f"{text!r} has a sign and a letter; write one of them")
    degrees = float(found["degrees"]) + minutes / 60 + seconds / 3600
    most = 90 if sides == "NS" else 180
    if degrees > most:
        raise Refusal(f"{text!r} is more than {most} degrees; latitude stands first, longitude second")
    return round(-degrees if side in ("S", "W") or found["sign"] in ("-", "−") else degrees, 6)


def read_shoreline(text: str) -> list[list[float]]:
    """Return points [latitude, longitude] along a shoreline.

    Parameters
    ----------
    text : str
        A point a line, or GeoJSON (a LineString, or a Feature with one; its points are longitude, latitude: RFC 7946).
        Empty for none.

    Raises
    ------
    Refusal
        With every line that can't be read; a single point is no line.
    """
    if not text.strip():
        return []
    points = _of_geojson(text) if text.lstrip().startswith("{") else _of_lines(text)
    if len(points) < 2:
        raise Refusal("a shoreline has two points or more; add the next one on a line of its own")
    return points


def shoreline_text(points: Sequence[Sequence[float]]) -> str:
    """Return a shoreline as its form shows it."""
    return "\n".join(f"{lat}, {lon}" for lat, lon in points)


def _axis(sides: str) -> str:
    return "latitude" if sides == "NS" else "longitude"


def _of_lines(text: str) -> list[list[float]]:
    points: list[list[float]] = []
    problems: list[Problem] = []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        halves = [half for half in re.split(r"[,;\t]\s*", line.strip()) if half] or [line]
        if len(halves) != 2:
            halves = line.split() if len(line.split()) == 2 else halves
        if len(halves) != 2:
            problems.append(
                Problem("refused", f"line {number} of the shoreline is {line!r}; write 41.4612, -71.3105")
            )
            continue
        try:
            points.append([read_coordinate(halves[0], "NS"), read_coordinate(halves[1], "EW")])
        except Refusal as refusal:
            problems.append(Problem("refused", f"line {number} of the shoreline: {refusal}"))
    if problems:
        raise Refusal(problems)
    return points


def _of_geojson(text: str) -> list[list[float]]:
    try:
        found = json.loads(text)
        if found.get("type") == "FeatureCollection" and len(found["features"]) == 1:
            found = found["features"][0]
        if found.get("type") == "Feature":
            found = found["geometry"]
        pairs = (
            [(float(lat), float(lon)) for lon, lat, *_ in found["coordinates"]]
            if found["type"] == "LineString"
            else None
        )
    except (ValueError, KeyError, TypeError, AttributeError):
        raise Refusal("this GeoJSON can't be read; hand in one LineString") from None
    if pairs is None:
        raise Refusal(f"this GeoJSON holds a {found.get('type')}; hand in one LineString")
    if any(abs(lat) > 90 or abs(lon) > 180 for lat, lon in pairs):
        raise Refusal(
            "a point of this GeoJSON lies beyond pole or date line; GeoJSON writes longitude first (RFC 7946)"
        )
    return [[round(lat, 6), round(lon, 6)] for lat, lon in pairs]
