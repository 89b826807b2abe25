"""Makes the book that tally sheets amount to."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, time

from haulbook.custody.book import Book
from haulbook.custody.when import When
from haulbook.exchange.answers import Answer
from haulbook.exchange.entries import entries_of
from haulbook.exchange.reading import Reading
from haulbook.taxa import Pack


def book_of_sheets(
    reading: Reading, pack: Pack, answers: Sequence[Answer], by: str, made_at: str | None = None
) -> Book:
    """Return the book of a reading.

    Parameters
    ----------
    reading : Reading
        Made with the same ``answers``.
    pack : Pack
    answers : sequence of Answer
    by : str
        Key of the person who brings the sheets in.
    made_at : str or None
        Instant at which the entries were written. None: the end of the last day that the sheets speak of, so
        that the same sheets give the same book on every machine and merging it twice doubles nothing.
    """
    return Book.of(entries_of(reading, pack, answers, made_at or _last_day_of(reading), by))


def _last_day_of(reading: Reading) -> str:
    days = [When(haul.day).last_day for haul in reading.hauls if haul.day]
    last = max(days, default=None)
    return datetime.combine(last, time(23, 59, 59), UTC).isoformat() if last else "1970-01-01T00:00:00+00:00"
