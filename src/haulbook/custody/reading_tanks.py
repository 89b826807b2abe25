"""What belongs to no outing: the tanks, animals born in holding or brought, and the correspondence.

A tank is read by sums, not by following each animal: what it holds by taxon, stage, unit and haul, and since
when. The past of wild animals in it is in the account of their outing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from haulbook.custody.book import Book
from haulbook.custody.counts_off import below_zero, count_differs
from haulbook.custody.discrepancies import marked
from haulbook.custody.discrepancy import Discrepancy
from haulbook.custody.entry import Entry
from haulbook.custody.facts import Paper
from haulbook.custody.ledger import Balances, balances_of
from haulbook.custody.lines import stage_and_unit
from haulbook.custody.lots import What
from haulbook.custody.papers import papers_in
from haulbook.custody.pasts import LATER
from haulbook.custody.places import is_tank
from haulbook.custody.replay import own_place, was_and_now, what_of
from haulbook.custody.tally import Count, tallied
from haulbook.custody.when import When

EventKind = Literal["arrived", "left", "died", "killed", "given", "back", "lost", "renamed", "counted"]


@dataclass(frozen=True, slots=True)
class Held:
    """What a tank holds of one kind.

    Attributes
    ----------
    tank : str
        The place, as ``tank q1``.
    taxon, stage, unit : str
        ``stage`` is None where nobody said.
    haul : str
        Where they came from; the id of an entry for animals that were born in holding or brought.
    n : int
        At least 1.
    since, latest : When
        When the tank last went from none of this kind to some, and when the last of them came. Those that got
        another name in the tank take along since when they are in it.
    """

    tank: str
    taxon: str
    stage: str | None
    unit: str
    haul: str
    n: int
    since: When
    latest: When


@dataclass(frozen=True, slots=True)
class TankEvent:
    """Something that happened in a tank to animals of one kind.

    Attributes
    ----------
    tank : str
    kind : str
        ``arrived`` from or ``left`` for ``other``, another inside place or source; ``died``, ``killed``, ``given``,
        ``back`` or ``lost``; ``renamed`` from the taxon ``other``; ``counted``, where the book said ``expected``.
    at : When
    by, entry : str
        Person's key; id of the entry.
    taxon, unit : str
    stage, haul, other, why : str or None
        ``haul`` is None for a count, which is over all hauls; ``why`` is the cause or reason, as said.
    n : int
    expected : int or None
    """

    tank: str
    kind: EventKind
    at: When
    by: str
    entry: str
    taxon: str
    stage: str | None
    unit: str
    n: int
    haul: str | None = None
    other: str | None = None
    why: str | None = None
    expected: int | None = None


@dataclass(frozen=True, slots=True)
class TankReading:
    """What the book says of what belongs to no outing.

    Attributes
    ----------
    holdings : tuple of Held
        By tank, taxon, stage, unit and haul.
    events : tuple of TankEvent
        Oldest first.
    balances : Balances
        Of tanks, and of the sources and sinks of animals that came out of no haul.
    discrepancies : tuple of Discrepancy
        Tanks below zero and recounts that differ. Those of a haul's animals are its outing's too.
    papers : tuple of Paper
        Of the correspondence, what was written in no outing.
    """

    holdings: tuple[Held, ...]
    events: tuple[TankEvent, ...]
    balances: Balances
    discrepancies: tuple[Discrepancy, ...]
    papers: tuple[Paper, ...]


def read_tanks(entries: Iterable[Entry]) -> TankReading:
    """Read the tank book.

    Parameters
    ----------
    entries : iterable of Entry
        At least all of which :func:`haulbook.custody.touching.touches` names ``TANKS``. More change nothing.
    """
    standing = Book.of(entries).standing()
    tally, counts = tallied(standing)
    counts = tuple(count for count in counts if own_place(count.entry).outing is None)
    short = {
        (place, what): n
        for (place, what), n in tally.below_zero().items()
        if place.outing is None  # tanks, and places of animals that came out of no haul
    }
    found = [*below_zero(standing, short), *count_differs(standing, counts)]
    return TankReading(
        _holdings(standing),
        tuple(_events(standing, counts)),
        Balances(tuple(row for row in balances_of(tally).rows if row.outing is None)),
        marked(found, standing),
        papers_in(entry for entry in standing if entry.outing is None),
    )


class _Stays:
    """What tanks hold, kind by kind, with since when; a kind that is gone keeps no date."""

    def __init__(self) -> None:
        self.held: dict[tuple[str, What], Held] = {}
        self._n: dict[tuple[str, What], int] = {}

    def come(self, tank: str, what: What, n: int, at: When, taken: Held | None = None) -> None:
        """Let animals come; ``taken`` says since when those are here that only got another name."""
        before = self._n.get((tank, what), 0)
        self._n[tank, what] = now = before + n
        since, latest = (taken.since, taken.latest) if taken else (at, at)
        here = self.held.get((tank, what))
        if now <= 0:
            return
        if here is None:
            self.held[tank, what] = Held(tank, *what, now, since, latest)
            return
        earlier = min(here.since, since, key=When.sort_key)
        later = max(here.latest, latest, key=When.sort_key)
        self.held[tank, what] = replace(here, n=now, since=earlier, latest=later)

    def go(self, tank: str, what: What, n: int) -> Held | None:
        """Let animals go, and return what was held of their kind before."""
        self._n[tank, what] = now = self._n.get((tank, what), 0) - n
        before = self.held.pop((tank, what), None)
        if before is not None and now > 0:
            self.held[tank, what] = replace(before, n=now)
        return before


def _holdings(standing: Iterable[Entry]) -> tuple[Held, ...]:
    stays = _Stays()
    for entry in standing:
        if entry.kind == "move":
            for line in entry.body["lines"]:
                if is_tank(line["from"]):
                    stays.go(line["from"], what_of(line), line["n"])
                if is_tank(line["to"]):
                    stays.come(line["to"], what_of(line), line["n"], entry.when)
        elif entry.kind == "redetermination":
            for line in entry.body["lines"]:
                if is_tank(line["place"]):
                    was, now = was_and_now(line)
                    taken = stays.go(line["place"], was, line["n"])
                    stays.come(line["place"], now, line["n"], entry.when, taken)
    return tuple(
        sorted(
            stays.held.values(), key=lambda one: (one.tank, one.taxon, one.stage or "", one.unit, one.haul)
        )
    )


def _events(standing: Iterable[Entry], counts: Iterable[Count]) -> Iterator[TankEvent]:
    expected = {count.entry: count.expected for count in counts}
    for entry in standing:
        if entry.kind == "move":
            for line in entry.body["lines"]:
                yield from _moved(entry, line)
        elif entry.kind == "redetermination":
            for line in entry.body["lines"]:
                if is_tank(line["place"]):
                    was, now = was_and_now(line)
                    why = entry.body["why"]
                    yield _event(entry, line["place"], "renamed", now, line["n"], other=was.taxon, why=why)
        elif entry in expected and is_tank(entry.body["place"]):
            body = entry.body
            kind = (body["taxon"], *stage_and_unit(body))
            yield TankEvent(
                body["place"], "counted", entry.when, entry.by, entry.id, *kind, body["n"],
                expected=expected[entry],
            )  # fmt: skip


def _moved(entry: Entry, line: Mapping[str, Any]) -> Iterator[TankEvent]:
    start, end, what, why = line["from"], line["to"], what_of(line), line.get("cause")
    if is_tank(start):
        kind: EventKind = LATER.get(end, "left")
        yield _event(entry, start, kind, what, line["n"], other=end, why=why)
    if is_tank(end):
        yield _event(entry, end, "arrived", what, line["n"], other=start, why=why)


def _event(
    entry: Entry, tank: str, kind: EventKind, what: What, n: int, *, other: str, why: str | None
) -> TankEvent:
    return TankEvent(
        tank,
        kind,
        entry.when,
        entry.by,
        entry.id,
        what.taxon,
        what.stage,
        what.unit,
        n,
        what.haul,
        other,
        why,
    )
