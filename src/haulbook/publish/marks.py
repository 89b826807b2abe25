"""Small drawings that stand beside a numeral: tally gates, headroom rings or scale, hauls along a log axis.

Each is an inline SVG without text, hidden from screen readers, because the words and numerals beside it say
the same. Strokes take the ink of the text around them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from markupsafe import Markup

from haulbook.estimate import Estimate

MOST_GATES = 20
MOST_RINGS = 12

_PITCH = 4.8
_LEANS = (0.6, -0.4, 0.9, 0.2)  # by place in the gate: a hand's wobble, the same every time


def gates(n: int) -> Markup:
    """Return ``n`` as five-bar gates, four strokes and one across; nothing for 0 or above 20."""
    if not 0 < n <= MOST_GATES:
        return Markup("")
    strokes, x = [], 3.0
    for gate in range(math.ceil(n / 5)):
        here = min(5, n - 5 * gate)
        strokes += [f"M{x + i * _PITCH:.1f} 19l{_LEANS[i]:.1f} -18" for i in range(min(4, here))]
        if here == 5:
            strokes.append(f"M{x - 3:.1f} 15L{x + 3 * _PITCH + 3:.1f} 5")
        x += (here if here < 5 else 4) * _PITCH + 5
    return _drawing("gates", x, 20, f'<path d="{"".join(strokes)}"/>')


def headroom(before: int, now: int, limit: int) -> Markup:
    """Return what is left of a limit as rings, or as a scale in tenths above 12.

    Struck: used before. Solid: now. Open: left. Double stroke: the limit. Crossed squares: over,
    at most five.

    Parameters
    ----------
    before, now, limit : int
        0 or more.
    """
    return _rings(before, now, limit) if limit <= MOST_RINGS else _scale(before, now, limit)


def _rings(before: int, now: int, limit: int) -> Markup:
    used, parts, x = before + now, [], 6.0
    for i in range(limit):
        if i and i % 5 == 0:
            x += 5
        if i < before:
            parts.append(f'<circle cx="{x}" cy="9" r="4.5"/><path d="M{x - 5} 14L{x + 5} 4"/>')
        elif i < used:
            parts.append(f'<circle class="solid" cx="{x}" cy="9" r="4.5"/>')
        else:
            parts.append(f'<circle cx="{x}" cy="9" r="4.5"/>')
        x += 13
    parts.append(f'<path d="M{x - 3} 2v14M{x + 1} 2v14"/>')
    x += 6
    for _ in range(min(5, max(0, used - limit))):
        parts.append(
            f'<path d="M{x} 4.5h9v9h-9zM{x + 2} 6.5l5 5M{x + 7} 6.5l-5 5"/>',
        )
        x += 13
    return _drawing("rings", x + 2, 18, "".join(parts))


def _scale(before: int, now: int, limit: int) -> Markup:
    width = 140
    old, new = (min(1.0, n / limit) * width for n in (before, before + now))
    ticks = "".join(f"M{2 + width * i / 10:g} 14v-5" for i in range(1, 10))
    over = f'<path d="M{width + 9} 4.5h9v9h-9zM{width + 11} 6.5l5 5M{width + 16} 6.5l-5 5"/>'
    return _drawing(
        "rings",
        width + (20 if before + now > limit else 9),
        18,
        f'<path d="M2 14h{width}{ticks}M{width + 2} 2v14M{width + 6} 2v14"/>'
        f'<rect class="solid" x="2" y="10" width="{old:.1f}" height="4"/>'
        f'<rect class="solid" x="{2 + old:.1f}" y="6" width="{new - old:.1f}" height="8"/>'
        + (over if before + now > limit else ""),
    )


class Axis:
    """A log axis in percent of the drawing's width, with a lane for 0 left of a double line.

    Parameters
    ----------
    values : iterable of float
        Everything that is to be seen; zeros go to the lane.
    """

    ZERO_AT = 8.5
    ZERO_END = 17.0
    _FIRST, _LAST = 21.0, 96.0

    def __init__(self, values: Iterable[float]) -> None:
        seen = [value for value in values if value > 0 and math.isfinite(value)] or [1.0]
        low, high = math.floor(math.log10(min(seen)) + 1e-9), math.ceil(math.log10(max(seen)) - 1e-9)
        self._low = float(max(low, -6))  # one animal on 100 km²: what is less runs off
        self._high = max(float(high), self._low + 1)

    def at(self, value: float) -> float:
        """Return the place of a value above 0, in percent; what runs off stands at the edge."""
        share = (math.log10(value) - self._low) / (self._high - self._low)
        return self._FIRST + (self._LAST - self._FIRST) * min(1.0, max(0.0, share))

    def runs_off_left(self, value: float) -> bool:
        """Whether a value lies left of the axis."""
        return value <= 0 or math.log10(value) < self._low - 1e-9

    @property
    def ticks(self) -> list[tuple[float, str]]:
        """Place in percent and number of each decade, in plain figures."""
        decades = range(int(self._low), int(self._high) + 1)
        step = math.ceil(len(decades) / 5)
        return [(self.at(10.0**d), f"{10.0**d:.6f}".rstrip("0").rstrip(".")) for d in decades[::step]]


def axis_for(estimates: Sequence[Estimate]) -> Axis:
    """Return an axis that shows every haul and estimate; limits within a decade of them, others run off."""
    points = [haul.per_100_m2 for e in estimates for haul in e.hauls]
    points += [e.per_100_m2 for e in estimates if e.per_100_m2]
    seen = [point for point in points if point > 0]
    if not seen:
        return Axis(e.high for e in estimates if e.high)
    limits = [limit for e in estimates if e.limits_shown for limit in (e.low, e.high) if limit]
    return Axis(seen + [min(max(limit, min(seen) / 3), max(seen) * 3) for limit in limits])


def strip(estimate: Estimate, axis: Axis) -> Markup:
    """Draw one estimate along the axis: a ring a haul, a bar for the limits, an upright at the estimate."""
    parts = [_line(at, at, "feint", 0, 32) for at, _ in axis.ticks]
    parts += [
        _line(axis.ZERO_END, axis.ZERO_END, "rule", 0, 32),
        _line(axis.ZERO_END + 0.8, axis.ZERO_END + 0.8, "rule", 0, 32),
    ]
    if estimate.limits_shown and estimate.low is not None and estimate.high is not None:
        parts.append(_bar(estimate, axis))
    zeros = sum(haul.per_100_m2 == 0 for haul in estimate.hauls)
    pitch = min(3.2, 13.0 / max(zeros, 1))
    parts += [_ring(axis.ZERO_AT + pitch * (i - (zeros - 1) / 2)) for i in range(zeros)]
    parts += [_ring(axis.at(haul.per_100_m2)) for haul in estimate.hauls if haul.per_100_m2 > 0]
    if estimate.per_100_m2:
        at = axis.at(estimate.per_100_m2)
        parts.append(_line(at, at, "upright", 7, 25))
    # Only numbers and our own words stand in these drawings, so there is nothing to escape.
    return Markup(  # noqa: S704
        f'<svg class="strip" aria-hidden="true" focusable="false">{"".join(parts)}</svg>'
    )


def _bar(estimate: Estimate, axis: Axis) -> str:
    low, high = estimate.low or 0.0, estimate.high or 0.0
    if estimate.method == "nothing caught":
        end = axis.at(high)
        return _line(axis.ZERO_END + 0.8, end, "bound", 16, 16) + _line(end, end, "bar", 11, 21)
    start = axis.at(low) if low > 0 else axis.at(high)
    arrow = ""
    if axis.runs_off_left(low):
        arrow = f'<svg x="{start}%" y="16" overflow="visible"><path class="bar" d="M6 -5L0 0L6 5"/></svg>'
    return _line(start, axis.at(high), "bar", 16, 16) + arrow


def _line(x1: float, x2: float, kind: str, y1: float, y2: float) -> str:
    return f'<line class="{kind}" x1="{x1:.2f}%" x2="{x2:.2f}%" y1="{y1:g}" y2="{y2:g}"/>'


def _ring(at: float) -> str:
    return f'<circle cx="{at:.2f}%" cy="16" r="5"/>'


def _drawing(kind: str, width: float, height: float, inside: str) -> Markup:
    return Markup(  # noqa: S704 (see strip)
        f'<svg class="{kind}" viewBox="0 0 {width:g} {height:g}" width="{width:g}" height="{height:g}" '
        f'aria-hidden="true" focusable="false">{inside}</svg>'
    )
