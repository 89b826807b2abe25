"""The whole station as one sealed file, which any kind of database can be filled from.

    manifest.json           version, station, pack, and the inventory of the book
    book.jsonl              a book file: entries in the order in which they came in
    received.jsonl          [n, instant]: so many of them, one after the other, came in then
    rows/KIND.jsonl         every other row, one a line
    files/SHA256            stored files

Left out: what is worked out of entries, sessions, and codes that work once. It holds password hashes and the digests
of device tokens: keep it as you keep the station.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import datetime
from importlib.metadata import version
from itertools import groupby
from pathlib import Path
from typing import Any

from django.db import connection, models
from django.db.migrations.recorder import MigrationRecorder

from haulbook.station import clock
from haulbook.station.models import EntryRow, StoredFile
from haulbook.station.store.inventory import inventory
from haulbook.station.store.reference import pack_of_station, settings
from haulbook.station.store.rows import row_as_json, tables
from haulbook.station.store.sealed import Sealing, Told, untold
from haulbook.station.store.snapshot import snapshot

BOOK, RECEIVED = "book.jsonl", "received.jsonl"
ROWS, FILES = "rows", "files"


def back_up(path: Path, told: Told = untold) -> dict[str, Any]:
    """Write the station into one file, as it stood at one instant, while others go on. Return what it holds.

    Raises
    ------
    Refusal
        Where nothing is set up yet, or the file can't be written; an older one of that name is then as it was.
    """
    with snapshot():
        own, pack = settings(), pack_of_station()
        holds = inventory().as_json()
        with Sealing(path) as sealing:
            sealing.add(BOOK, _book(holds["entries"], told))
            sealing.add(RECEIVED, _received())
            for name, kind in tables().items():
                sealing.add(f"{ROWS}/{name}.jsonl", _rows(kind))
            for sha256 in StoredFile.objects.order_by("sha256").values_list("sha256", flat=True):
                content = bytes(StoredFile.objects.get(pk=sha256).content)
                sealing.add(f"{FILES}/{sha256}", [content], packed=False)
            says = {
                "made_at": clock.now().isoformat(timespec="seconds"),
                "version": version("haulbook"),
                "schema": schema(),
                "station": own.name,
                "pack": {"key": pack.key, "version": pack.version},
                "book": holds,
            }
            sealing.seal(says)
    return says


def schema() -> str:
    """Return the name of the last step that the database was brought up to."""
    applied = MigrationRecorder(connection).applied_migrations()
    return max(name for app, name in applied if app == "station")


def _book(total: int, told: Told) -> Iterator[bytes]:
    lines = EntryRow.objects.order_by("position").values_list("line", flat=True)
    for n, line in enumerate(lines.iterator(chunk_size=2_000), 1):
        if n % 1_000 == 0:
            told("writing the book", n, total)
        yield line.encode() + b"\n"
    told("writing the book", total, total)


def _received() -> Iterator[bytes]:
    instants = EntryRow.objects.order_by("position").values_list("received_at", flat=True)
    for at, several in groupby(instants.iterator(chunk_size=5_000)):
        yield _line([sum(1 for _ in several), at.isoformat()])


def _rows(kind: type[models.Model]) -> Iterator[bytes]:
    rows = kind._default_manager.order_by("pk")
    if kind is StoredFile:
        rows = rows.defer("content")
    for row in rows.iterator(chunk_size=500):
        yield _line(row_as_json(row))


def _line(value: Any) -> bytes:
    """Return a line of JSON; keys in order, since PostgreSQL keeps no other."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"), sort_keys=True).encode() + b"\n"


def received_of(said: Any) -> tuple[int, datetime]:
    """Return how many entries came in when, of a line of ``received.jsonl``."""
    n, at = said
    return int(n), datetime.fromisoformat(at)
