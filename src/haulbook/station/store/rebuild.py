"""Makes anew everything that is worked out of entries."""

from __future__ import annotations

from haulbook.station.models import EntryRow
from haulbook.station.store import book, readings
from haulbook.station.store.noting import note
from haulbook.station.store.rows import MADE_ANEW
from haulbook.station.store.sealed import Told, untold
from haulbook.station.store.writing import writing

_AT_ONCE = 2_000


def rebuild(told: Told = untold) -> int:
    """Throw away what is worked out of entries and make it anew. Return how many readings there are.

    Nobody can write while what single entries say is noted; pages make the readings that they need meanwhile.
    """
    with writing():
        for kind in MADE_ANEW:
            kind._default_manager.all().delete()
        note_all(told)
    total = readings.stale()
    for done, _ in enumerate(readings.freshen(), 1):
        told("making readings", done, total)
    return total


def note_all(told: Told = untold) -> None:
    """Note again what every entry touches, names and says."""
    total, done = EntryRow.objects.count(), 0
    positions = EntryRow.objects.order_by("position").values_list("position", "line")
    batch = []
    for position, line in positions.iterator(chunk_size=_AT_ONCE):
        batch.append((position, book.entry_of(line)))
        if len(batch) == _AT_ONCE:
            note(batch)
            done += len(batch)
            told("noting what entries say", done, total)
            batch = []
    note(batch)
    told("noting what entries say", total, total)
