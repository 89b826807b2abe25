"""Which window is the better one, and why, in words.

The order of merit: how many of the wanted hauls fit; how much of the window is ebb or slack (arrive on the
ebb and follow the water down: University of Liverpool, coastal fieldwork guidance, 2019); minutes to spare;
and whether it begins at a decent hour. ``Terms.rule`` changes the order. Ties go by date.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from haulbook.tide.clock import say_clock
from haulbook.tide.terms import Score, Terms
from haulbook.tide.windows import WEATHER_M, Window

DECENT_HOUR = 6
"""A window that begins before this local hour costs the crew its night; common practice, no source."""

SPARE_ENOUGH_MIN = 60
"""Minutes to spare beyond these bring no better rank; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Ranked:
    """A window with its place and the reason for it.

    Attributes
    ----------
    rank : int
        1 is the best.
    window : Window
        The window.
    why : str
        Each part of the score in words.
    """

    rank: int
    window: Window
    why: str


def rank(windows: Iterable[Window], terms: Terms) -> tuple[Ranked, ...]:
    """Return the windows best first, each with its reason."""
    order = sorted(windows, key=lambda one: (*_merits(one, terms), one.start))
    return tuple(Ranked(place, one, why(one, terms)) for place, one in enumerate(order, start=1))


def _merits(window: Window, terms: Terms) -> tuple[float, ...]:
    """One number per score in the order of the rule; less is better."""
    scores: Mapping[Score, Callable[[], float]] = {
        "hauls": lambda: -min(window.hauls, terms.work.hauls),
        # In tenths, so that a minute more of ebb does not outweigh an hour to spare.
        "falling": lambda: -round(window.falling_share, 1),
        "spare": lambda: -min(window.spare_minutes // 5 * 5, SPARE_ENOUGH_MIN),
        "hour": lambda: _too_early(window, terms),
    }
    return tuple(scores[name]() for name in terms.rule)


def _too_early(window: Window, terms: Terms) -> float:
    local = window.start.astimezone(terms.zone)
    return max(0.0, DECENT_HOUR * 60 - (local.hour * 60 + local.minute))


def why(window: Window, terms: Terms) -> str:
    """Return the reason for a window's place: hauls, ebb, spare, rate, slack, weather, hour."""
    return "; ".join(
        part
        for part in (
            _hauls(window, terms.work.hauls),
            _legs(window, terms),
            f"height changes by up to {window.fastest_m_per_h:.2f} m/h",
            _slack(window, terms),
            _weather(window),
            _light(window, terms),
            _hour(window, terms),
            "times interpolated, to 5 minutes" if window.interpolated else "",
        )
        if part
    )


def _hauls(window: Window, wanted: int) -> str:
    said = _minutes(window.minutes)
    if not window.hauls:
        return f"no haul fits in {said}"
    fit = "1 haul fits" if window.hauls == 1 else f"{window.hauls} hauls fit"
    over = f" ({wanted} wanted)" if window.hauls > wanted else ""
    return f"{fit}{over} in {said}, {round(window.spare_minutes)} to spare"


def _legs(window: Window, terms: Terms) -> str:
    height_m = round(window.low.height_m, 2) + 0.0  # never a minus before 0.00
    at = f"low {height_m:+.2f} m at {say_clock(window.low.time, terms.zone)}"
    if window.leg == "both":
        calm = "ebb" if window.slack is None else "ebb or slack"
        return f"{100 * window.falling_share:.0f} % {calm}, {at}"
    return f"all {window.leg}, {at}"


def _slack(window: Window, terms: Terms) -> str:
    if window.slack is None or terms.slack_lag_min is None:
        return ""
    return (
        f"slack current seen here {terms.slack_lag_min:+.0f} minutes from low, at "
        f"{say_clock(window.slack, terms.zone)}"
    )


def _weather(window: Window) -> str:
    if window.rough_minutes < 1:
        return f"with {WEATHER_M} m of weather nothing may be left"
    said = f"with {WEATHER_M} m of weather {_minutes(window.rough_minutes)}"
    moved = window.rough_shift_minutes
    return f"{said}, begun up to {round(moved)} earlier or later" if moved >= 1 else said


def _light(window: Window, terms: Terms) -> str:
    if terms.in_daylight:
        return ""
    if window.daylight_minutes <= 0:
        return "all in the dark"
    dark = window.minutes - window.daylight_minutes
    return f"{_minutes(dark)} in the dark" if dark >= 1 else "all in daylight"


def _hour(window: Window, terms: Terms) -> str:
    return f"begins before {DECENT_HOUR:02d}:00" if _too_early(window, terms) else ""


def _minutes(length: float) -> str:
    whole = round(length)
    return f"{whole} minute" if whole == 1 else f"{whole} minutes"
