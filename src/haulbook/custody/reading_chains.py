"""What is off with the devices of a long book, from the links of their chains alone."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from haulbook.custody.book import Book
from haulbook.custody.chains import ChainRow
from haulbook.custody.closing import wrote_there
from haulbook.custody.discrepancies import marked, of_devices
from haulbook.custody.discrepancy import Discrepancy
from haulbook.custody.entry import Entry

SAID_IN = ("outing-signed", "settled", "strike")
"""Kinds of entries that say something about chains: how far they went, what is settled, what is struck of these."""


def read_chains(
    links: Iterable[ChainRow],
    said: Iterable[Entry] = (),
    clock_off_s: Mapping[str, float] | None = None,
    devices: Collection[str] | None = None,
) -> tuple[Discrepancy, ...]:
    """Return the gaps, forks and clocks of a book.

    Parameters
    ----------
    links : iterable of ChainRow
        In any order; a plain tuple of the same six values does as well.
    said : iterable of Entry
        All entries of the kinds in ``SAID_IN``: where a sign-off speaks of a number that is not here, that is a
        gap too.
    clock_off_s : mapping of str to float, optional
        As in :func:`haulbook.custody.discrepancies.discrepancies`.
    devices : collection of str or None
        The devices that are asked about, all of whose links are given. None: all devices.
    """
    standing = Book.of(said).standing()
    found = of_devices(map(ChainRow._make, links), standing, clock_off_s)
    if devices is not None:
        found = list(wrote_there(found, devices))
    return marked(found, standing)
