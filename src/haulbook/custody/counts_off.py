"""Discrepancies of numbers: what the book says against what can be, what was counted, what was looked for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from haulbook.custody.book import in_time
from haulbook.custody.discrepancy import Discrepancy
from haulbook.custody.entry import Entry
from haulbook.custody.facts import Account
from haulbook.custody.flows import flows, in_words, kind_in_words
from haulbook.custody.ledger import Within
from haulbook.custody.lines import stage_and_unit
from haulbook.custody.lots import PlaceKey
from haulbook.custody.replay import outing_of, own_place, place_of
from haulbook.custody.tally import Count, Side, counted


def below_zero(standing: list[Entry], short: Mapping[Side, int]) -> Iterator[Discrepancy]:
    """Yield the places that gave more than they had, of those handed in with what they hold."""
    for side, flow in flows(standing, short).items():
        place, what = side
        yield Discrepancy(
            "below-zero",
            " ".join(
                [place.outing or "station", place.place, what.taxon, what.stage or "-", what.unit, what.haul]
            ),
            f"{in_words(place)}: {flow.arrived} {kind_in_words(what)} arrived and {flow.left} left, "
            f"{-short[side]} too many: enter what arrived, or strike the line that took too many",
            place.outing or outing_of(what.haul),
            _ids(*flow.arriving, *flow.leaving),
            expected=0,
            found=short[side],
        )


def count_differs(standing: Iterable[Entry], counts: Iterable[Count]) -> Iterator[Discrepancy]:
    """Yield the counts that differ from the book, less what was entered as lost afterwards."""
    lost = _lost(standing)
    for entry, expected in counts:
        missing = expected - entry.body["n"]
        if missing and not 0 < missing <= _lost_after(entry, lost.get(own_place(entry), ())):
            yield _count_differs(entry, expected, entry.body["n"])


Loss = tuple[Entry, Mapping[str, Any]]
"""A move with its line to ``lost``."""


def _lost(standing: Iterable[Entry]) -> dict[PlaceKey, list[Loss]]:
    found: dict[PlaceKey, list[Loss]] = {}
    for entry in standing:
        if entry.kind == "move":
            for line in entry.body["lines"]:
                if line["to"] == "lost":
                    found.setdefault(place_of(entry, line["haul"], line["from"]), []).append((entry, line))
    return found


def _lost_after(count: Entry, lost: Iterable[Loss]) -> int:
    """Return how many were entered as lost from there after the count: so a shortage is mended."""
    return sum(
        line["n"]
        for entry, line in lost
        if in_time(entry) > in_time(count) and counted(count, line["taxon"], *stage_and_unit(line))
    )


def _count_differs(entry: Entry, expected: int, found: int) -> Discrepancy:
    place = own_place(entry)
    stage = f" ({entry.body['stage']})" if "stage" in entry.body else ""
    few = found < expected
    mend = "say where they went (lost, with its cause)" if few else "enter the line that was never called"
    return Discrepancy(
        "count-differs",
        entry.id,
        f"{in_words(place)}: the book says {expected} {entry.body['taxon']}{stage}, "
        f"{entry.by} found {found} at {entry.at}: "
        f"{abs(found - expected)} too {'few' if few else 'many'}; {mend}, or strike the count",
        place.outing,
        (entry.id,),
        expected,
        found,
    )


def zero_and_count(standing: list[Entry], account: Account, within: Within) -> Iterator[Discrepancy]:
    """Yield the searches that found none in a haul that yielded one: the zero is withdrawn, and said so."""
    searches: dict[tuple[str, str], list[str]] = {}
    for entry in standing:
        if entry.kind == "searched-and-none":
            for taxon in entry.body["taxa"]:
                searches.setdefault((entry.body["haul"], taxon), []).append(entry.id)
    yielded: dict[str, list[tuple[str, int, tuple[str, ...]]]] = {}
    for lot in account.animals:
        yielded.setdefault(lot.haul, []).append((lot.taxon, lot.n, lot.entries))
    for haul, taxon in account.present:
        yielded.setdefault(haul, []).append((taxon, 0, ()))
    for (haul, taxon), ids in searches.items():
        found = [one for one in yielded.get(haul, ()) if within(one[0], taxon)]
        if found:
            n = sum(count for _, count, _ in found)
            names = ", ".join(dict.fromkeys(name for name, _, _ in found))
            yield Discrepancy(
                "zero-and-count",
                f"{haul} {taxon}",
                f"{haul} was searched for {taxon} and none found, and it yielded {n or 'some'} ({names}): "
                "the zero is withdrawn. Strike the search, or settle it",
                haul.rpartition("/")[0],
                tuple(dict.fromkeys([*ids, *(one for _, _, entries in found for one in entries)])),
                expected=0,
                found=n,
            )


def name_open(account: Account) -> Iterator[Discrepancy]:
    """Yield the names that no taxon stands for yet, once an outing."""
    named: dict[tuple[str, str], list[tuple[int, tuple[str, ...]]]] = {}
    for lot in account.animals:
        if lot.taxon.startswith("?"):
            named.setdefault((lot.haul.rpartition("/")[0], lot.taxon), []).append((lot.n, lot.entries))
    for (outing, name), lots in named.items():
        n = sum(count for count, _ in lots)
        yield Discrepancy(
            "name-open",
            f"{outing} {name}",
            f"{n} {name[1:]!r} of {outing} {'has' if n == 1 else 'have'} no taxon yet: "
            "redetermine, or settle the name",
            outing,
            tuple(dict.fromkeys(one for _, entries in lots for one in entries)),
            found=n,
        )


def _ids(*entries: Entry) -> tuple[str, ...]:
    return tuple(dict.fromkeys(entry.id for entry in entries))
