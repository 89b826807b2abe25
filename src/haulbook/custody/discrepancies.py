"""What the union of all entries makes impossible or doubtful: shown to the lead, never repaired silently.

Each has a key, kind and subject. It goes when entries mend it, or is settled where both sides stand.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from haulbook.custody import counts_off, told_twice
from haulbook.custody.book import Book
from haulbook.custody.discrepancy import Discrepancy
from haulbook.custody.entry import Entry
from haulbook.custody.ledger import Within, account_from, same_taxon
from haulbook.custody.replay import replay

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
    standing = book.standing()
    counts: list[counts_off.Count] = []
    state = replay(standing, lambda entry, places: counts.append(counts_off.in_the_book(entry, places)))
    account = account_from(standing, state, within)
    found = [
        *counts_off.below_zero(standing, state),
        *counts_off.count_differs(standing, counts),
        *counts_off.zero_and_count(standing, account, within),
        *counts_off.name_open(account),
        *told_twice.double_count(standing),
        *told_twice.started_twice(standing),
        *told_twice.late_lines(book, standing),
        *told_twice.loose_chains(book, standing),
        *_clocks(clock_off_s or {}),
    ]
    answers = _answers(standing)
    marked = (replace(one, settled=answers.get(one.key)) for one in found)
    return tuple(
        sorted(marked, key=lambda one: (one.outing is None, one.outing or "", one.kind, one.subject))
    )


def _answers(standing: Iterable[Entry]) -> dict[str, str]:
    return {entry.body["key"]: entry.body["answer"] for entry in standing if entry.kind == "settled"}


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
