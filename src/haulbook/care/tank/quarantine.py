"""The quarantine clock: all in, all out; it starts again with every animal that joins."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from haulbook.care.planning import HOUSE, PlanningDefaults
from haulbook.care.tank.diary import arrivals
from haulbook.custody.book import Book

PRACTICE = (
    "Bare bottom or easily cleaned, own nets, hands washed, work from clean to dirty (common practice).",
    "Every death is examined by somebody trained, or kept cold for it (Hadfield & Clayton 2011).",
    "Baths and medicines are a veterinarian's decision. Copper kills invertebrates; pipefish bear it badly.",
)


@dataclass(frozen=True, slots=True)
class Clock:
    """A quarantine clock.

    Attributes
    ----------
    started : datetime or None
        Last arrival; None where nothing ever came in.
    restarts : int
        How often later arrivals set it back.
    until : datetime or None
    days_left : float
        0 once it has run out; None cannot be: an empty tank has nothing to wait for and says 0.
    """

    started: datetime | None
    restarts: int
    until: datetime | None
    days_left: float

    @property
    def over(self) -> bool:
        """Whether all may move out; they move out together."""
        return self.days_left == 0.0


def clock(arrived: Iterable[datetime], now: datetime, planning: PlanningDefaults = HOUSE) -> Clock:
    """Return the clock of a tank from the instants at which animals joined it, as seen at ``now``."""
    days = sorted({instant for instant in arrived if instant <= now})
    if not days:
        return Clock(None, 0, None, 0.0)
    until = days[-1] + timedelta(days=planning.quarantine_days)
    return Clock(days[-1], len(days) - 1, until, max(0.0, (until - now) / timedelta(days=1)))


def clock_of(book: Book, place: str, now: datetime, planning: PlanningDefaults = HOUSE) -> Clock:
    """Return the clock of a place from the book; struck moves don't restart it."""
    return clock((instant for instant, _ in arrivals(book, place)), now, planning)
