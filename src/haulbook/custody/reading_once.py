"""Everything that is read from a whole book, with one way through it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from haulbook.custody.book import Book
from haulbook.custody.closing import OpenThing, open_in
from haulbook.custody.discrepancies import Discrepancy, all_of
from haulbook.custody.facts import Account, Paper
from haulbook.custody.ledger import Balances, Within, balances_of, same_taxon
from haulbook.custody.papers import papers_in
from haulbook.custody.played import Played, play


@dataclass(frozen=True, slots=True)
class Reading:
    """A book, read.

    Attributes
    ----------
    account : Account
    balances : Balances
        Where every animal is, the other side of ``account``.
    discrepancies : tuple of Discrepancy
        Settled or not.
    open : dict of outing to tuple of OpenThing
        Every outing of the book, those without anything open too, in the order of their names.
    papers : tuple of Paper
        The correspondence with agencies, oldest first.
    """

    account: Account
    balances: Balances
    discrepancies: tuple[Discrepancy, ...]
    open: dict[str, tuple[OpenThing, ...]]
    papers: tuple[Paper, ...]


def read_once(
    book: Book, within: Within = same_taxon, clock_off_s: Mapping[str, float] | None = None
) -> Reading:
    """Read a whole book.

    Parameters
    ----------
    book : Book
    within, clock_off_s
        As in :func:`haulbook.custody.discrepancies.discrepancies`.
    """
    played = play(book, within)
    balances = balances_of(played.tally)
    found = all_of(played, within, clock_off_s)
    return Reading(
        played.account,
        balances,
        found,
        open_in(played, balances, found, _outings(played)),
        papers_in(played.standing),
    )


def _outings(played: Played) -> list[str]:
    named = {entry.outing for entry in played.book.entries if entry.outing is not None}
    return sorted({*named, *(haul.outing for haul in played.account.hauls)})
