"""What a plan is told of the past, from kept readings: the book is not replayed."""

from __future__ import annotations

from haulbook.custody.book import Book
from haulbook.office.planning.past import Past, waters_of
from haulbook.station.models import EntryRow
from haulbook.station.store import book, readings
from haulbook.station.store.standings import papers


def past() -> Past:
    """Return the account, the papers, and the water read at hauls."""
    rows = EntryRow.objects.filter(kind__in=("reading", "strike"), outing__isnull=False).order_by("position")
    return Past(readings.account(), papers(), waters_of(Book.of(book.entries_of(rows))))
