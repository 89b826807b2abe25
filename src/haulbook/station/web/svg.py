"""Drawings of the station's own: the tide of a day as a band under the tabs; the body plan of an animal."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta

from django.utils.translation import gettext as _
from markupsafe import Markup, escape

from haulbook.publish import silhouettes
from haulbook.publish.plan_parts import TideDay
from haulbook.publish.tide_chart import clock, description, title
from haulbook.taxa import Pack

HEIGHT = 76
_TOP, _BED, _AXIS = 22, 52, 58
"""Px down, of 76: the highest water; the lowest of water and bed; the line of the hours."""
_WIDE = 1000
_EDGE = 6.0
"""Within so many percent of an edge a label is set inward."""


def tide_band(day: TideDay, now: datetime | None = None) -> Markup:
    """Return the tide of a whole day as a band, redrawn at its width and never scaled.

    Parameters
    ----------
    day : TideDay
    now : datetime, optional
        A pointer stands there, if it lies in the day.

    Returns
    -------
    Markup
        Inline SVG, 76 px high, with the day in words for who can't see it.
    """
    parts = [
        *_windows(day),
        _water(day),
        _grass(day),
        _curve(day),
        *_hauls(day),
        *_hours(day),
        *_turns(day),
        *_now(day, now),
    ]
    # Every text in it is escaped; the rest is numbers and our own words.
    return Markup(  # noqa: S704
        f'<svg xmlns="http://www.w3.org/2000/svg" class="tide-band" role="img" aria-labelledby="band-title band-desc">'
        f'<title id="band-title">{escape(title(day))}</title><desc id="band-desc">{escape(description(day))}</desc>'
        f"{_PATTERNS}{''.join(parts)}</svg>"
    )


def silhouette(
    taxon: str, pack: Pack | None = None, stage: str | None = None, *, hidden: bool = True
) -> Markup:
    """Return the body plan of a taxon, or the drawing of that name where no pack is given; nothing if none fits."""
    name = silhouettes.silhouette_of(taxon, pack, stage) if pack is not None else taxon
    return silhouettes.silhouette(name, hidden=hidden) if name else Markup("")


def strip_axis(ticks: Iterable[tuple[float, str]]) -> Markup:
    """Return the labels of an axis over strips, each at its place in per cent; hidden, for the cells say the same.

    ``ticks`` are those of `haulbook.publish.marks.Axis` or of `haulbook.publish.month_strip.Hours`.
    """
    labels = "".join(
        f'<text x="{at:.2f}%" y="75%" text-anchor="middle">{escape(words)}</text>' for at, words in ticks
    )
    return Markup(f'<svg class="strip-axis" aria-hidden="true" focusable="false">{labels}</svg>')  # noqa: S704


_PATTERNS = (
    '<defs><pattern id="band-water" width="1000" height="5" patternUnits="userSpaceOnUse">'
    '<path class="water" d="M0 2.5h1000"/></pattern>'
    '<pattern id="band-grass" width="22" height="12" patternUnits="userSpaceOnUse">'
    '<path class="grass" d="M3 12q-2 -6 1 -11M8 12q3 -4 2 -8M15 12q-1 -5 1 -9"/></pattern></defs>'
)


def _across(day: TideDay, at: datetime) -> float:
    return 100.0 * min(1.0, max(0.0, (at - day.begins) / (day.ends - day.begins)))


def _reach(day: TideDay) -> tuple[float, float]:
    levels = [*day.heights_m, day.bed_m]
    return min(levels), max(*levels, min(levels) + 0.5)


def _down(day: TideDay, height_m: float) -> float:
    low, high = _reach(day)
    return _BED - (_BED - _TOP) * (height_m - low) / (high - low)


def _percent(down: float) -> str:
    return f"{100 * down / HEIGHT:.2f}%"


def _stretched(inside: str) -> str:
    return f'<svg width="100%" height="100%" viewBox="0 0 {_WIDE} {HEIGHT}" preserveAspectRatio="none">{inside}</svg>'


def _points(day: TideDay, least_m: float = -math.inf) -> str:
    whole = (day.ends - day.begins) / day.step
    return " ".join(
        f"{_WIDE * i / whole:.1f},{_down(day, max(height, least_m)):.1f}"
        for i, height in enumerate(day.heights_m)
    )


def _water(day: TideDay) -> str:
    # The hatching is laid over the part under the curve by a mask, so that its lines are not stretched.
    bed = _down(day, day.bed_m)
    area = f"0,{bed:.1f} {_points(day, day.bed_m)} {_WIDE},{bed:.1f}"
    return (
        '<mask id="band-wet">' + _stretched(f'<polygon fill="white" points="{area}"/>') + "</mask>"
        '<rect width="100%" height="100%" fill="url(#band-water)" mask="url(#band-wet)"/>'
    )


def _grass(day: TideDay) -> str:
    bed = _down(day, day.bed_m)
    return (
        f'<svg y="{_percent(bed)}" width="100%" height="12" overflow="visible">'
        '<rect y="-12" width="100%" height="12" fill="url(#band-grass)"/></svg>'
        f'<line class="bed" x1="0" x2="100%" y1="{_percent(bed)}" y2="{_percent(bed)}"/>'
    )


def _curve(day: TideDay) -> str:
    return _stretched(f'<polyline class="curve" vector-effect="non-scaling-stroke" points="{_points(day)}"/>')


def _windows(day: TideDay) -> Iterator[str]:
    for span in day.windows:
        left, right = (_across(day, at) for at in span)
        kind = "window chosen" if span == day.chosen else "window"
        yield (
            f'<rect class="{kind}" x="{left:.2f}%" width="{max(0.0, right - left):.2f}%" y="0" '
            f'height="{_percent(_AXIS)}"/>'
        )
        yield from (
            f'<line class="edge" x1="{at:.2f}%" x2="{at:.2f}%" y1="0" y2="{_percent(_AXIS)}"/>'
            for at in (left, right)
        )


def _hauls(day: TideDay) -> Iterator[str]:
    for i, (start, end) in enumerate(day.hauls, 1):
        left, right = _across(day, start), _across(day, end)
        yield (
            f'<rect class="haul" x="{left:.2f}%" width="{max(0.3, right - left):.2f}%" y="{_percent(_AXIS - 5)}" '
            f'height="{_percent(5)}"/>'
        )
        yield _text((left + right) / 2, _AXIS - 7, str(i), "number")


def _hours(day: TideDay) -> Iterator[str]:
    yield f'<line class="axis" x1="0" x2="100%" y1="{_percent(_AXIS)}" y2="{_percent(_AXIS)}"/>'
    at = day.begins
    while at <= day.ends:
        local = at.astimezone(day.zone)
        across = _across(day, at)
        yield (
            f'<line class="axis" x1="{across:.2f}%" x2="{across:.2f}%" y1="{_percent(_AXIS)}" '
            f'y2="{_percent(_AXIS + 3)}"/>'
        )
        if 1.0 < across < 99.0:
            yield _text(across, HEIGHT - 3, f"{local:%H}", "hour" if local.hour % 3 == 0 else "hour fine")
        at += timedelta(hours=1)


def _turns(day: TideDay) -> Iterator[str]:
    for one in day.extremes:
        across, low = _across(day, one.time), one.kind == "low"
        kind = f'<tspan class="kind">{escape(_("low") if low else _("high"))} </tspan>'
        height = f'<tspan class="height">, {escape(_metres(one.height_m))}</tspan>'
        if low:
            down = _percent(_down(day, one.height_m) - 3)
            yield (
                f'<svg x="{across:.2f}%" y="{down}" overflow="visible"><path class="low" d="M-5 -9h10L0 0z"/></svg>'
            )
        yield _text(across, 14, clock(one.time, day), "turn low" if low else "turn high", height, kind)


def _metres(height_m: float) -> str:
    return f"{round(height_m, 1) + 0.0:.1f} m".replace("-", "−")


def _now(day: TideDay, now: datetime | None) -> Iterator[str]:
    if now is not None and day.begins <= now <= day.ends:
        across = _across(day, now)
        place, top = f"{across:.2f}%", _percent(18)
        yield f'<line class="now" x1="{place}" x2="{place}" y1="{top}" y2="{_percent(_AXIS + 4)}"/>'
        yield f'<svg x="{place}" y="{top}" overflow="visible"><path class="low" d="M-6 0h12L0 9z"/></svg>'


def _text(across: float, down: float, words: str, kind: str, after: str = "", before: str = "") -> str:
    anchor = "start" if across < _EDGE else "end" if across > 100 - _EDGE else "middle"
    return (
        f'<text class="{kind}" x="{across:.2f}%" y="{_percent(down)}" text-anchor="{anchor}">'
        f"{before}{escape(words)}{after}</text>"
    )
