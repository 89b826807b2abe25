"""One writer at a time, on either database: numbers of a device and positions then never cross."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction

_LOCK = 0x6861756C  # any number of our own; PostgreSQL's advisory locks are told apart by number


@contextmanager
def writing() -> Iterator[None]:
    """Hold a transaction in which nobody else adds entries.

    SQLite's IMMEDIATE transactions are that already. On PostgreSQL positions would otherwise be committed out of
    order, and a device asking for "all after position n" could miss one.
    """
    with transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_LOCK])
        yield
