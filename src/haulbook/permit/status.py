"""How full a clause is, in whole numbers only.

Source: the permit language, A4.3 rules 6, 11 and 13 (``docs/reference/permit.md``). The thresholds are this
project's own; agencies ask only for the numbers.
"""

from __future__ import annotations

from enum import StrEnum
from fractions import Fraction


class Status(StrEnum):
    """Where a count stands against its clause."""

    OPEN = "open"
    NEAR = "near"
    REACHED = "reached"
    EXCEEDED = "exceeded"
    CLOSED = "closed"
    PENDING = "pending"
    OVER_SINCE_AMENDMENT = "over since amendment"


FULL = frozenset({Status.REACHED, Status.EXCEEDED, Status.CLOSED, Status.OVER_SINCE_AMENDMENT})
"""Statuses at which nothing more may be added."""


def near_from(limit: int) -> int:
    """Return the count from which a limit is near: ceil(0.8 limit), in integers."""
    return (4 * limit + 4) // 5


def status_of(n: int, limit: int | None, *, carried: int = 0) -> Status:
    """Return the status of a count.

    Parameters
    ----------
    n : int
        Animals counted so far in the period.
    limit : int or None
        None: allowed without a number, always open.
    carried : int
        What had been counted when this version of the clause came into force: an amendment that lowers the
        limit below it exceeds nothing by itself.
    """
    if limit is None:
        return Status.OPEN
    if n > limit:
        return Status.OVER_SINCE_AMENDMENT if n <= carried else Status.EXCEEDED
    if limit == 0:
        return Status.CLOSED
    if n == limit:
        return Status.REACHED
    return Status.NEAR if n >= near_from(limit) else Status.OPEN


def over(n: int, limit: int | None, *, carried: int = 0) -> int:
    """Return how many are too many: what was added above the limit, or above what an amendment found."""
    return 0 if limit is None else max(0, n - max(limit, carried))


def remaining(n: int, limit: int | None) -> int | None:
    """Return what is left; None where the clause has no number."""
    return None if limit is None else max(0, limit - n)


def status_of_percent(n: int, d: int, percent: Fraction, min_n: int) -> Status:
    """Return the status of n in d against a percentage, compared exactly as 100 n with percent times d."""
    if d < min_n or d == 0:
        return Status.PENDING
    if n == 0:
        return Status.CLOSED if percent == 0 else Status.OPEN
    got, allowed = 100 * n, percent * d
    if got < allowed:
        return Status.OPEN
    return Status.REACHED if got == allowed else Status.EXCEEDED
