"""What Python says about a case, as plain JSON: the phone has to say the same."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import asdict
from typing import Any

from haulbook.custody.book import Book
from haulbook.custody.closing import open_things
from haulbook.custody.discrepancies import discrepancies
from haulbook.custody.entry import Entry
from haulbook.custody.facts import Account, Animals, Haul
from haulbook.custody.ledger import account_of, balances
from haulbook.shore import Kit, standings

Within = Callable[[str, str], bool]


def ledger_answer(entries: Iterable[Entry], within: Within, outing: str) -> dict[str, Any]:
    """Return every reading of a book that the phone shows or counts by."""
    book = Book.of(entries)
    account = account_of(book, within=within)
    return {
        "struck": sorted(book.struck()),
        "animals": ordered(_animals(each) for each in account.animals),
        "hauls": [_haul(each) for each in account.hauls],
        "present": [list(pair) for pair in account.present],
        "none_found": [list(pair) for pair in account.none_found],
        "short": ordered(asdict(each) for each in account.short),
        "balances": ordered(asdict(row) for row in balances(book).rows),
        "out_of_sea": -balances(book).of(place="sea", unit="individual").n,
        "discrepancies": ordered(
            {"key": one.key, "words": one.words, "outing": one.outing, "entries": sorted(one.entries),
             "settled": one.settled}
            for one in discrepancies(book, within)
        ),
        "open": [
            {"kind": one.kind, "key": one.key, "blocks": one.blocks, "words": one.words, "n": one.n,
             "entries": sorted(one.entries)}
            for one in open_things(book, outing, within)
        ],
    }  # fmt: skip


def standings_answer(kit: Kit, entries: Iterable[Entry], hauls: Iterable[str | None]) -> dict[str, Any]:
    """Return where every clause of a kit stands, by haul."""
    book = Book.of(entries)
    return {
        haul or "": [
            [
                one.clause.permit,
                one.clause.id,
                one.n,
                one.possible,
                one.of,
                one.of_possible,
                one.left,
                one.left_at_worst,
            ]
            for one in standings(kit, book, haul)
        ]
        for haul in hauls
    }


def ordered(rows: Iterable[Any]) -> list[Any]:
    """Return rows in one order, whatever the order in which they come."""
    return sorted(rows, key=str)


def _animals(each: Animals) -> dict[str, Any]:
    return {
        **{key: getattr(each, key) for key in _PLAIN},
        "fate": str(each.fate),
        "called": each.called.text,
        "fated": each.fated and each.fated.text,
        "later": [[event.kind, event.at.text, event.entry] for event in each.later],
        "entries": list(each.entries),
        "subsample": each.subsample and {**asdict(each.subsample), "counted": list(each.subsample.counted)},
    }


_PLAIN = (
    "haul", "taxon", "n", "place", "stage", "unit", "basis", "sex", "origin", "mark", "berried", "length_mm",
    "length_type", "said", "doubt", "cause", "haul_assumed",
)  # fmt: skip


def _haul(each: Haul) -> dict[str, Any]:
    return {
        "haul": each.key, "outing": each.outing, "site": each.site, "net": each.net, "condition": each.condition,
        "started": each.started and each.started.text, "landed": each.landed and each.landed.text,
        "ended": each.ended and each.ended.text, "remarks": list(each.remarks),
        "measures": {name: asdict(measure) for name, measure in each.measures.items()},
    }  # fmt: skip


def hauls_of(account: Account) -> list[str]:
    """Return the keys of an account's hauls."""
    return [haul.key for haul in account.hauls]
