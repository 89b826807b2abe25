"""One digest over a whole book."""

from __future__ import annotations

import hashlib

from haulbook.custody.book import Book


def book_digest(book: Book) -> str:
    """Return SHA-256 over the sorted hashes of all entries, joined by newline: equal books, equal digests."""
    return hashlib.sha256("\n".join(sorted(entry.hash for entry in book.entries)).encode()).hexdigest()
