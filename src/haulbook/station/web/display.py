"""How a station shows dates, clocks, numbers and units: pure functions, told the language, zone and units.

Values come in as metres, litres, degrees Celsius and instants; feet and degrees Fahrenheit are for display only.
Between a number and its unit stands a no-break space; a negative number has a true minus.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import ROUND_HALF_UP, Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import dateformat, formats
from django.utils.translation import ngettext, override, pgettext

from haulbook.publish import marks, month_strip
from haulbook.publish.tide_chart import tide_chart
from haulbook.station.web import svg

METRES_A_FOOT = 0.3048
"""Exactly (international foot, 1959)."""
_NO_BREAK = "\u00a0"
_GROUP_FROM = 10_000


@dataclass(frozen=True, slots=True)
class Display:
    """How a page shows what it is given.

    Attributes
    ----------
    language : str
        As Django names it: ``en``.
    zone : str
        IANA zone in which instants are shown.
    feet, fahrenheit : bool
        In place of metres and degrees Celsius.
    """

    language: str = "en"
    zone: str = "UTC"
    feet: bool = False
    fahrenheit: bool = False


def day(value: date | datetime | str | None, display: Display) -> str:
    """Return a day as ``14 May 2027``; an instant's day in the zone of the page."""
    return _written(value, display, _format_of("DATE_FORMAT", display))


def weekday(value: date | datetime | str | None, display: Display) -> str:
    """Return a day of this season as ``Fri 14 May``."""
    with override(display.language):
        # Translators: day of the week and day, short, as Django's date filter takes it.
        return _written(value, display, pgettext("date format", "D j M"))


def clock(value: datetime | time | str | None, display: Display) -> str:
    """Return a clock time as ``05:42``: that of an instant in the zone of the page."""
    return _written(value, display, _format_of("TIME_FORMAT", display))


def moment(value: datetime | str | None, display: Display) -> str:
    """Return an instant as ``14 May, 05:42``."""
    with override(display.language):
        # Translators: day and clock time, short, as Django's date filter takes it.
        return _written(value, display, pgettext("date format", "j M, H:i"))


def number(value: float | None, display: Display, places: int | None = None, *, signed: bool = False) -> str:
    """Return a number, blank where there is none.

    Parameters
    ----------
    value : float or None
    display : Display
    places : int, optional
        Decimals, rounded half away from zero; without it a whole number stands as it is and another as it was
        written.
    signed : bool
        Write the plus as well, as for heights of the tide.
    """
    if value is None:
        return ""
    figure = Decimal(str(value))
    if places is not None:
        figure = figure.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
    elif figure == figure.to_integral_value():
        figure = figure.to_integral_value()
    with override(display.language):
        words = formats.number_format(abs(figure), use_l10n=True, force_grouping=abs(figure) >= _GROUP_FROM)
    if figure < 0:
        return f"−{words}"
    return f"+{words}" if signed and figure > 0 else words


def metres(
    value: float | None, display: Display, places: int = 1, *, signed: bool = False, bare: bool = False
) -> str:
    """Return a length in metres or feet; ``bare`` leaves out the unit, which then stands in the heading."""
    shown = value / METRES_A_FOOT if value is not None and display.feet else value
    return _with_unit(number(shown, display, places, signed=signed), "" if bare else unit("m", display))


def square_metres(value: float | None, display: Display, places: int = 0, *, bare: bool = False) -> str:
    """Return an area in square metres or square feet."""
    shown = value / METRES_A_FOOT**2 if value is not None and display.feet else value
    return _with_unit(number(shown, display, places), "" if bare else unit("m²", display))


def litres(value: float | None, display: Display, places: int = 0, *, bare: bool = False) -> str:
    """Return a volume in litres."""
    return _with_unit(number(value, display, places), "" if bare else "L")


def celsius(
    value: float | None, display: Display, places: int = 1, *, difference: bool = False, bare: bool = False
) -> str:
    """Return a temperature in degrees Celsius or Fahrenheit; ``difference``: so many degrees more or less."""
    shown = value
    if value is not None and display.fahrenheit:
        shown = value * 9 / 5 + (0 if difference else 32)
    return _with_unit(number(shown, display, places), "" if bare else unit("°C", display))


def millimetres(value: float | None, display: Display, places: int = 0, *, bare: bool = False) -> str:
    """Return the length of an animal or a mesh in millimetres, whatever the station shows depths in."""
    return _with_unit(number(value, display, places), "" if bare else "mm")


def unit(name: str, display: Display) -> str:
    """Return the unit that ``m``, ``m²`` or ``°C`` are shown in, for the heading of a column."""
    if display.feet and name in ("m", "m²"):
        return {"m": "ft", "m²": "ft²"}[name]
    return "°F" if display.fahrenheit and name == "°C" else name


def several(n: int, display: Display, one: str, many: str) -> str:
    """Return ``1 haul`` or ``3 hauls``; both words are looked up in the language of the page."""
    with override(display.language):
        return f"{number(n, display)}{_NO_BREAK}{ngettext(one, many, n)}"


FILTERS: dict[str, Callable[..., str]] = {
    function.__name__: function
    for function in (
        day, weekday, clock, moment, number, metres, square_metres, litres, celsius, millimetres, unit, several,
    )
}  # fmt: skip
"""By the names under which templates use them; the page's `Display` goes in second place."""

MARKS: dict[str, Callable[..., Any]] = {
    "gates": marks.gates,
    "headroom": marks.headroom,
    "silhouette": svg.silhouette,
    "tide_band": svg.tide_band,
    "tide_chart": tide_chart,
    "estimate_strip": marks.strip,
    "day_strip": month_strip.strip,
    "strip_axis": svg.strip_axis,
}
"""Drawings that templates call."""


def _with_unit(words: str, name: str) -> str:
    return f"{words}{_NO_BREAK}{name}" if words and name else words


def _format_of(name: str, display: Display) -> str:
    return str(formats.get_format(name, lang=display.language, use_l10n=True))


def _written(value: date | datetime | time | str | None, display: Display, form: str) -> str:
    if value is None or value == "":
        return ""
    if isinstance(value, str):
        value = _read(value)
    if isinstance(value, datetime) and value.tzinfo is not None:
        value = value.astimezone(ZoneInfo(display.zone))
    with override(display.language):
        if isinstance(value, time):
            return dateformat.time_format(value, form)
        return dateformat.format(value, form)


def _read(text: str) -> date | datetime:
    """Return what entries write: an instant with its offset, or a day alone."""
    return date.fromisoformat(text) if len(text) == len("2027-05-14") else datetime.fromisoformat(text)
