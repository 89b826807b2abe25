"""Where functions change sign: brackets polished together, pieces of different years stitched."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from haulbook.tide.curve import Floats

Flags = NDArray[np.bool_]
Function = Callable[[Floats], Floats]

WITHIN_S = 0.01
ARTEFACT_S = 3600.0
"""Roots this near to a step between two years, on both sides of it, are one and the same event."""


@dataclass(frozen=True, slots=True, eq=False)
class SignChanges:
    """Sign changes of one function on one stretch.

    Attributes
    ----------
    times : array of float
        Ascending.
    upward : array of bool
        Whether the function goes from negative to positive there.
    first, last : bool
        Whether it is positive (or zero) at the two ends.
    start, end : float
        The ends.
    """

    times: Floats
    upward: Flags
    first: bool
    last: bool
    start: float
    end: float


def sign_changes(knots: Floats, values: Floats, function: Function, slope: Function) -> SignChanges:
    """Return the sign changes of ``function`` between knots, each to 0.01 s.

    Parameters
    ----------
    knots, values : array of float
        Ascending instants and the function there; at most one change lies between neighbours.
    function, slope : callable
        The function and its derivative on arrays of instants.
    """
    positive = values >= 0
    at = np.flatnonzero(positive[:-1] != positive[1:])
    times = _polish(function, slope, knots[at], knots[at + 1], positive[at + 1])
    return SignChanges(
        times, positive[at + 1], bool(positive[0]), bool(positive[-1]), float(knots[0]), float(knots[-1])
    )


def _polish(function: Function, slope: Function, low: Floats, high: Floats, rising: Flags) -> Floats:
    """Newton's method on all brackets at once; a step that leaves its bracket is replaced by halving."""
    low, high, sign = low.copy(), high.copy(), np.where(rising, 1.0, -1.0)
    guess = (low + high) / 2
    for _ in range(80):
        if not len(guess):
            break
        value = function(guess)
        above = sign * value >= 0
        high, low = np.where(above, guess, high), np.where(above, low, guess)
        with np.errstate(divide="ignore", invalid="ignore"):
            better = guess - value / slope(guess)
        inside = (better > low) & (better < high)
        better = np.where(inside, better, (low + high) / 2)
        moved = np.abs(better - guess)
        guess = better
        if np.all((moved < WITHIN_S) | (high - low < WITHIN_S)):
            break
    return guess


def stitch(pieces: Sequence[SignChanges]) -> SignChanges:
    """Return the sign changes over stretches that follow one another, with steps between them.

    A change inside a step is an event at the step. When the step goes against the tide the same event shows
    three times - before, at and after the step: it is counted once, at its first time.
    """
    times, upward = list(pieces[0].times), list(pieces[0].upward)
    for left, right in pairwise(pieces):
        new_times, new_upward = list(right.times), list(right.upward)
        if left.last != right.first:
            step = right.start
            thrice = (
                times and new_times and step - times[-1] < ARTEFACT_S and new_times[0] - step < ARTEFACT_S
            )
            if thrice:
                new_times, new_upward = new_times[1:], new_upward[1:]
            else:
                new_times, new_upward = [step, *new_times], [right.first, *new_upward]
        times += new_times
        upward += new_upward
    return SignChanges(
        np.array(times, dtype=np.float64),
        np.array(upward, dtype=np.bool_),
        pieces[0].first,
        pieces[-1].last,
        pieces[0].start,
        pieces[-1].end,
    )
