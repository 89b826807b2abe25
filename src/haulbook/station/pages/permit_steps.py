"""A clause's year, drawn: steps where it counts over a year, a stroke for each period where it counts anew."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils import dateformat
from django.utils.translation import gettext as _
from markupsafe import Markup, escape

from haulbook.permit.status import near_from

HEIGHT = 168
_TOP, _FLOOR = 26.0, 138.0
"""Px down: the highest value and the line of nothing."""
_LEFT, _RIGHT = 11.0, 98.0
"""Per cent across: first and last day."""
_MOST_LINES = 6


@dataclass(frozen=True, slots=True)
class Point:
    """What was added on a day (steps) or what one period came to (strokes); ``worst`` with all that is possible."""

    on: date
    n: float
    worst: float
    label: str = ""


@dataclass(frozen=True, slots=True)
class Frame:
    """Days across and the highest value up."""

    first: date
    last: date
    top: float

    def across(self, day: date) -> float:
        """Return per cent from the left."""
        days = max(1, (self.last - self.first).days)
        part = min(1.0, max(0.0, (day - self.first).days / days))
        return _LEFT + (_RIGHT - _LEFT) * part

    def down(self, value: float) -> float:
        """Return px from the top."""
        return _FLOOR - (_FLOOR - _TOP) * min(value, self.top) / self.top


def steps(
    points: Sequence[Point], limit: float | None, first: date, last: date, today: date, words: str
) -> Markup:
    """Return the count over its days as steps; what is only possible dashed above it.

    Parameters
    ----------
    points : sequence of Point
        In order of days.
    limit : float or None
    first, last, today : date
        The line ends at ``today``, where that lies within.
    words : str
        What the drawing says, for who can't see it.
    """
    certain, worst = sum(point.n for point in points), sum(point.worst for point in points)
    frame = Frame(first, last, _top(max(certain, worst, 1), limit))
    end = frame.across(min(max(today, first), last))
    lines = [*_ground(frame, limit)]
    if worst > certain:
        lines += _line(frame, [(point.on, point.worst) for point in points], end, "possible")
    lines += _line(frame, [(point.on, point.n) for point in points], end, "step")
    return _svg(lines, words)


def strokes(
    points: Iterable[Point], limit: float | None, first: date, last: date, words: str, unit: str = ""
) -> Markup:
    """Return one upright stroke for each period, with the limit across; ``unit`` as % behind the limit."""
    known = list(points)
    frame = Frame(first, last, _top(max([one.worst for one in known] + [1]), limit))
    lines = [*_ground(frame, limit, unit)]
    for point in known:
        x = frame.across(point.on)
        if point.worst > point.n:
            lines.append(_upright(x, frame.down(point.n), frame.down(point.worst), "possible"))
        lines.append(_upright(x, frame.down(0), frame.down(point.n), "step"))
        lines.append(f'<circle class="dot" cx="{x:.2f}%" cy="{frame.down(point.n):.1f}" r="4"/>')
    return _svg(lines, words)


def _top(most: float, limit: float | None) -> float:
    """Return the highest value of the scale; a limit far above what was counted is left out of sight."""
    if limit is None or limit > 8 * most:
        return most * 1.25
    return max(most, limit) * 1.08


def _line(frame: Frame, added: Iterable[tuple[date, float]], end: float, kind: str) -> Iterator[str]:
    x, total = frame.across(frame.first), 0.0
    for on, n in added:
        to = frame.across(on)
        yield _level(x, to, frame.down(total), kind)
        yield _upright(to, frame.down(total), frame.down(total + n), kind)
        x, total = to, total + n
        if n and kind == "step":
            yield f'<circle class="dot" cx="{to:.2f}%" cy="{frame.down(total):.1f}" r="4"/>'
    yield _level(x, max(x, end), frame.down(total), kind)


def _ground(frame: Frame, limit: float | None, unit: str = "") -> Iterator[str]:
    for value in _ticks(frame.top):
        down = frame.down(value)
        yield _level(_LEFT, _RIGHT, down, "axis" if value == 0 else "feint")
        yield _text(_LEFT - 1.5, down + 4, f"{value:g}", "end")
    if limit is not None and limit <= frame.top:
        down = frame.down(limit)
        yield _level(_LEFT, _RIGHT, down - 1.5, "limit")
        yield _level(_LEFT, _RIGHT, down + 1.5, "limit")
        yield _text(_RIGHT, down - 6, _("limit %(n)s") % {"n": f"{limit:g}{unit}"}, "end", "bold")
        if not unit and limit >= 5:
            yield _level(_LEFT, _RIGHT, frame.down(near_from(int(limit))), "near")
    elif limit is not None:
        yield _text(_RIGHT, _TOP - 10, _("limit %(n)s, far above") % {"n": f"{limit:g}{unit}"}, "end", "bold")
    yield from _months(frame)


def _months(frame: Frame) -> Iterator[str]:
    every = 3 if (frame.last - frame.first).days > 200 else 1
    if (frame.last - frame.first).days > 500:
        every = 12
    day = frame.first.replace(day=1)
    while day <= frame.last:
        if day >= frame.first and (day.month - frame.first.month) % every == 0:
            x = frame.across(day)
            yield _upright(x, _FLOOR, _FLOOR + 4, "axis")
            yield _text(x, HEIGHT - 8, dateformat.format(day, "M Y" if every == 12 else "M"), "start")
        day = (day + timedelta(days=32)).replace(day=1)


def _ticks(top: float) -> list[float]:
    for size in (1, 2, 5, 10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000, 5000, 10_000, 50_000, 100_000):
        if top / size <= _MOST_LINES:
            return [size * i for i in range(int(top / size) + 1)]
    return [0]


def _level(x: float, to: float, down: float, kind: str) -> str:
    return f'<line class="{kind}" x1="{x:.2f}%" x2="{to:.2f}%" y1="{down:.1f}" y2="{down:.1f}"/>'


def _upright(x: float, down: float, to: float, kind: str) -> str:
    return f'<line class="{kind}" x1="{x:.2f}%" x2="{x:.2f}%" y1="{down:.1f}" y2="{to:.1f}"/>'


def _text(x: float, down: float, words: str, anchor: str, kind: str = "") -> str:
    return f'<text class="{kind}" x="{x:.2f}%" y="{down:.1f}" text-anchor="{anchor}">{escape(words)}</text>'


def _svg(lines: Iterable[str], words: str) -> Markup:
    # Every text in it is escaped; the rest is numbers and our own words.
    return Markup(  # noqa: S704
        f'<svg xmlns="http://www.w3.org/2000/svg" class="steps-chart" role="img" width="100%" height="{HEIGHT}">'
        f"<title>{escape(words)}</title>{''.join(lines)}</svg>"
    )
