"""Looks whether everything in the database is still what was written, and what was worked out of it still fits."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass

from django.db import connection
from django.db.models import F

from haulbook.custody.entry import Entry
from haulbook.custody.touching import speaks_of, touches
from haulbook.exchange.bookfile import entry_of_line
from haulbook.problems import Refusal
from haulbook.station.models import EntryRow, Naming, Reading, Said, StoredFile, Touch
from haulbook.station.store import book, pictures, readings, triggers
from haulbook.station.store.inventory import Inventory, inventory
from haulbook.station.store.noting import LONGEST, OUTING, words_of
from haulbook.station.store.sealed import Told, untold
from haulbook.station.store.snapshot import snapshot

_COLUMNS = ("hash", "entry", "device", "seq", "prev", "outing", "kind", "by", "at", "made_at", "line")


@dataclass(frozen=True, slots=True)
class Looked:
    """What was found.

    Attributes
    ----------
    holds : Inventory
    broken : tuple of str
        What is not as it was written, or could be changed unseen.
    loose : tuple of str
        Gaps, forks, and sign-offs whose entries have changed since: for people to settle.
    notes : tuple of str
        What nothing is wrong with and is good to know: photos that have not come in.
    """

    holds: Inventory
    broken: tuple[str, ...]
    loose: tuple[str, ...]
    notes: tuple[str, ...]


def verify(told: Told = untold) -> Looked:
    """Look at every entry, chain, file and reading, and at the triggers that keep entries."""
    holds = inventory()
    broken = [*_triggers(), *_file_of_database(), *_entries(holds.entries, told), *_files()]
    if not broken:
        broken += [*_noted(), *_readings(told)]
    changed = tuple(
        f"sign-off {one.entry} of {one.outing} covers other entries now"
        for one in holds.signed
        if not one.holds
    )
    return Looked(holds, tuple(broken), (*holds.loose, *changed), tuple(_photos()))


def _photos() -> Iterator[str]:
    if n := len(pictures.missing()):
        yield f"{n} {'photo that a line names has' if n == 1 else 'photos that lines name have'} not come in"


def _triggers() -> Iterator[str]:
    if not triggers.standing(connection):
        yield (
            "the triggers that keep entries from being changed are not as they were made; put this station's "
            "newest backup into an empty folder and compare"
        )


def _file_of_database() -> Iterator[str]:
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA integrity_check(10)")
            yield from (
                f"SQLite says of its file: {words}" for (words,) in cursor.fetchall() if words != "ok"
            )


def _entries(total: int, told: Told) -> Iterator[str]:
    for n, row in enumerate(EntryRow.objects.order_by("position").iterator(chunk_size=2_000), 1):
        try:
            entry = entry_of_line(row.line.encode())
        except (Refusal, UnicodeEncodeError) as error:
            yield f"entry {row.position}: {error}"
            continue
        made = book.row_of(entry, row.received_at)
        off = [name for name in _COLUMNS if getattr(row, name) != getattr(made, name)]
        if off:
            yield f"entry {row.position}: {', '.join(off)} differ from what its line says"
        if n % 500 == 0:
            told("looking at every entry", n, total)


def _files() -> Iterator[str]:
    for sha256, size in StoredFile.objects.order_by("sha256").values_list("sha256", "size"):
        content = bytes(StoredFile.objects.values_list("content", flat=True).get(pk=sha256))
        if hashlib.sha256(content).hexdigest() != sha256 or len(content) != size:
            yield f"the stored file {sha256} is not what was handed in"


def _noted() -> Iterator[str]:
    """Work out of single entries again what was noted of them when they came in."""
    ours = _Noted()
    with snapshot():
        rows = EntryRow.objects.order_by("position").values_list("position", "line")
        for position, line in rows.iterator(2_000):
            ours.hear(position, book.entry_of(line))
        off = {
            "touches": ours.touches() - set(Touch.objects.values_list("position", "subject")),
            "names": ours.names ^ set(Naming.objects.values_list("position", "named")),
            "words": ours.words ^ set(Said.objects.values_list("position", "text")),
        }
    for what, some in off.items():
        if some:
            yield f"{len(some)} {what} that were noted of entries do not fit them: haulbook station rebuild"


class _Noted:
    """What entries touch, name and say, all of them heard before anything is answered.

    Guests in another outing's buckets are left out: whether they were known when an entry came in hangs on the order,
    and readings look for them themselves.
    """

    def __init__(self) -> None:
        self.names: set[tuple[int, str]] = set()
        self.words: set[tuple[int, str]] = set()
        self._subjects: dict[str, frozenset[str]] = {}
        self._found: dict[int, frozenset[str]] = {}
        self._outings: dict[int, str | None] = {}
        self._speaking: list[tuple[int, Entry]] = []

    def hear(self, position: int, entry: Entry) -> None:
        """Take in an entry."""
        named = speaks_of(entry)
        self.names |= {(position, one) for one in named}
        if text := words_of(entry):
            self.words.add((position, text))
        self._outings[position] = entry.outing
        if named:
            self._speaking.append((position, entry))
        self._note(position, entry)

    def touches(self) -> set[tuple[int, str]]:
        """Return each entry with the readings beside its own outing's that it can change."""
        before = -1
        while before != (before := sum(map(len, self._found.values()))):  # an answer may speak of a strike
            for position, entry in self._speaking:
                self._note(position, entry)
        return {
            (position, subject)
            for position, subjects in self._found.items()
            for subject in subjects
            if subject != self._outings[position] and len(subject) <= LONGEST
        }

    def _note(self, position: int, entry: Entry) -> None:
        found = touches(entry, lambda named: self._subjects.get(named, frozenset()))
        self._found[position] = self._found.get(position, frozenset()) | found
        self._subjects[entry.id] = self._subjects.get(entry.id, frozenset()) | found


def _readings(told: Told) -> Iterator[str]:
    """Make anew the readings that are at hand, and compare; not those that lines touch meanwhile."""
    at_hand = Reading.objects.filter(kind=OUTING, position__gte=F("wanted")).order_by("key")
    before = dict(at_hand.values_list("key", "position"))
    for n, (key, position) in enumerate(before.items(), 1):
        made = readings.made_anew(key)
        body = at_hand.filter(key=key, position=position).values_list("body", flat=True).first()
        if body and made != body:
            yield f"the reading of {key} does not fit its entries: haulbook station rebuild"
        told("comparing readings", n, len(before))
