"""What the book says: where every animal is at any instant, and the whole account as facts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime

from haulbook.custody.book import Book
from haulbook.custody.entry import Entry
from haulbook.custody.facts import Account, Animals, Lengths, Short
from haulbook.custody.hauls import haul_order, hauls_of
from haulbook.custody.pasts import animals_of
from haulbook.custody.places import SINKS, SOURCES
from haulbook.custody.replay import Replay, outing_of, replay
from haulbook.custody.tally import Tally, tallied

Within = Callable[[str, str], bool]
"""Says whether the first taxon is the second or lies within it, as ``Pack.is_within`` does."""


def same_taxon(taxon: str, other: str) -> bool:
    """Say whether two keys are the same: what is known without a pack."""
    return taxon == other


@dataclass(frozen=True, slots=True)
class Holding:
    """How many of one kind a place holds.

    ``n`` is below zero for sources (what came out of them) and where a place gave more than it had.
    ``outing`` is None for tanks, and for animals that were born in holding or brought.
    """

    outing: str | None
    place: str
    taxon: str
    stage: str | None
    unit: str
    haul: str
    n: int


@dataclass(frozen=True, slots=True)
class Balances:
    """Every balance that is not zero, at one instant. All of them together are zero: that is the balance."""

    rows: tuple[Holding, ...]

    def of(self, **wanted: str | None) -> Balances:
        """Return the rows with these values, as ``of(place="bucket 1", taxon="cunner")``."""
        return Balances(
            tuple(
                row for row in self.rows if all(getattr(row, key) == value for key, value in wanted.items())
            )
        )

    @property
    def n(self) -> int:
        """All rows together."""
        return sum(row.n for row in self.rows)

    def by(self, *keys: str) -> dict[tuple[str | None, ...], int]:
        """Return the totals over everything but these keys, as ``by("place", "taxon")``."""
        totals: Counter[tuple[str | None, ...]] = Counter()
        for row in self.rows:
            totals[tuple(getattr(row, key) for key in keys)] += row.n
        return dict(totals)

    @property
    def inside(self) -> Balances:
        """What net, buckets, coolers and tanks hold."""
        return Balances(
            tuple(row for row in self.rows if row.place not in SINKS and row.place not in SOURCES)
        )


def balances(book: Book, at: datetime | None = None) -> Balances:
    """Return where every animal is.

    Parameters
    ----------
    book : Book
    at : datetime or None
        After everything up to and including this instant; None for after everything. What was struck never
        was, whenever it was struck; a redetermination holds from its own instant on.
    """
    return balances_of(tallied(book.standing(at))[0])


def balances_of(tally: Tally) -> Balances:
    """Return the balances of a tally."""
    rows = [
        Holding(place.outing, place.place, what.taxon, what.stage, what.unit, what.haul, n)
        for place, what, n in tally.rows()
    ]
    return Balances(tuple(sorted(rows, key=_row_order)))


def account_of(book: Book, until: datetime | None = None, *, within: Within = same_taxon) -> Account:
    """Read the whole book as facts.

    Parameters
    ----------
    book : Book
    until : datetime or None
        Only what happened up to and including this instant, as in :func:`balances`.
    within : callable
        ``within(taxon, other)``: whether ``taxon`` is ``other`` or lies within it. Decides which searches
        without result are withdrawn because the haul yielded one; without a pack, only the same key does.
    """
    standing = book.standing(until)
    return account_from(standing, replay(standing), within)


def account_from(standing: list[Entry], state: Replay, within: Within = same_taxon) -> Account:
    """Return the account of what stands, with the places as they were after it."""
    animals = [
        animals_of(place, lot, state.fate_now(place))
        for place, lot in state.lots()
        if outing_of(lot.what.haul)
    ]
    present = _present(standing)
    none = _none_said(standing)
    found = _found(animals, present)
    mentioned = [*found, *(haul for haul, _ in none)]
    return Account(
        hauls=hauls_of(standing, mentioned),
        animals=tuple(sorted(animals, key=_animals_order)),
        present=present,
        none_found=tuple(
            (haul, taxon)
            for haul, taxon in none
            if not any(within(one, taxon) for one in found.get(haul, ()))
        ),
        looked_for=_looked_for(standing),
        short=_short(state),
        lengths=tuple(
            sorted(
                (_lengths(entry) for entry in standing if entry.kind == "lengths"),
                key=lambda taken: haul_order(taken.haul),
            )
        ),
    )


def _present(standing: Iterable[Entry]) -> tuple[tuple[str, str], ...]:
    said = {(entry.body["haul"], entry.body["taxon"]) for entry in standing if entry.kind == "present"}
    return tuple(sorted(said, key=lambda pair: (haul_order(pair[0]), pair[1])))


def _none_said(standing: Iterable[Entry]) -> list[tuple[str, str]]:
    said = {
        (entry.body["haul"], taxon)
        for entry in standing
        if entry.kind == "searched-and-none"
        for taxon in entry.body["taxa"]
    }
    return sorted(said, key=lambda pair: (haul_order(pair[0]), pair[1]))


def _found(animals: Iterable[Animals], present: Iterable[tuple[str, str]]) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for haul, taxon in [*((lot.haul, lot.taxon) for lot in animals), *present]:
        found.setdefault(haul, set()).add(taxon)
    return found


def _looked_for(standing: Iterable[Entry]) -> dict[str, tuple[str, ...]]:
    looked: dict[str, tuple[str, ...]] = {}
    for entry in standing:
        if entry.kind == "outing-opened" and entry.outing is not None:
            before = looked.get(entry.outing, ())
            looked[entry.outing] = tuple(dict.fromkeys((*before, *entry.body["looked_for"])))
    return looked


def _short(state: Replay) -> tuple[Short, ...]:
    rows = [
        Short(
            place.outing,
            place.place,
            what.haul,
            what.taxon,
            what.stage,
            what.unit,
            sum(lot.n for lot in lots),
        )
        for (place, what), lots in state.owed.items()
        if lots and outing_of(what.haul)
    ]
    return tuple(sorted(rows, key=short_order))


def short_order(row: Short) -> tuple[str, str, str, str, str, str]:
    """Sort key of what was taken from where it had never arrived; tanks last."""
    return row.outing or "~", row.place, row.haul, row.taxon, row.stage or "", row.unit


def _lengths(entry: Entry) -> Lengths:
    body = entry.body
    rest = {key: body[key] for key in ("stage", "sex", "clipped", "tissue", "voucher_no") if key in body}
    return Lengths(
        body["haul"],
        body["taxon"],
        body["length_type"],
        tuple(body["mm"]),
        entry.id,
        g=tuple(body.get("g", ())),
        **rest,
    )


def _row_order(row: Holding) -> tuple[bool, str, str, str, str, str, str]:
    return row.outing is None, row.outing or "", row.place, row.haul, row.taxon, row.stage or "", row.unit


def _animals_order(lot: Animals) -> tuple[object, ...]:
    return (
        haul_order(lot.haul),
        lot.taxon,
        lot.stage or "",
        lot.unit,
        lot.fate,
        lot.place,
        lot.called.sort_key(),
        lot.entries,
        lot.n,
        lot.length_mm or 0,
        lot.mark or "",
    )
