"""A season's low waters by daylight, a stroke each that hangs the deeper the lower the water; outings are ringed.

Laid out in per cent, so it is redrawn at its width and never scaled: letters and strokes keep their size on a phone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from markupsafe import Markup, escape

HEIGHT = 168
_TOP, _BOTTOM, _LINE = 52.0, 138.0, 144.0
"""Px down, of 168: the highest low; the lowest; the line of the months."""
_LEFT, _RIGHT = 5.5, 99.0
"""Per cent across: left of it stand the heights."""
_RING = 11
_CLOSE = 8.0
"""Outings nearer than so many per cent are ringed in two rows."""
_STEPS_M = (0.1, 0.2, 0.5, 1.0, 2.0)
_MANY_MONTHS = 6
"""Of more months every second name is left out on a narrow page."""


@dataclass(frozen=True, slots=True)
class DayLow:
    """The lowest low water of a day in daylight, metres above MLLW."""

    day: date
    height_m: float


def season_strip(lows: Sequence[DayLow], outings: Iterable[tuple[date, str]], words: str) -> Markup:
    """Draw a season.

    Parameters
    ----------
    lows : sequence of DayLow
        In order of days; at least one.
    outings : iterable of (day, label)
        Labels are short: a number.
    words : str
        What the picture shows, for screen readers; the same figures stand in the table below it.
    """
    picture = _Picture(
        lows[0].day, lows[-1].day, min(low.height_m for low in lows), max(low.height_m for low in lows)
    )
    marked = [one for one in sorted(outings) if picture.first <= one[0] <= picture.last]
    inside = "".join(
        [*_frame(picture), *_strokes(picture, lows, {day for day, _ in marked}), *_rings(picture, marked)]
    )
    return Markup(  # noqa: S704 - numbers and escaped labels only
        f'<svg class="season-strip" role="img" aria-label="{escape(words)}">{inside}</svg>'
    )


@dataclass(frozen=True, slots=True)
class _Picture:
    first: date
    last: date
    deepest: float
    highest: float

    def across(self, day: date) -> float:
        return _LEFT + (_RIGHT - _LEFT) * (day - self.first).days / max(1, (self.last - self.first).days)

    def down(self, height_m: float) -> float:
        span = max(0.1, self.highest - self.deepest)
        return _TOP + (_BOTTOM - _TOP) * (self.highest - height_m) / span


def _percent(down: float) -> str:
    return f"{100 * down / HEIGHT:.2f}%"


def _frame(picture: _Picture) -> Iterator[str]:
    for down in (_TOP, _LINE):
        yield f'<line class="ink" x1="{_LEFT - 1:.2f}%" x2="100%" y1="{_percent(down)}" y2="{_percent(down)}"/>'
    for height in _grid(picture.deepest, picture.highest):
        down = picture.down(height)
        yield f'<line class="feint" x1="{_LEFT - 1:.2f}%" x2="100%" y1="{_percent(down)}" y2="{_percent(down)}"/>'
        yield _text("axis", 0, down + 4, _metres(height), "start")
    months = _months(picture.first, picture.last)
    for i, month in enumerate(months):
        at, fine = picture.across(month), " fine" if i % 2 and len(months) > _MANY_MONTHS else ""
        yield f'<line class="ink" x1="{at:.2f}%" x2="{at:.2f}%" y1="{_percent(_LINE)}" y2="{_percent(_LINE + 8)}"/>'
        yield _text(f"axis{fine}", at + 0.6, _LINE + 19, f"{month:%b}", "start")


def _strokes(picture: _Picture, lows: Iterable[DayLow], marked: set[date]) -> Iterator[str]:
    for low in lows:
        at = picture.across(low.day)
        kind = "outing" if low.day in marked else "low"
        end = max(picture.down(low.height_m), _TOP + 2)
        yield f'<line class="{kind}" x1="{at:.2f}%" x2="{at:.2f}%" y1="{_percent(_TOP)}" y2="{_percent(end)}"/>'


def _rings(picture: _Picture, marked: Sequence[tuple[date, str]]) -> Iterator[str]:
    last, upper = -100.0, False
    for day, label in marked:
        at = picture.across(day)
        upper = at - last < _CLOSE and not upper
        last = at
        down = 12.0 if upper else 37.0
        yield f'<circle class="ring" cx="{at:.2f}%" cy="{_percent(down)}" r="{_RING}"/>'
        yield _text("label", at, down + 4.5, label, "middle")


def _text(kind: str, across: float, down: float, words: str, anchor: str) -> str:
    return f'<text class="{kind}" x="{across:.2f}%" y="{_percent(down)}" text-anchor="{anchor}">{escape(words)}</text>'


def _grid(deepest: float, highest: float) -> list[float]:
    step = next((one for one in _STEPS_M if (highest - deepest) / one <= 4), _STEPS_M[-1])
    lowest = int(deepest / step) - 1
    heights = [round(step * i, 3) for i in range(lowest, int(highest / step) + 2)]
    return [height for height in heights if deepest <= height <= highest]


def _metres(height: float) -> str:
    return f"{height:.1f}".replace("-", "−") if height else "0"


def _months(first: date, last: date) -> list[date]:
    found, day = [], first.replace(day=1)
    while day <= last:
        if day >= first:
            found.append(day)
        day = (day.replace(day=28) + timedelta(days=4)).replace(day=1)
    return found
