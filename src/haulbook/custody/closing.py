"""What stands between an outing and its closing, and what a sign-off freezes."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from haulbook.custody.book import Book
from haulbook.custody.canonical import sha256_of
from haulbook.custody.discrepancies import Discrepancy, all_of
from haulbook.custody.entry import Entry
from haulbook.custody.facts import Animals
from haulbook.custody.fates import Fate
from haulbook.custody.ledger import Balances, Within, balances_of, same_taxon
from haulbook.custody.played import Played, play
from haulbook.custody.replay import outing_of
from haulbook.problems import Refusal

ONLY_SHOWN = ("name-open", "clock", "late-line", "zero-and-count")
"""Discrepancies that an outing can be closed with: they are printed."""
OF_A_DEVICE = ("gap", "fork", "clock")


@dataclass(frozen=True, slots=True)
class OpenThing:
    """One thing that is not done yet.

    Attributes
    ----------
    kind : {"animals", "unaccounted", "fate-unknown", "discrepancy"}
    key : str
        What a ``settled`` entry names; animals in a place are settled by moving them.
    blocks : bool
        Whether the outing can't be closed with it.
    words : str
        What it is and what to do.
    n : int
        Animals it is about; 0 where it is about none.
    entries : tuple of str
        Ids of the entries behind it.
    """

    kind: Literal["animals", "unaccounted", "fate-unknown", "discrepancy"]
    key: str
    blocks: bool
    words: str
    n: int = 0
    entries: tuple[str, ...] = ()


def open_things(
    book: Book, outing: str, within: Within = same_taxon, clock_off_s: Mapping[str, float] | None = None
) -> tuple[OpenThing, ...]:
    """Return what is open in an outing: first what blocks closing it, then what will be printed.

    Parameters
    ----------
    book : Book
    outing : str
    within, clock_off_s
        As in :func:`haulbook.custody.discrepancies.discrepancies`.
    """
    return open_in_outings(book, (outing,), within, clock_off_s)[outing]


def open_in_outings(
    book: Book,
    outings: Iterable[str],
    within: Within = same_taxon,
    clock_off_s: Mapping[str, float] | None = None,
) -> dict[str, tuple[OpenThing, ...]]:
    """Return what is open in each of several outings, the book read once; otherwise as :func:`open_things`."""
    played = play(book, within)
    return open_in(played, balances_of(played.tally), all_of(played, within, clock_off_s), outings)


def open_in(
    played: Played, balances: Balances, found: Iterable[Discrepancy], outings: Iterable[str]
) -> dict[str, tuple[OpenThing, ...]]:
    """Return what is open in outings of a book that was played through.

    Parameters
    ----------
    played : Played
    balances : Balances
        Of the same book.
    found : iterable of Discrepancy
        Of the same book; those that are handed in can be open.
    outings : iterable of str
    """
    lots: dict[str | None, list[Animals]] = {}
    for lot in played.account.animals:
        lots.setdefault(outing_of(lot.haul), []).append(lot)
    held: dict[str | None, dict[tuple[str | None, ...], int]] = {}
    for (outing, *key), n in balances.inside.by("outing", "place", "taxon", "stage").items():
        held.setdefault(outing, {})[tuple(key)] = n
    devices: dict[str | None, set[str]] = {}
    for entry in played.book.entries:
        devices.setdefault(entry.outing, set()).add(entry.device)
    wrong: dict[str | None, list[Discrepancy]] = {}
    of_devices: list[Discrepancy] = []
    for one in found:
        (of_devices if one.kind in OF_A_DEVICE else wrong.setdefault(one.outing, [])).append(one)
    to_lost, confirmed = _moves_to_lost(played.standing), _settled(played.standing)
    return {
        outing: in_order(
            (
                *_animals_left(held.get(outing, {}), outing),
                *_fixed_without_fate(lots.get(outing, ())),
                *_fates_unknown(lots.get(outing, ()), to_lost, confirmed),
                *still_open(wrong.get(outing, ())),
                *still_open(wrote_there(of_devices, devices.get(outing, ()))),
            )
        )
        for outing in outings
    }


def in_order(things: Iterable[OpenThing]) -> tuple[OpenThing, ...]:
    """Return open things in their order: what blocks closing first."""
    return tuple(sorted(things, key=lambda thing: (not thing.blocks, thing.kind, thing.key)))


def wrote_there(found: Iterable[Discrepancy], devices: Collection[str]) -> Iterator[Discrepancy]:
    """Yield gaps, forks and clocks of these devices: they are open in every outing that the device wrote in."""
    for one in found:
        if one.subject.split(" ")[0] in devices:
            yield one


def still_open(found: Iterable[Discrepancy]) -> Iterator[OpenThing]:
    """Yield discrepancies that nobody settled, as open things."""
    for one in found:
        if one.settled is None:
            yield OpenThing(
                "discrepancy", one.key, one.kind not in ONLY_SHOWN, one.words, entries=one.entries
            )


def _animals_left(held: Mapping[tuple[str | None, ...], int], outing: str) -> Iterator[OpenThing]:
    for (place, taxon, stage), n in held.items():
        if n > 0:
            name = f"{taxon} ({stage})" if stage else f"{taxon}"
            words = f"{place} still holds {n} {name}: say where they went"
            yield OpenThing("animals", f"animals:{outing} {place} {taxon} {stage or '-'}", True, words, n)


def _fixed_without_fate(lots: Iterable[Animals]) -> Iterator[OpenThing]:
    for lot in lots:
        if lot.fate is Fate.UNACCOUNTED and lot.fated is not None:
            words = (
                f"{lot.n} {lot.taxon} of {lot.haul} left the beach in a place that was not to keep, now in "
                f"{lot.place}: say what the bucket was for at that time, or strike that it left"
            )
            yield OpenThing(
                "unaccounted", f"unaccounted:{lot.entries[0]} {lot.place}", True, words, lot.n, lot.entries
            )


def _moves_to_lost(standing: Iterable[Entry]) -> set[str]:
    return {
        entry.id
        for entry in standing
        if entry.kind == "move"
        for line in entry.body["lines"]
        if line["to"] == "lost"
    }


def _settled(standing: Iterable[Entry]) -> set[str]:
    return {entry.body["key"] for entry in standing if entry.kind == "settled"}


def _fates_unknown(
    lots: Iterable[Animals], to_lost: Collection[str], confirmed: Collection[str]
) -> Iterator[OpenThing]:
    lost: dict[str, list[Animals]] = {}
    for lot in lots:
        if lot.fate is Fate.FATE_UNKNOWN:
            # renamed among the lost, where they had never arrived: then no move to lost speaks of them
            told = next((one for one in lot.entries if one in to_lost), lot.entries[0])
            lost.setdefault(f"fate-unknown:{told}", []).append(lot)
    for key, together in lost.items():
        if key not in confirmed:
            said = "; ".join(f"{lot.n} {lot.taxon} of {lot.haul}: {lot.cause}" for lot in together)
            words = f"fate unknown, for the lead to confirm ({said}); the report prints it"
            entries = tuple(dict.fromkeys(one for lot in together for one in lot.entries))
            yield OpenThing("fate-unknown", key, False, words, sum(lot.n for lot in together), entries)


def last_of_each(book: Book, outing: str) -> dict[str, int]:
    """Return the last number of each device in an outing: what a sign-off of everything so far covers.

    A strike of one of its lines counts wherever it was written.
    """
    ours = {entry.id for entry in book.entries if entry.outing == outing}
    last: dict[str, int] = {}
    for entry in book.entries:
        strikes_ours = entry.kind == "strike" and not ours.isdisjoint(entry.body["entries"])
        if entry.outing == outing or strikes_ours:
            last[entry.device] = max(entry.seq, last.get(entry.device, 0))
    return last


def signoff_digest(book: Book, outing: str, covers: Mapping[str, int]) -> str:
    """Return what a sign-off freezes: SHA-256 of the sorted hashes of what it covers, joined by newline.

    Parameters
    ----------
    book : Book
    outing : str
        Only entries of this outing are covered; tanks and papers go on without touching it.
    covers : mapping of str to int
        Last number of each device.

    Raises
    ------
    Refusal
        Where an entry that is to be covered is not in the book.
    """
    known = {(entry.device, entry.seq) for entry in book.entries}
    missing = [f"{seq} of {device}" for device, seq in covers.items() if (device, seq) not in known]
    if missing:
        raise Refusal(f"{outing} can't be signed up to {', '.join(missing)}: no such entry is in this book")
    hashes = [
        entry.hash
        for entry in book.entries
        if entry.outing == outing and entry.seq <= covers.get(entry.device, 0)
    ]
    return sha256_of("\n".join(sorted(hashes)))
