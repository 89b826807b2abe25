"""Notices, receipts, permissions and reports: the correspondence with an agency, as facts."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from haulbook.custody.book import Book
from haulbook.custody.entry import Entry
from haulbook.custody.facts import Paper


def papers(book: Book, until: datetime | None = None) -> tuple[Paper, ...]:
    """Return every act of the correspondence that stands, oldest first.

    Parameters
    ----------
    book : Book
    until : datetime or None
        Only what happened up to and including this instant.
    """
    return papers_in(book.standing(until))


def papers_in(standing: Iterable[Entry]) -> tuple[Paper, ...]:
    """Return the acts of the correspondence among entries that stand, in their order."""
    return tuple(
        Paper(
            permit=entry.body["permit"],
            act=entry.body["act"],
            at=entry.when,
            by=entry.by,
            entry=entry.id,
            clause=entry.body.get("clause"),
            sha256=entry.body.get("sha256"),
            digest=entry.body.get("digest"),
        )
        for entry in standing
        if entry.kind == "paper"
    )
