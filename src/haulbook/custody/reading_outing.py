"""One outing, read from its own entries and those that touch it: exactly what the whole book says of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from haulbook.custody.book import Book
from haulbook.custody.closing import OpenThing, in_order, open_in, still_open, wrote_there
from haulbook.custody.discrepancies import Discrepancy, marked, of_animals
from haulbook.custody.entry import Entry
from haulbook.custody.facts import Account, Paper
from haulbook.custody.ledger import Balances, Within, balances_of, same_taxon, short_order
from haulbook.custody.papers import papers_in
from haulbook.custody.played import play
from haulbook.custody.replay import outing_of


@dataclass(frozen=True, slots=True)
class OutingReading:
    """What the book says of one outing.

    Attributes
    ----------
    outing : str
    account : Account
        Its hauls and their animals, wherever these are now.
    balances : Balances
        Its places, and its animals in tanks or in another outing's buckets.
    discrepancies : tuple of Discrepancy
        Without gaps, forks and clocks, which need whole chains (``custody.reading_chains``).
    open : tuple of OpenThing
        Without those too; :func:`open_of` adds them.
    papers : tuple of Paper
        Of the correspondence, what was written in this outing.
    devices : tuple of str
        Devices that wrote in it: their gaps, forks and clocks are its own.
    """

    outing: str
    account: Account
    balances: Balances
    discrepancies: tuple[Discrepancy, ...]
    open: tuple[OpenThing, ...]
    papers: tuple[Paper, ...]
    devices: tuple[str, ...]


def read_outing(entries: Iterable[Entry], outing: str, within: Within = same_taxon) -> OutingReading:
    """Read one outing.

    Parameters
    ----------
    entries : iterable of Entry
        At least its own, and all of which :func:`haulbook.custody.touching.touches` names it; where
        :func:`haulbook.custody.touching.hosts` names other outings, theirs too. More change nothing.
    outing : str
    within : callable
        As in :func:`haulbook.custody.ledger.account_of`.
    """
    played = play(Book.of(entries), within)
    balances = balances_of(played.tally)
    found = tuple(one for one in of_animals(played, within) if one.outing == outing)
    found = marked(found, played.standing)
    ours = [entry for entry in played.book.entries if entry.outing == outing]
    return OutingReading(
        outing,
        _account(played.account, outing),
        Balances(
            tuple(row for row in balances.rows if row.outing == outing or outing_of(row.haul) == outing)
        ),
        found,
        open_in(played, balances, found, (outing,))[outing],
        papers_in(entry for entry in played.standing if entry.outing == outing),
        tuple(sorted({entry.device for entry in ours})),
    )


def open_of(reading: OutingReading, of_devices: Iterable[Discrepancy]) -> tuple[OpenThing, ...]:
    """Return all that is open in an outing, with the gaps, forks and clocks of its devices.

    Parameters
    ----------
    reading : OutingReading
    of_devices : iterable of Discrepancy
        Of any devices, as :func:`haulbook.custody.reading_chains.read_chains` gives them.
    """
    return in_order((*reading.open, *still_open(wrote_there(of_devices, reading.devices))))


def joined(accounts: Iterable[Account]) -> Account:
    """Return the account of several outings together, in the order of the whole book.

    Parameters
    ----------
    accounts : iterable of Account
        Each of another outing.
    """
    parts = sorted(accounts, key=_outing_in)
    return Account(
        hauls=tuple(haul for part in parts for haul in part.hauls),
        animals=tuple(lot for part in parts for lot in part.animals),
        present=tuple(pair for part in parts for pair in part.present),
        none_found=tuple(pair for part in parts for pair in part.none_found),
        looked_for={outing: taxa for part in parts for outing, taxa in part.looked_for.items()},
        short=tuple(sorted((row for part in parts for row in part.short), key=short_order)),
        lengths=tuple(taken for part in parts for taken in part.lengths),
    )


def _outing_in(account: Account) -> str:
    hauls = (*(haul.key for haul in account.hauls[:1]), *(taken.haul for taken in account.lengths[:1]))
    return next((outing for haul in hauls if (outing := outing_of(haul))), "")


def _account(whole: Account, outing: str) -> Account:
    return Account(
        hauls=tuple(haul for haul in whole.hauls if haul.outing == outing),
        animals=tuple(lot for lot in whole.animals if outing_of(lot.haul) == outing),
        present=tuple(pair for pair in whole.present if outing_of(pair[0]) == outing),
        none_found=tuple(pair for pair in whole.none_found if outing_of(pair[0]) == outing),
        looked_for={key: taxa for key, taxa in whole.looked_for.items() if key == outing},
        short=tuple(row for row in whole.short if outing_of(row.haul) == outing),
        lengths=tuple(taken for taken in whole.lengths if outing_of(taken.haul) == outing),
    )
