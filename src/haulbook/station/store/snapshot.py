"""Reads the database as it stood at one instant, while others go on writing."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction


@contextmanager
def snapshot() -> Iterator[None]:
    """Hold a transaction in which every query sees the same rows, and which keeps nobody from writing.

    SQLite's WAL gives that to a transaction that does not begin as a writer; PostgreSQL to one that says
    REPEATABLE READ. Inside another transaction it is that one's view.
    """
    if connection.in_atomic_block:
        yield
        return
    mode = getattr(connection, "transaction_mode", None)
    if connection.vendor == "sqlite":
        connection.transaction_mode = "DEFERRED"  # type: ignore[attr-defined]
    try:
        with transaction.atomic():
            if connection.vendor == "postgresql":
                with connection.cursor() as cursor:
                    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield
    finally:
        if connection.vendor == "sqlite":
            connection.transaction_mode = mode  # type: ignore[attr-defined]
