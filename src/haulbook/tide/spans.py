"""Sets of stretches of time: sorted, apart from one another, each (start, end) in seconds."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence

Span = tuple[float, float]


def tidy(spans: Iterable[Span]) -> list[Span]:
    """Return the spans sorted, with those that touch or overlap made one and empty ones dropped."""
    joined: list[Span] = []
    for start, end in sorted(span for span in spans if span[1] > span[0]):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return joined


def both(left: Sequence[Span], right: Sequence[Span]) -> list[Span]:
    """Return what lies in both of two tidy sets."""
    shared: list[Span] = []
    if not left or not right:
        return shared
    i = bisect_right(left, right[0][0], key=_end)
    j = bisect_right(right, left[0][0], key=_end)
    while i < len(left) and j < len(right):
        start, end = max(left[i][0], right[j][0]), min(left[i][1], right[j][1])
        if start < end:
            shared.append((start, end))
        if left[i][1] <= right[j][1]:
            i += 1
        else:
            j += 1
    return shared


def without(spans: Sequence[Span], closed: Sequence[Span]) -> list[Span]:
    """Return what is left of a tidy set after another tidy set is taken out."""
    bounds = [float("-inf"), *(edge for span in closed for edge in span), float("inf")]
    return both(spans, list(zip(bounds[::2], bounds[1::2], strict=True)))


def minutes(spans: Iterable[Span]) -> float:
    """Return the total length in minutes."""
    return sum(end - start for start, end in spans) / 60


def _end(span: Span) -> float:
    return span[1]
