"""Entries in and out of the database. What they mean is the custody room's."""

from __future__ import annotations

import json
import secrets
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Q, QuerySet

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, Entry, canonical, chain, uuid7
from haulbook.custody.touching import TANKS
from haulbook.station import clock
from haulbook.station.models import EntryRow, Touch
from haulbook.station.store.noting import note
from haulbook.station.store.writing import writing

DESK = "desk"
"""The device of everything that is typed at the station."""
_BATCH = 2_000


@dataclass(frozen=True, slots=True)
class Wanted:
    """Something to write at the desk: a draft without what the desk adds.

    ``at`` is an instant with offset; the same instant is taken for now where it is None.
    """

    kind: str
    body: Mapping[str, Any]
    outing: str | None = None
    at: str | None = None
    id: str | None = None


def write(wanted: Iterable[Wanted], by: str, zone: str = "UTC") -> tuple[Entry, ...]:
    """Write lines at the desk, all or none of them.

    Parameters
    ----------
    wanted : iterable of Wanted
    by : str
        Person's key.
    zone : str
        IANA zone in which instants are written.

    Raises
    ------
    Refusal
        With everything that is off in any of them; nothing is written then.
    """
    now = clock.now()
    made_at = clock.instant(now, zone)
    drafts = [
        Draft(
            id=one.id or new_id(now),
            at=one.at or made_at,
            made_at=made_at,
            by=by,
            outing=one.outing,
            kind=one.kind,
            body=one.body,
        )
        for one in wanted
    ]
    return write_drafts(drafts)


def write_drafts(drafts: Sequence[Draft]) -> tuple[Entry, ...]:
    """Write finished drafts at the desk, all or none of them; refuses as :func:`write`.

    A form carries the ids that its entries will have: sent a second time, it finds them there and writes nothing.
    """
    with writing():
        there = EntryRow.objects.filter(entry__in=[draft.id for draft in drafts], device=DESK)
        if drafts and there.count() == len(drafts):
            return tuple(entries_of(there.order_by("position")))
        entries = chain(drafts, DESK, last_of(DESK))
        add(entries, clock.now())
    return entries


def new_id(at: datetime) -> str:
    """Return an id for an entry that is made at an instant."""
    return uuid7(at, secrets.token_bytes(10))


def last_of(device: str) -> Entry | None:
    """Return a device's last entry."""
    row = EntryRow.objects.filter(device=device).order_by("-seq", "-position").first()
    return entry_of(row.line) if row else None


def add(entries: Iterable[Entry], received_at: datetime) -> int:
    """Add entries that are not there yet, and say which readings they touch. Return how many were new.

    To be called while :func:`writing`; adding an entry twice is the same as once.
    """
    added = 0
    batch: list[Entry] = []
    for entry in entries:
        batch.append(entry)
        if len(batch) == _BATCH:
            added += _add(batch, received_at)
            batch = []
    return added + _add(batch, received_at)


def _add(batch: Sequence[Entry], received_at: datetime) -> int:
    known = set(
        EntryRow.objects.filter(hash__in=[entry.hash for entry in batch]).values_list("hash", flat=True)
    )
    new = [entry for entry in dict.fromkeys(batch) if entry.hash not in known]
    if not new:
        return 0
    EntryRow.objects.bulk_create([row_of(entry, received_at) for entry in new], batch_size=_BATCH)
    positions = dict(
        EntryRow.objects.filter(hash__in=[entry.hash for entry in new]).values_list("hash", "position")
    )
    note((positions[entry.hash], entry) for entry in new)
    return len(new)


def row_of(entry: Entry, received_at: datetime) -> EntryRow:
    """Return the row of an entry: its canonical line, and columns to find it by."""
    return EntryRow(
        hash=entry.hash,
        entry=entry.id,
        device=entry.device,
        seq=entry.seq,
        prev=entry.prev,
        outing=entry.outing,
        kind=entry.kind,
        by=entry.by,
        at=entry.at,
        made_at=entry.made_at,
        line=canonical(entry.as_json()),
        received_at=received_at,
    )


def entry_of(line: str) -> Entry:
    """Return the entry of a stored line. Its hash was checked when it came in, and ``verify`` checks it again."""
    return Entry(**json.loads(line))


def entries_of(rows: QuerySet[EntryRow]) -> Iterator[Entry]:
    """Return the entries of rows, few in memory at a time."""
    for line in rows.values_list("line", flat=True).iterator(chunk_size=_BATCH):
        yield entry_of(line)


def outing_rows(outing: str) -> QuerySet[EntryRow]:
    """Return the rows of an outing, and those without outing that touch it."""
    touching = Touch.objects.filter(subject=outing).values("position")
    return EntryRow.objects.filter(Q(outing=outing) | Q(position__in=touching)).order_by("position")


def tank_rows() -> QuerySet[EntryRow]:
    """Return the rows that the tank book is read from."""
    touching = Touch.objects.filter(subject=TANKS).values("position")
    return EntryRow.objects.filter(position__in=touching).order_by("position")


def book_of_outing(outing: str) -> Book:
    """Return an outing's entries and those that touch it."""
    return Book.of(entries_of(outing_rows(outing)))


def whole_book() -> Book:
    """Return every entry. For export and verifying: a page never asks for it."""
    return Book.of(entries_of(EntryRow.objects.order_by("position")))
