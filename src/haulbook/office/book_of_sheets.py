"""Makes the book that tally sheets amount to."""

from __future__ import annotations

from collections.abc import Sequence

from haulbook.custody.book import Book
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
        Instant at which the entries were written. None: each when it happened, so that a sheet gives the same
        entries on every machine and beside whichever other sheets, and merging it twice doubles nothing.
    """
    return Book.of(entries_of(reading, pack, answers, made_at, by))
