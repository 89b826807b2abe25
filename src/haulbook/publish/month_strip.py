"""A month at a glance: one strip a day, daylight as a line, windows as boxes, low water as triangles."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from markupsafe import Markup

from haulbook.publish.plan_parts import DayStrip
from haulbook.tide import Extreme
from haulbook.tide.clock import to_minute

HEIGHT = 20


@dataclass(frozen=True, slots=True)
class Hours:
    """The clock hours that all strips of a page run over."""

    first: int
    last: int
    zone: ZoneInfo

    def across(self, at: datetime, day: date) -> float:
        """Return the place of a clock time in a day's strip, in percent; outside below 0 or above 100."""
        hour = clock_hours(at, day, self.zone)
        return 100.0 * (hour - self.first) / (self.last - self.first)

    @property
    def ticks(self) -> list[tuple[float, str]]:
        """Place in percent and two digits of every other hour, or every fourth of a long day."""
        step = 2 if self.last - self.first <= 18 else 4
        start = -(-self.first // step) * step
        return [
            (100.0 * (hour - self.first) / (self.last - self.first), f"{hour:02d}")
            for hour in range(start, self.last + 1, step)
        ]


def hours_of(days: Iterable[DayStrip], zone: ZoneInfo) -> Hours:
    """Return the clock hours from the earliest light to the latest; the whole day where that is not to be had."""
    clocks = [clock_hours(at, day.day, zone) for day in days if day.light for at in day.light]
    if not clocks or max(clocks) - min(clocks) < 1:
        return Hours(0, 24, zone)
    return Hours(max(0, math.floor(min(clocks))), min(24, math.ceil(max(clocks))), zone)


def clock_hours(at: datetime, day: date, zone: ZoneInfo) -> float:
    """Return the local clock in hours since the day's own 00:00; below 0 or above 24 on its neighbours."""
    local = at.astimezone(zone)
    return (local.date() - day).days * 24 + local.hour + local.minute / 60 + local.second / 3600


def strip(day: DayStrip, hours: Hours) -> Markup:
    """Draw one day; hidden from screen readers, because the row says the same in words."""
    parts = [_line(at, "feint", 0, HEIGHT) for at, _ in hours.ticks]
    if day.light:
        rise, sets = (_inside(hours.across(at, day.day)) for at in day.light)
        if sets > rise:
            parts.append(
                f'<line class="light" x1="{rise:.2f}%" x2="{sets:.2f}%" y1="{HEIGHT / 2}" y2="{HEIGHT / 2}"/>'
            )
    for start, end in day.windows:
        left, right = (_inside(hours.across(at, day.day)) for at in (start, end))
        if right > left:
            parts.append(
                f'<rect class="window" x="{left:.2f}%" width="{right - left:.2f}%" y="3" height="{HEIGHT - 6}"/>'
            )
    for low in day.lows:
        at = hours.across(low.time, day.day)
        if 0 <= at <= 100:
            parts.append(
                f'<svg x="{at:.2f}%" y="{HEIGHT / 2 + 4:g}" overflow="visible">'
                '<path class="low" d="M-4.5 -8h9L0 0z"/></svg>'
            )
    # Only numbers stand in this drawing, so there is nothing to escape.
    return Markup(  # noqa: S704
        f'<svg class="strip day" aria-hidden="true" focusable="false">{"".join(parts)}</svg>'
    )


def low_to_name(day: DayStrip) -> Extreme | None:
    """Return the low that the row names: one in a window, else one in daylight, else the first of the day."""
    spans = (*day.windows, *((day.light,) if day.light else ()))
    inside = (low for start, end in spans for low in day.lows if start <= low.time <= end)
    return next(inside, day.lows[0] if day.lows else None)


def months(days: Sequence[DayStrip]) -> list[tuple[str, list[DayStrip]]]:
    """Return the days by month, each month with its heading."""
    found: dict[tuple[int, int], list[DayStrip]] = {}
    for day in days:
        found.setdefault((day.day.year, day.day.month), []).append(day)
    return [(f"{group[0].day:%B} {year}", group) for (year, _), group in found.items()]


def local_clock(at: datetime, zone: ZoneInfo) -> str:
    """Return the local clock to the minute."""
    return f"{to_minute(at, zone):%H:%M}"


def _inside(at: float) -> float:
    return min(100.0, max(0.0, at))


def _line(at: float, kind: str, top: float, bottom: float) -> str:
    return f'<line class="{kind}" x1="{at:.2f}%" x2="{at:.2f}%" y1="{top:g}" y2="{bottom:g}"/>'
