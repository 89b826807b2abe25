"""What the union of all entries makes impossible or doubtful: shown to the lead, never repaired silently.

Each has a key, kind and subject. It goes when entries mend it, or is settled where both sides stand.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from haulbook.custody import counts_off, told_twice
from haulbook.custody.book import Book
from haulbook.custody.chains import Link
from haulbook.custody.discrepancy import Discrepancy
from haulbook.custody.entry import Entry
from haulbook.custody.ledger import Within, same_taxon
from haulbook.custody.played import Played, play

__all__ = ["Discrepancy", "discrepancies"]

CLOCK_S = 120
"""Seconds by which a device may differ from the server."""


def discrepancies(
    book: Book, within: Within = same_taxon, clock_off_s: Mapping[str, float] | None = None
) -> tuple[Discrepancy, ...]:
    """Return everything in a book that can't be or that somebody has to say, settled or not.

    Parameters
    ----------
    book : Book
    within : callable
        ``within(taxon, other)``: whether ``taxon`` is ``other`` or lies within it, as ``Pack.is_within``.
    clock_off_s : mapping of str to float, optional
        Seconds by which each device was ahead (or, below zero, behind) of the server when it last came in.
    """
    return all_of(play(book, within), within, clock_off_s)


def all_of(
    played: Played, within: Within, clock_off_s: Mapping[str, float] | None
) -> tuple[Discrepancy, ...]:
    """Return every discrepancy of a book that was played through."""
    found = (*of_animals(played, within), *of_devices(played.book.entries, played.standing, clock_off_s))
    return marked(found, played.standing)


def of_animals(played: Played, within: Within) -> list[Discrepancy]:
    """Return what is off with animals and hauls: all but gaps, forks and clocks."""
    standing, account = played.standing, played.account
    return [
        *counts_off.below_zero(standing, played.tally.below_zero()),
        *counts_off.count_differs(standing, played.counts),
        *counts_off.zero_and_count(standing, account, within),
        *counts_off.name_open(account),
        *told_twice.double_count(standing),
        *told_twice.started_twice(standing),
        *told_twice.late_lines(played.book, standing),
    ]


def of_devices(
    links: Iterable[Link], standing: Iterable[Entry], clock_off_s: Mapping[str, float] | None
) -> list[Discrepancy]:
    """Return what is off with devices: gaps and forks in their chains, and clocks."""
    return [*told_twice.loose_chains(links, standing), *_clocks(clock_off_s or {})]


def marked(found: Iterable[Discrepancy], standing: Iterable[Entry]) -> tuple[Discrepancy, ...]:
    """Return discrepancies in their order, each with the answer that settles it where there is one."""
    answers = {entry.body["key"]: entry.body["answer"] for entry in standing if entry.kind == "settled"}
    said = (replace(one, settled=answers[one.key]) if one.key in answers else one for one in found)
    return tuple(sorted(said, key=lambda one: (one.outing is None, one.outing or "", one.kind, one.subject)))


def _clocks(clock_off_s: Mapping[str, float]) -> Iterable[Discrepancy]:
    for device, off in sorted(clock_off_s.items()):
        if abs(off) > CLOCK_S:
            minutes, seconds = divmod(round(abs(off)), 60)
            yield Discrepancy(
                "clock",
                device,
                f"the clock of {device} was {minutes} min {seconds} s "
                f"{'ahead of' if off > 0 else 'behind'} the server "
                f"({CLOCK_S // 60} min are let pass): what it wrote may stand in the wrong order",
                expected=0,
                found=round(off),
            )
