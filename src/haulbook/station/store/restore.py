"""A station filled from a sealed backup: looked at in full first, then all of it or nothing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from itertools import repeat
from pathlib import Path
from typing import Any

from django.core.management.color import no_style
from django.db import DataError, IntegrityError, OperationalError, connection, models

from haulbook.custody.chains import ChainRow
from haulbook.custody.entry import Entry
from haulbook.exchange.bookfile import entry_of_line
from haulbook.problems import Problem, Refusal
from haulbook.station import clock
from haulbook.station.folder import Folder
from haulbook.station.models import EntryRow, Person, Settings, StoredFile, new_book
from haulbook.station.store import book, readings, triggers
from haulbook.station.store.backup import BOOK, FILES, RECEIVED, ROWS, back_up, received_of
from haulbook.station.store.inventory import inventory, inventory_of
from haulbook.station.store.noting import note
from haulbook.station.store.rows import MADE_ANEW, PASSING, row_of, tables
from haulbook.station.store.sealed import Sealed, Told, off, opened, untold
from haulbook.station.store.writing import writing

_BATCH = 2_000


@dataclass(frozen=True, slots=True)
class Restored:
    """What was brought back. ``aside``: the file that the station before was put aside into, where there was one."""

    says: dict[str, Any]
    aside: Path | None


def restore(path: Path, *, replace: bool = False, told: Told = untold) -> Restored:
    """Fill the station from a backup.

    Parameters
    ----------
    path : Path
    replace : bool
        Put the present station aside, into a backup file in its folder, and take its place. Without it only an empty
        station is filled.

    Raises
    ------
    Refusal
        Where the file is not what was once written, or something stands in the way. Nothing is changed then.
    """
    with opened(path, told) as sealed:
        _look_at_book(sealed, told)
        _look_at_rows(sealed)
        try:
            with writing():
                aside = _replaced(sealed, replace, told)
        except (IntegrityError, DataError) as error:
            raise off(path, f"no database takes what is in it ({error})") from None
        except OperationalError as error:
            raise Refusal(f"the database could not be filled ({error}); nothing was changed") from None
    total = readings.stale()
    for done, _ in enumerate(readings.freshen(), 1):
        told("reading the book", done, total)
    return Restored(sealed.manifest, aside)


def _replaced(sealed: Sealed, replace: bool, told: Told) -> Path | None:
    """Put aside what is there, and fill in what is in the backup; return where to it was put."""
    _keep_out()
    there = any(kind._default_manager.exists() for kind in (Settings, EntryRow, Person))
    if there and not replace:
        raise Refusal(
            "this station holds something already: name an empty folder with --station, or add --replace, which "
            "puts what is here aside into a backup file first"
        )
    aside = _put_aside(told) if there else None
    try:
        _empty()
        _fill(sealed, told)
        if inventory().as_json() != sealed.manifest["book"]:
            raise off(sealed.path, "what was filled in is not what was written")
    except BaseException:
        if aside is not None:
            aside.unlink()  # it holds what still stands
        raise
    return aside


def _keep_out() -> None:
    """Let nobody write into any table until this transaction ends: it would not be in what is put aside."""
    if connection.vendor == "postgresql":  # on SQLite the transaction is the only one that writes
        names = ", ".join(connection.ops.quote_name(kind._meta.db_table) for kind in _every_table())
        with connection.cursor() as cursor:
            cursor.execute(f"LOCK TABLE {names} IN EXCLUSIVE MODE")


def _every_table() -> tuple[type[models.Model], ...]:
    from django.contrib.sessions.models import Session

    return (EntryRow, *MADE_ANEW, *PASSING, *tables().values(), Session)


def entries_in(sealed: Sealed) -> Iterator[Entry]:
    """Return the entries of a backup, each looked at byte by byte."""
    for row, line in enumerate(sealed.lines(BOOK), 1):
        try:
            yield entry_of_line(line)
        except Refusal as refusal:
            raise off(sealed.path, f"line {row} of {BOOK}: {refusal.problems[0].message}") from None


def _look_at_book(sealed: Sealed, told: Told) -> None:
    """Hold every line to its hash, and chains and sign-offs to what the manifest says of them."""
    said = sealed.manifest.get("book")
    total = said.get("entries") if isinstance(said, dict) else None
    if not isinstance(total, int):
        raise off(sealed.path, "its manifest says nothing of the book")
    rows: list[ChainRow] = []
    sign_offs: list[Entry] = []
    for n, entry in enumerate(entries_in(sealed), 1):
        rows.append(ChainRow(entry.device, entry.seq, entry.hash, entry.prev, entry.id, entry.outing))
        if entry.kind == "outing-signed":
            sign_offs.append(entry)
        if n % 500 == 0:
            told("looking at every entry", n, total)
    if inventory_of(rows, sign_offs).as_json() != said:
        raise off(sealed.path, "entries, chains or sign-offs are not those its manifest speaks of")
    if sum(n for n, _ in _received(sealed)) != total:
        raise off(sealed.path, f"{RECEIVED} speaks of another number of entries")


def _look_at_rows(sealed: Sealed) -> None:
    found = set(sealed.names(ROWS))
    known = {f"{name}.jsonl" for name in tables()}
    if unknown := sorted(found - known):
        message = (
            f"it holds {', '.join(unknown)}, which is not known here: this backup is of a newer haulbook "
            f"({sealed.manifest.get('version')}). Nothing was changed"
        )
        raise Refusal(Problem("refused", message, file=sealed.path.name))
    files = set(sealed.names(FILES))
    for name in sorted(found):
        kind = tables()[name.removesuffix(".jsonl")]
        for said in sealed.objects(f"{ROWS}/{name}"):
            row = row_of(kind, said)
            if isinstance(row, StoredFile):
                files.discard(row.sha256)
                _content(sealed, row.sha256)
    if files:
        raise off(sealed.path, f"nothing speaks of the file {min(files)} in it")


def _content(sealed: Sealed, digest: str) -> bytes:
    try:
        content = sealed.content(f"{FILES}/{digest}")
    except KeyError:
        raise off(sealed.path, f"the file {digest} is not in it") from None
    if sha256(content).hexdigest() != digest:
        raise off(sealed.path, f"the file {digest} is another one")
    return content


def _received(sealed: Sealed) -> Iterator[tuple[int, datetime]]:
    for said in sealed.objects(RECEIVED):
        try:
            yield received_of(said)
        except (TypeError, ValueError):
            raise off(sealed.path, f"a line of {RECEIVED} can't be read") from None


def _put_aside(told: Told) -> Path:
    folder = Folder.of_environment().path
    stamp = clock.now().strftime("%Y%m%dT%H%M%SZ")
    aside = folder / f"put-aside-{stamp}.zip"
    n = 1
    while aside.exists():
        n += 1
        aside = folder / f"put-aside-{stamp}-{n}.zip"
    back_up(aside, told)
    return aside


def _empty() -> None:
    """Remove every row. Only here entries may go: what was in their place stands in the file that was put aside."""
    triggers.take_off(connection)
    quote = connection.ops.quote_name
    with connection.cursor() as cursor:
        for kind in _every_table():
            cursor.execute(f"DELETE FROM {quote(kind._meta.db_table)}")  # noqa: S608 - names of our own tables
    triggers.put_back(connection)


def _fill(sealed: Sealed, told: Told) -> None:
    for name in sealed.names(ROWS):
        kind = tables()[name.removesuffix(".jsonl")]
        batch: list[models.Model] = []
        for said in sealed.objects(f"{ROWS}/{name}"):
            more = {"content": _content(sealed, said["sha256"])} if kind is StoredFile else {}
            batch.append(row_of(kind, said, **more))
            if len(batch) == _BATCH or kind is StoredFile:
                kind._default_manager.bulk_create(batch)
                batch = []
        kind._default_manager.bulk_create(batch)
    _number_on()
    Settings.objects.update(book=new_book())  # phones that heard of the book before send everything again
    _fill_book(sealed, told)


def _fill_book(sealed: Sealed, told: Told) -> None:
    instants = (at for n, at in _received(sealed) for at in repeat(at, n))
    total, done = sealed.manifest["book"]["entries"], 0
    batch: list[tuple[Entry, datetime]] = []
    for pair in zip(entries_in(sealed), instants, strict=True):
        batch.append(pair)
        if len(batch) == _BATCH:
            done += _store(batch)
            told("filling the book", done, total)
            batch = []
    told("filling the book", done + _store(batch), total)


def _store(batch: Sequence[tuple[Entry, datetime]]) -> int:
    EntryRow.objects.bulk_create([book.row_of(entry, at) for entry, at in batch])
    stored = EntryRow.objects.filter(hash__in=[entry.hash for entry, _ in batch])
    positions = dict(stored.values_list("hash", "position"))
    note((positions[entry.hash], entry) for entry, _ in batch)
    return len(batch)


def _number_on() -> None:
    """Let new rows be numbered after those that were filled in with their numbers."""
    statements = connection.ops.sequence_reset_sql(no_style(), list(tables().values()))
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
