"""Brings a book file into the station: a phone's saved copy, or another station's export with its photos."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from haulbook.exchange.bookfile import read_book
from haulbook.station import clock
from haulbook.station.store import book, pictures
from haulbook.station.store.inventory import inventory
from haulbook.station.store.sealed import Told, untold
from haulbook.station.store.writing import writing

_AT_ONCE = 2_000  # so many under one lock: phones go on sending meanwhile


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What came of it.

    ``pictures``: photos that came in. ``loose``: gaps and forks that stand now and did not before, and photos that
    were left out because they are not what their lines name.
    """

    new: int
    known: int
    pictures: int
    loose: tuple[str, ...]


def take_in(path: Path, told: Told = untold) -> TakenIn:
    """Add the entries of a book file that are not here yet; doing it twice is the same as once.

    Photos that its lines name are taken from the folder ``pictures`` beside it, where it has them.

    Raises
    ------
    Refusal
        Where a line is not what was once written; nothing is brought in then.
    """
    entries = read_book(path).entries
    before = inventory().loose
    new = 0
    for start in range(0, len(entries), _AT_ONCE):
        with writing():
            new += book.add(entries[start : start + _AT_ONCE], clock.now())
        told("bringing in", min(start + _AT_ONCE, len(entries)), len(entries))
    loose = tuple(one for one in inventory().loose if one not in before) if new else ()
    photos, off = pictures.take_in(path.parent / "pictures")
    return TakenIn(new, len(entries) - new, photos, (*loose, *off))
