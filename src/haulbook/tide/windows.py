"""When the water over a bed can be worked: windows around each low, ebb and flood apart, ranked.

A window is a stretch in which the height stays in the band and everything else allows it. It belongs to one
low: where the water stays in the band over a high, the window ends at that high and the next one begins.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise
from typing import Literal

import numpy as np

from haulbook.tide.band import Band, spans_in
from haulbook.tide.prediction import Extreme
from haulbook.tide.spans import Span, both, minutes
from haulbook.tide.terms import Terms
from haulbook.tide.water import Turns, Water

WEATHER_M = 0.15
"""Weather that each window is tried against, metres higher and lower. Observed minus predicted reaches
several decimetres in storms; 0.15 m is an ordinary windy day (common practice, no source)."""

INTERPOLATED_STEP_S = 300.0
"""To this step an interpolated window is rounded, inward."""

_RATE_SAMPLES = 13

Leg = Literal["ebb", "flood", "both"]


@dataclass(frozen=True, slots=True)
class Window:
    """One stretch in which the bed can be worked.

    Attributes
    ----------
    start, end : datetime
        UTC.
    leg : {"ebb", "flood", "both"}
        Falling water before the low, rising water after it, or both with the low inside.
    low : Extreme
        The low it belongs to.
    daylight_minutes : float
        Minutes of it in daylight.
    hauls : int
        How many fit.
    spare_minutes : float
        Left over after the hauls that fit and are wanted.
    falling_share : float
        Part of it on the ebb or at slack, 0 to 1.
    fastest_m_per_h : float
        Largest change of height in it; not the speed of any current.
    slack : datetime or None
        Low plus the observed slack lag; None where nobody observed it.
    rough_minutes : float
        Its length when weather puts the water 0.15 m higher or lower, whichever is shorter.
    rough_shift_minutes : float
        How much earlier or later it then begins, at most.
    interpolated : bool
        Whether it stands on a drawn curve; start and end are then rounded inward to 5 minutes.
    """

    start: datetime
    end: datetime
    leg: Leg
    low: Extreme
    daylight_minutes: float
    hauls: int
    spare_minutes: float
    falling_share: float
    fastest_m_per_h: float
    slack: datetime | None
    rough_minutes: float
    rough_shift_minutes: float
    interpolated: bool

    @property
    def minutes(self) -> float:
        """Its length."""
        return (self.end - self.start).total_seconds() / 60


@dataclass(frozen=True, slots=True)
class _Piece:
    """A window before it is described: which low (index into the turns), and from when to when."""

    low: int
    start: float
    end: float


def find_windows(water: Water, band: Band, terms: Terms) -> tuple[Window, ...]:
    """Return every window in order of time; ``rank.rank`` puts them in order of merit.

    Parameters
    ----------
    water : Water
        The predicted tide at the site.
    band : Band
        Heights at which the bed can be worked.
    terms : Terms
        Days, light, hours, length and work.
    """
    start, end = terms.stretch
    lit = terms.daylight()
    allowed = terms.allowed(lit)
    # Turns reach a day further than the stretch, so that every stretch of water has its low.
    turns = water.turns(start - 86400, end + 86400)
    calm, high, low = (
        _pieces(both(spans_in(band.moved(shift), water, start, end), allowed), turns)
        for shift in (0.0, -WEATHER_M, WEATHER_M)
    )
    kept = [piece for piece in (_rounded(one, water) for one in calm) if _counts(piece, turns, terms)]
    rates, weather = _fastest(kept, water), (_by_low(high), _by_low(low))
    return tuple(
        _described(piece, turns, lit, terms, rate, weather, water.interpolated)
        for piece, rate in zip(kept, rates, strict=True)
    )


def _pieces(spans: list[Span], turns: Turns) -> list[_Piece]:
    """Cut spans at each high; a piece belongs to the first low after the high before it."""
    highs, lows = turns.times[turns.high], np.flatnonzero(~turns.high)
    pieces = []
    for start, end in spans:
        edges = [start, *highs[(highs > start) & (highs < end)].tolist(), end]
        pieces += list(pairwise(edges))
    if not pieces or not len(lows):
        return []
    after = np.searchsorted(highs, [(start + end) / 2 for start, end in pieces])
    since = np.concatenate([[-math.inf], highs])[after]
    owners = lows[np.minimum(np.searchsorted(turns.times[lows], since), len(lows) - 1)]
    return [_Piece(low, *piece) for low, piece in zip(owners.tolist(), pieces, strict=True)]


def _by_low(pieces: list[_Piece]) -> dict[int, list[_Piece]]:
    grouped: dict[int, list[_Piece]] = {}
    for piece in pieces:
        grouped.setdefault(piece.low, []).append(piece)
    return grouped


def _rounded(piece: _Piece, water: Water) -> _Piece:
    if not water.interpolated:
        return piece
    step = INTERPOLATED_STEP_S
    return _Piece(piece.low, float(np.ceil(piece.start / step) * step), float(piece.end // step * step))


def _counts(piece: _Piece, turns: Turns, terms: Terms) -> bool:
    day = datetime.fromtimestamp(float(turns.times[piece.low]), terms.zone).date()
    length = (piece.end - piece.start) / 60
    return terms.first <= day <= terms.last and length > 0 and length >= terms.least_minutes


def _fastest(pieces: list[_Piece], water: Water) -> list[float]:
    if not pieces:
        return []
    times = np.linspace([one.start for one in pieces], [one.end for one in pieces], _RATE_SAMPLES)
    rates: list[float] = np.abs(water.rates(times.reshape(-1)).reshape(times.shape)).max(axis=0).tolist()
    return rates


def _described(
    piece: _Piece,
    turns: Turns,
    lit: list[Span],
    terms: Terms,
    rate: float,
    weather: tuple[dict[int, list[_Piece]], ...],
    interpolated: bool,
) -> Window:
    low_time = float(turns.times[piece.low])
    leg: Leg = "ebb" if piece.end <= low_time else "flood" if piece.start >= low_time else "both"
    length = (piece.end - piece.start) / 60
    lag = terms.slack_lag_min
    slack_until = low_time + 60 * (lag or 0.0)
    falling = max(0.0, min(piece.end, slack_until) - piece.start) / 60
    rough = [_in_weather(piece, leg, low_time, others.get(piece.low, [])) for others in weather]
    return Window(
        start=_utc(piece.start),
        end=_utc(piece.end),
        leg=leg,
        low=Extreme(_utc(low_time), float(turns.heights[piece.low]), "low"),
        daylight_minutes=minutes(both([(piece.start, piece.end)], lit)),
        hauls=terms.work.fit(length),
        spare_minutes=terms.work.spare(length),
        falling_share=falling / length,
        fastest_m_per_h=rate,
        slack=None if lag is None else _utc(slack_until),
        rough_minutes=min([length, *(max(0.0, end - start) / 60 for start, end in rough)]),
        rough_shift_minutes=max(abs(start - piece.start) / 60 for start, _ in rough),
        interpolated=interpolated,
    )


def _in_weather(piece: _Piece, leg: Leg, low_time: float, others: list[_Piece]) -> Span:
    """What becomes of a window in other water: the longest of the pieces around its low, on its leg."""
    begin = low_time if leg == "flood" else -math.inf
    end = low_time if leg == "ebb" else math.inf
    same = [(max(one.start, begin), min(one.end, end)) for one in others]
    return max(same, key=lambda span: span[1] - span[0], default=(piece.start, piece.start))


def _utc(time: float) -> datetime:
    return datetime.fromtimestamp(time, UTC)
