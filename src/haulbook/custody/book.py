"""A book: a set of entries. Putting books together is the union of their entries, in any order."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from haulbook.custody.entry import Entry


@dataclass(frozen=True, slots=True)
class Book:
    """An immutable set of entries.

    Attributes
    ----------
    entries : tuple of Entry
        In book order: outing, device, seq; entries without outing last. Two entries of one device with the
        same number (a fork) both stay.
    """

    entries: tuple[Entry, ...] = ()

    @staticmethod
    def of(entries: Iterable[Entry]) -> Book:
        """Return the book of these entries; repeated ones count once."""
        return Book(tuple(sorted(dict.fromkeys(entries), key=_book_order)))

    def by_id(self) -> dict[str, tuple[Entry, ...]]:
        """Return the entries of each id: one, unless somebody wrote an id twice."""
        found: dict[str, tuple[Entry, ...]] = {}
        for entry in self.entries:
            found[entry.id] = (*found.get(entry.id, ()), entry)
        return found

    def struck(self) -> dict[str, str]:
        """Return the id of each struck entry with the id of the first strike that names it.

        A strike is not struck: one that names another strike leaves that standing.
        """
        strikes = [entry for entry in self.entries if entry.kind == "strike"]
        strike_ids = {entry.id for entry in strikes}
        found: dict[str, str] = {}
        for strike in sorted(strikes, key=in_time):
            for named in strike.body["entries"]:
                if named not in strike_ids:
                    found.setdefault(named, strike.id)
        return found

    def standing(self, until: datetime | None = None) -> list[Entry]:
        """Return what is not struck, in the order in which it happened.

        Parameters
        ----------
        until : datetime or None
            Leave out what happened after this instant. A strike is no happening but a word about the record:
            it holds whenever it was written.
        """
        struck = self.struck()
        dated = [(entry.when.sort_key(), entry) for entry in self.entries if entry.id not in struck]
        if until is not None:
            dated = [pair for pair in dated if pair[0] <= until]
        return [entry for _, entry in sorted(dated, key=lambda pair: (pair[0], *_device_order(pair[1])))]

    def written_by(self, instant: datetime) -> Book:
        """Return the book as it was known at an instant: what had been written by then, strikes included."""
        return Book(
            tuple(entry for entry in self.entries if datetime.fromisoformat(entry.made_at) <= instant)
        )


def merge(*books: Book) -> Book:
    """Return the union of books. Order, repetition and delay can't change it."""
    return Book.of(entry for book in books for entry in book.entries)


def in_time(entry: Entry) -> tuple[datetime, str, int, str]:
    """Sort key of the order in which things happened: instant, then device, number and hash."""
    return (entry.when.sort_key(), *_device_order(entry))


def _device_order(entry: Entry) -> tuple[str, int, str]:
    return entry.device, entry.seq, entry.hash


def _book_order(entry: Entry) -> tuple[bool, str, str, int, str]:
    return entry.outing is None, entry.outing or "", entry.device, entry.seq, entry.hash
