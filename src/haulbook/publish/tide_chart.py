"""The tide of one day drawn: curve, band, night, windows, hauls, and every high and low by number.

Across it is laid out in percent, so it is redrawn at its width and never scaled: letters and strokes keep their
size on a phone. The same drawing with sizes and inks of its own goes on paper.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, time

from markupsafe import Markup, escape

from haulbook.publish.plan_parts import TideDay
from haulbook.publish.words import day as say_day
from haulbook.tide import Extreme
from haulbook.tide.clock import say_clock, to_minute

HEIGHT = 300
_TOP, _BOTTOM = 46, 252
"""Plot from here to here, px: above it the light, under it hauls and hours."""
_WIDE = 1000
"""Units across of what is stretched: curve and water."""
_EDGE = 7.0
"""Within so many percent of an edge a label is set inward."""
_LABEL = 30.0
"""So many percent a label takes up on the narrowest page."""
_GRASS = "M3 12q-2 -6 1 -11M6 12q3 -4 2 -8"
PAPER_WIDTH = 640
_GUTTER = 40
"""Left of the plot, for the scale of heights; on a page the style sheet makes this room."""
_PAPER_INKS = (
    "text{font:13.6px 'Libertinus Serif',serif;fill:#000;stroke:#fff;stroke-width:3px;paint-order:stroke}"
    ".night{fill:#e4e4e4}.window{fill:none;stroke:#000;stroke-width:1}.chosen{stroke-width:2.5}"
    ".band{fill:#000;fill-opacity:.08}.edge{stroke:#000;stroke-width:.8;stroke-dasharray:5 3}"
    ".grid{stroke:#bbb;stroke-width:.5}.water{stroke:#999;stroke-width:.7}.curve{fill:none;stroke:#000;stroke-width:1.8}"
    ".grass path{fill:none;stroke:#000;stroke-width:.9}.axis{stroke:#000;stroke-width:1}.haul,.low{fill:#000}"
    ".strong{font-weight:700}"
)


@dataclass(frozen=True, slots=True)
class _Frame:
    """From instants and heights to places: percent across, px down."""

    day: TideDay
    low_m: float
    high_m: float

    def across(self, at: datetime) -> float:
        share = (at - self.day.begins) / (self.day.ends - self.day.begins)
        return 100.0 * min(1.0, max(0.0, share))

    def down(self, height_m: float) -> float:
        share = (self.high_m - height_m) / (self.high_m - self.low_m)
        return _TOP + (_BOTTOM - _TOP) * share


def tide_chart(day: TideDay, *, paper: bool = False) -> Markup:
    """Return the chart as inline SVG with title and description; ``paper``: with sizes and inks of its own."""
    frame = _frame(day)
    parts = [
        *_light(frame),
        *_windows(frame),
        *_band(frame),
        *_grid(frame),
        _water(frame),
        _grass(frame),
        _curve(frame),
        *_hauls(frame),
        *_hours(frame),
        *_depths(frame),
        *(_label(frame, one) for one in day.extremes),
    ]
    drawn, size = "".join(parts), ""
    if paper:
        size = f'width="{_GUTTER + PAPER_WIDTH}" height="{HEIGHT}" viewBox="0 0 {_GUTTER + PAPER_WIDTH} {HEIGHT}"'
        drawn = (
            f'<style>{_PAPER_INKS}</style><svg x="{_GUTTER}" y="0" width="{PAPER_WIDTH}" height="{HEIGHT}" '
            f'overflow="visible">{drawn}</svg>'
        )
    # Every text in it is escaped below; the rest is numbers and our own words.
    return Markup(  # noqa: S704
        f'<svg xmlns="http://www.w3.org/2000/svg" class="tide" {size} role="img" '
        f'aria-labelledby="tide-title tide-desc"><title id="tide-title">{escape(title(day))}</title>'
        f'<desc id="tide-desc">{escape(description(day))}</desc>{_PATTERNS}{drawn}</svg>'
    )


def title(day: TideDay) -> str:
    """Return what the chart is of."""
    return f"Predicted tide on {say_day(day.day)}"


def description(day: TideDay) -> str:
    """Return what the chart shows, for who can't see it."""
    turns = [f"{one.kind} {metres(one.height_m)} at {say_clock(one.time, day.zone)}" for one in day.extremes]
    said = [f"Highs and lows: {', '.join(turns) or 'none'}."]
    if day.light.sunrise and day.light.sunset:
        rise, sets = (say_clock(at, day.zone) for at in (day.light.sunrise, day.light.sunset))
        said.append(f"Daylight from {rise} to {sets}.")
    said.append(f"The bed can be worked with the water {day.band}; the bed lies at {metres(day.bed_m)}.")
    spans = [f"{say_clock(start, day.zone)} to {say_clock(end, day.zone)}" for start, end in day.windows]
    said.append(f"Windows: {', '.join(spans)}." if spans else "No window on this day.")
    if day.interpolated:
        said.append("The curve is drawn between highs and lows, not predicted.")
    return " ".join(said)


def metres(height_m: float) -> str:
    """Return a height with its sign and a true minus: +0.45 m, −0.21 m."""
    return f"{round(height_m, 2) + 0.0:+.2f} m".replace("-", "−")


_PATTERNS = (
    '<defs><pattern id="tide-water" width="1000" height="5" patternUnits="userSpaceOnUse">'
    '<path class="water" d="M0 2.5h1000"/></pattern>'
    '<pattern id="tide-grass" width="22" height="12" patternUnits="userSpaceOnUse">'
    f'<g class="grass"><path d="{_GRASS}"/></g></pattern></defs>'
)


def _frame(day: TideDay) -> _Frame:
    levels = [
        *day.heights_m,
        day.bed_m,
        *(edge for edge in (day.band.least_m, day.band.most_m) if math.isfinite(edge)),
    ]
    low, high = min(levels), max(levels)
    reach = max(high - low, 0.5)
    return _Frame(day, low - 0.12 * reach, high + 0.16 * reach)


def _light(frame: _Frame) -> Iterator[str]:
    light, day = frame.day.light, frame.day
    span = light.span()
    begin, end = (frame.across(at) for at in span) if span else (100.0, 100.0)
    for left, right in ((0.0, begin), (end, 100.0)):
        if right > left:
            yield _rect("night", left, right, _TOP, _BOTTOM)
    yield from _sun("sunrise", light.sunrise, day, frame)
    yield from _sun("sunset", light.sunset, day, frame)
    if not span:
        yield _text(50, 14, "no daylight on this day")


def _sun(word: str, at: datetime | None, day: TideDay, frame: _Frame) -> Iterator[str]:
    if at is not None and day.begins <= at <= day.ends:
        across = frame.across(at)
        yield _text(across, 14, word, _anchor(across)) + _text(across, 29, clock(at, day), _anchor(across))
        yield f'<line class="axis" x1="{across:.2f}%" x2="{across:.2f}%" y1="34" y2="{_TOP}"/>'


def _windows(frame: _Frame) -> Iterator[str]:
    for span in frame.day.windows:
        left, right = (frame.across(at) for at in span)
        kind = "window chosen" if span == frame.day.chosen else "window"
        yield _rect(kind, left, right, _TOP, _BOTTOM)


def _band(frame: _Frame) -> Iterator[str]:
    band = frame.day.band
    bottom = frame.down(band.least_m) if math.isfinite(band.least_m) else float(_BOTTOM)
    yield _rect("band", 0, 100, frame.down(band.most_m), bottom)
    for edge in (band.least_m, band.most_m):
        if math.isfinite(edge):
            down = frame.down(edge)
            yield f'<line class="edge" x1="0" x2="100%" y1="{down:.1f}" y2="{down:.1f}"/>'


def _depths(frame: _Frame) -> Iterator[str]:
    """Name both edges of the band by the depth over the bed, where the curve leaves room."""
    for edge in (frame.day.band.least_m, frame.day.band.most_m):
        if math.isfinite(edge):
            down = frame.down(edge) - 5
            yield _text(_clear(frame, down), down, f"{edge - frame.day.bed_m:.1f} m deep")


def _clear(frame: _Frame, down: float) -> float:
    """Return the place across for a label at ``down``: off other labels, then off frames, then off the curve."""
    lines = [frame.down(height) for height in frame.day.heights_m]
    edges = [frame.across(at) for span in frame.day.windows for at in span]
    labels = [
        _middle(frame.across(one.time))
        for one in frame.day.extremes
        if abs(frame.down(one.height_m) - down) < 40
    ]
    whole = 100 * (frame.day.step / (frame.day.ends - frame.day.begins))
    half = round(0.4 * _LABEL / whole)

    def merit(i: int) -> tuple[bool, bool, float]:
        here = i * whole
        return (
            all(abs(here - label) > _LABEL for label in labels),
            all(abs(here - edge) > _LABEL / 2 for edge in edges),
            min(abs(line - down) for line in lines[i - half : i + half + 1]),
        )

    return whole * max(range(half, len(lines) - half), key=merit)


def _grid(frame: _Frame) -> Iterator[str]:
    step = next(
        step for step in (0.5, 1.0, 2.0, 5.0) if (frame.high_m - frame.low_m) / step <= 6 or step == 5.0
    )
    level = math.ceil(frame.low_m / step) * step
    while level < frame.high_m:
        down = frame.down(level)
        yield f'<line class="grid" x1="0" x2="100%" y1="{down:.1f}" y2="{down:.1f}"/>'
        words = f"{level:+.1f}".replace("-", "−") if abs(level) > 1e-9 else "0"
        yield f'<text x="-8" y="{down + 4:.1f}" text-anchor="end">{words}</text>'
        level += step


def _points(frame: _Frame, least_m: float = -math.inf) -> str:
    day = frame.day
    whole = (day.ends - day.begins) / day.step
    return " ".join(
        f"{_WIDE * i / whole:.1f},{frame.down(max(height, least_m)):.1f}"
        for i, height in enumerate(day.heights_m)
    )


def _stretched(inside: str) -> str:
    return (
        f'<svg x="0" y="0" width="100%" height="{HEIGHT}" viewBox="0 0 {_WIDE} {HEIGHT}" '
        f'preserveAspectRatio="none">{inside}</svg>'
    )


def _water(frame: _Frame) -> str:
    bed = frame.day.bed_m
    down = f"{frame.down(bed):.1f}"
    area = f"0,{down} {_points(frame, bed)} {_WIDE},{down}"
    return _stretched(f'<polygon fill="url(#tide-water)" points="{area}"/>')


def _curve(frame: _Frame) -> str:
    return _stretched(
        f'<polyline class="curve" vector-effect="non-scaling-stroke" points="{_points(frame)}"/>'
    )


def _grass(frame: _Frame) -> str:
    """The bed: a pattern that is neither stretched nor scaled, its foot at the height of the bed."""
    down = frame.down(frame.day.bed_m)
    return (
        f'<svg x="0" y="{down - 12:.1f}" width="100%" height="12">'
        f'<rect width="100%" height="12" fill="url(#tide-grass)"/></svg>'
        f'<line class="axis" x1="0" x2="100%" y1="{down:.1f}" y2="{down:.1f}"/>'
        + _text(0.6, down + 14, f"bed {metres(frame.day.bed_m)}", "start")
    )


def _hauls(frame: _Frame) -> Iterator[str]:
    for start, end in frame.day.hauls:
        left, right = frame.across(start), frame.across(end)
        yield _rect("haul", left + 0.12, right - 0.12, _BOTTOM + 5, _BOTTOM + 12)


def _hours(frame: _Frame) -> Iterator[str]:
    day = frame.day
    yield f'<line class="axis" x1="0" x2="100%" y1="{_BOTTOM}" y2="{_BOTTOM}"/>'
    for hour in range(0, 24, 3):
        at = datetime.combine(day.day, time(hour), day.zone)
        across = frame.across(at)
        yield f'<line class="axis" x1="{across:.2f}%" x2="{across:.2f}%" y1="{_BOTTOM}" y2="{_BOTTOM + 4}"/>'
        yield _text(across, HEIGHT - 16, f"{hour:02d}", _anchor(across, 1.0))
    yield _text(100, HEIGHT - 16, "24", "end")


def _label(frame: _Frame, one: Extreme) -> str:
    across, down = frame.across(one.time), frame.down(one.height_m)
    anchor, low = _anchor(across), one.kind == "low"
    first, second = (down - 29, down - 15) if low else (down - 22, down - 8)
    mark = (
        f'<svg x="{across:.2f}%" y="{down:.1f}" overflow="visible"><path class="low" d="M-5 -10h10L0 -1z"/></svg>'
        if low
        else ""
    )
    return (
        mark
        + _text(across, first, clock(one.time, frame.day), anchor, strong=low)
        + _text(across, second, metres(one.height_m), anchor, strong=low)
    )


def clock(at: datetime, day: TideDay) -> str:
    """Return the local clock to the minute; an interpolated time to five."""
    local = to_minute(at, day.zone)
    return f"{local:%H:%M}"


def _middle(across: float) -> float:
    """Return where the middle of a label lies that is set inward at an edge."""
    shift = {"start": _LABEL / 2, "middle": 0.0, "end": -_LABEL / 2}
    return across + shift[_anchor(across)]


def _anchor(across: float, edge: float = _EDGE) -> str:
    return "start" if across < edge else "end" if across > 100 - edge else "middle"


def _text(across: float, down: float, words: str, anchor: str = "middle", *, strong: bool = False) -> str:
    place = f'x="{across:.2f}%" y="{down:.1f}" text-anchor="{anchor}"'
    kind = ' class="strong"' if strong else ""
    return f"<text {place}{kind}>{escape(words)}</text>"


def _rect(kind: str, left: float, right: float, top: float, bottom: float) -> str:
    return (
        f'<rect class="{kind}" x="{left:.2f}%" width="{max(0.0, right - left):.2f}%" y="{top:.1f}" '
        f'height="{max(0.0, bottom - top):.1f}"/>'
    )
