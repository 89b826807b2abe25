"""Area inside corners that were flagged or taken by GPS."""

from __future__ import annotations

import math
from collections.abc import Sequence

from haulbook.problems import Problem, Refusal

_A_M = 6_378_137.0
_E2 = 0.00669437999014  # first eccentricity squared
_WIDEST_M = 2_000.0  # the longest seine hauls; beyond it, corners are mistyped


def polygon_area_m2(corners: Sequence[tuple[float, float]]) -> float:
    """Return the area inside ``corners`` (latitude, longitude in degrees, EPSG:4326), either way round.

    Corners go onto a plane in metres about their mean latitude (radii of curvature of the WGS84
    ellipsoid: a = 6378137 m, e² = 0.00669437999014), then the shoelace formula. The plane's scale drifts by
    less than 1 part in 1000 within the 2 km allowed, and by 1 in 100 000 over a set of 50 m.

    Raises
    ------
    Refusal
        Fewer than three corners, a latitude or longitude outside its range, sides that cross, or corners more
        than 2 km apart.
    """
    _check_positions(corners)
    points = _on_a_plane(corners)
    width = max(x for x, _ in points) - min(x for x, _ in points)
    height = max(y for _, y in points) - min(y for _, y in points)
    if max(width, height) > _WIDEST_M:
        raise Refusal(
            f"the corners lie {max(width, height) / 1000:.1f} km apart; no seine reaches so far: "
            "check latitude and longitude"
        )
    _check_crossings(points)
    return abs(sum(_cross(p, q) for p, q in _sides(points))) / 2


def _check_positions(corners: Sequence[tuple[float, float]]) -> None:
    problems = [
        Problem(
            "refused",
            f"corner {i} ({lat:g}, {lon:g}) is no latitude, longitude in degrees; latitude stands first",
        )
        for i, (lat, lon) in enumerate(corners, 1)
        if not (abs(lat) <= 90 and abs(lon) <= 180)
    ]
    if len(corners) < 3:
        problems.append(Problem("refused", f"a polygon needs at least 3 corners; here are {len(corners)}"))
    if problems:
        raise Refusal(problems)


def _on_a_plane(corners: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    middle = math.radians(sum(lat for lat, _ in corners) / len(corners))
    w2 = 1 - _E2 * math.sin(middle) ** 2
    north = math.radians(_A_M * (1 - _E2) / w2**1.5)  # metres a degree, along the meridian
    east = math.radians(_A_M / math.sqrt(w2) * math.cos(middle))
    lat0, lon0 = corners[0]
    return [(((lon - lon0 + 180) % 360 - 180) * east, (lat - lat0) * north) for lat, lon in corners]


_Point = tuple[float, float]


def _sides(points: list[_Point]) -> list[tuple[_Point, _Point]]:
    return list(zip(points, points[1:] + points[:1], strict=True))


def _cross(p: _Point, q: _Point) -> float:
    return p[0] * q[1] - q[0] * p[1]


def _turn(p: _Point, q: _Point, r: _Point) -> float:
    return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])


def _check_crossings(points: list[_Point]) -> None:
    sides = _sides(points)
    for i, (p, q) in enumerate(sides):
        for j, (r, s) in enumerate(sides[i + 1 :], i + 1):
            if _turn(p, q, r) * _turn(p, q, s) < 0 and _turn(r, s, p) * _turn(r, s, q) < 0:
                raise Refusal(
                    f"the side from corner {i + 1} crosses the side from corner {j + 1}; list the corners "
                    "in the order in which one walks round them"
                )
