"""Lengths and times that are compared exactly, because a net of 40 ft is longer than 12 m.

Source: international foot and inch, 1 ft = 0.3048 m and 1 in = 0.0254 m exactly (NIST Special Publication
811, appendix B); rule A4.2 of the permit language: lengths are converted exactly before comparing.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction

from haulbook.problems import Refusal

_METRES = {
    "m": Fraction(1),
    "cm": Fraction(1, 100),
    "mm": Fraction(1, 1000),
    "ft": Fraction(3048, 10000),
    "in": Fraction(254, 10000),
}
_NUMBER = r"(\d+(?:\.\d+)?|\d+/\d+)"
_LENGTH = re.compile(rf"\s*{_NUMBER}\s*({'|'.join(_METRES)})\s*")


def exact(value: int | float | Decimal | Fraction) -> Fraction:
    """Return a number as it was written: the float 12.192 becomes 12192/1000, not its binary neighbour."""
    return Fraction(repr(value)) if isinstance(value, float) else Fraction(value)


def metres(value: int | float | Decimal | Fraction | str, unit: str = "m") -> Fraction:
    """Return a length in ``unit`` (m or mm), exactly.

    Parameters
    ----------
    value : number or str
        A number is in ``unit`` already; text carries its own: ``40 ft``, ``1/4 in``, ``12 m``.

    Raises
    ------
    Refusal
        Text that is no length.
    """
    if not isinstance(value, str):
        return exact(value)
    found = _LENGTH.fullmatch(value)
    if not found:
        raise Refusal(
            f"{value!r} is no length; write a number, or one with its unit: 40 ft, 12 m, 1/4 in, 6 mm"
        )
    return Fraction(found[1]) * _METRES[found[2]] / _METRES[unit]


def plain(value: Fraction | Decimal | int) -> str:
    """Write an exact number as a person would, with at most four decimals: 12.192, 5, 2.5."""
    return f"{float(value):.4f}".rstrip("0").rstrip(".")
