"""A book, played through once: what every reading of it starts from."""

from __future__ import annotations

from dataclasses import dataclass

from haulbook.custody.book import Book
from haulbook.custody.entry import Entry
from haulbook.custody.facts import Account
from haulbook.custody.ledger import Within, account_from
from haulbook.custody.replay import replay
from haulbook.custody.tally import Count, Tally, tallied


@dataclass(frozen=True, slots=True)
class Played:
    """A book after everything in it happened.

    Attributes
    ----------
    book : Book
    standing : list of Entry
        What is not struck, oldest first.
    tally : Tally
        How many animals every place holds.
    counts : tuple of Count
        What somebody counted again, with what the book said just then.
    account : Account
    """

    book: Book
    standing: list[Entry]
    tally: Tally
    counts: tuple[Count, ...]
    account: Account


def play(book: Book, within: Within) -> Played:
    """Let everything that stands in a book happen."""
    standing = book.standing()
    tally, counts = tallied(standing)
    return Played(book, standing, tally, counts, account_from(standing, replay(standing), within))
