"""How values of the report model are written in an agency's table: dates, positions, units, decimals."""

from __future__ import annotations

import re
from datetime import date, datetime
from fractions import Fraction

from haulbook.permit.fields import Value
from haulbook.permit.measure import exact
from haulbook.problems import Refusal, unknown

Cell = str | int | float | None
"""What stands in a table: numbers stay numbers, so that a spreadsheet can add them."""

UNITS: dict[tuple[str, str], Fraction] = {
    ("mm", "cm"): Fraction(1, 10),
    ("mm", "in"): 10 / Fraction(254),
    ("m", "ft"): 10000 / Fraction(3048),
    ("m2", "ft2"): (10000 / Fraction(3048)) ** 2,
}
"""What one of ours is in the agency's unit. International foot and inch, NIST SP 811 appendix B."""

COORDS = ("dd", "dms")

_TOKENS = re.compile(r"yyyy|yy|mon|mm|m|dd|d|HH|H|MM")
_DECIMALS = re.compile(r"0(?:\.(0+))?")
_SUFFIX = re.compile(r"_(mm|m2|m)$")


def check_format(text: str) -> str:
    """Return a column format: ``0``, ``0.0``, or a date pattern such as ``m/d/yy`` or ``HH:MM``.

    Raises
    ------
    Refusal
        Neither of both.
    """
    if _DECIMALS.fullmatch(text) or (
        _TOKENS.search(text) and not re.search(r"[A-Za-z]", _TOKENS.sub("", text))
    ):
        return text
    raise Refusal(
        f"{text!r} is no format; write 0, 0.00, or yyyy, yy, mon, mm, m, dd, d, HH, H, MM with signs between"
    )


def check_units(units: dict[str, str]) -> dict[str, str]:
    """Return conversions by our unit, ``{"mm": "in"}``; refuse one that is not known."""
    for ours, theirs in units.items():
        if (ours, theirs) not in UNITS:
            raise Refusal(unknown("conversion", f"{ours} to {theirs}", (f"{a} to {b}" for a, b in UNITS)))
    return units


def converted(name: str, value: Value, units: dict[str, str]) -> Value:
    """Return the value of a column in the agency's unit."""
    suffix = _SUFFIX.search(name)
    if not suffix or suffix[1] not in units or not isinstance(value, int | float):
        return value
    return float(exact(value) * UNITS[suffix[1], units[suffix[1]]])


def cell(value: Value, pattern: str | None, date_format: str) -> Cell:
    """Write one value: dates as the agency does, decimals as asked or at most six (0.1 m of latitude)."""
    if isinstance(value, datetime):
        return _dated(value, pattern) if pattern else value.isoformat(timespec="minutes")
    if isinstance(value, date):
        return _dated(value, pattern or date_format)
    if isinstance(value, float):
        decimals = _DECIMALS.fullmatch(pattern) if pattern else None
        rounded = round(value, len(decimals[1] or "") if decimals else 6)
        return int(rounded) if rounded == int(rounded) else rounded
    return value


def position(value: Value, name: str, coords: str) -> Value:
    """Write a latitude or longitude in degrees, minutes and tenths of a second, or leave it decimal."""
    if coords == "dd" or not isinstance(value, int | float):
        return value
    side = ("N" if value >= 0 else "S") if name == "lat" else ("E" if value >= 0 else "W")
    tenths = round(abs(exact(value)) * 36000)
    degrees, rest = divmod(tenths, 36000)
    minutes, seconds = divmod(rest, 600)
    return f"{degrees}°{minutes:02d}'{seconds // 10:02d}.{seconds % 10}\"{side}"


def _dated(value: date, pattern: str) -> str:
    def token(found: re.Match[str]) -> str:
        word = found[0]
        hour, minute = (value.hour, value.minute) if isinstance(value, datetime) else (0, 0)
        return {
            "yyyy": f"{value.year:04d}",
            "yy": f"{value.year % 100:02d}",
            "mon": f"{value:%b}",
            "mm": f"{value.month:02d}",
            "m": str(value.month),
            "dd": f"{value.day:02d}",
            "d": str(value.day),
            "HH": f"{hour:02d}",
            "H": str(hour),
            "MM": f"{minute:02d}",
        }[word]

    return _TOKENS.sub(token, pattern)
