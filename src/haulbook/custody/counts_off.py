"""Discrepancies of numbers: what the book says against what can be, what was counted, what was looked for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from haulbook.custody.book import in_time
from haulbook.custody.discrepancy import Discrepancy
from haulbook.custody.entry import Entry
from haulbook.custody.facts import Account
from haulbook.custody.flows import flows, in_words, kind_in_words
from haulbook.custody.ledger import Within
from haulbook.custody.lines import stage_and_unit
from haulbook.custody.replay import Replay, own_place, place_of


class Count(NamedTuple):
    """Somebody counted again, and what the book said was there at that moment."""

    entry: Entry
    expected: int


def below_zero(standing: list[Entry], state: Replay) -> Iterator[Discrepancy]:
    """Yield the places that gave more than they had."""
    short = {side: n for side in state.owed if (n := state.count(*side)) < 0}
    for side, flow in flows(standing, short).items():
        place, what = side
        yield Discrepancy(
            "below-zero",
            " ".join(
                [place.outing or "station", place.place, what.taxon, what.stage or "-", what.unit, what.haul]
            ),
            f"{in_words(place)}: {flow.arrived} {kind_in_words(what)} arrived and {flow.left} left, "
            f"{-short[side]} too many: enter what arrived, or strike the line that took too many",
            place.outing or what.haul.rpartition("/")[0] or None,
            _ids(*flow.arriving, *flow.leaving),
            expected=0,
            found=short[side],
        )


def in_the_book(entry: Entry, state: Replay) -> Count:
    """Return a count with what the book says is in the place now, over all hauls."""
    place = own_place(entry)
    kinds = {*state.held.get(place, ()), *(what for owing, what in state.owed if owing == place)}
    counted = [what for what in kinds if _counted(entry, what.taxon, what.stage, what.unit)]
    return Count(entry, sum(state.count(place, what) for what in counted))


def count_differs(standing: list[Entry], counts: Iterable[Count]) -> Iterator[Discrepancy]:
    """Yield the counts that differ from the book, less what was entered as lost afterwards."""
    for entry, expected in counts:
        missing = expected - entry.body["n"]
        if missing and not 0 < missing <= _lost_after(entry, standing):
            yield _count_differs(entry, in_words(own_place(entry)), expected, entry.body["n"])


def _counted(entry: Entry, taxon: str, stage: str | None, unit: str) -> bool:
    """Say whether somebody who counted again counted these; without a stage they counted all stages."""
    said_stage, said_unit = stage_and_unit(entry.body)
    return taxon == entry.body["taxon"] and unit == said_unit and said_stage in (None, stage)


def _lost_after(count: Entry, standing: Iterable[Entry]) -> int:
    """Return how many were entered as lost from there after the count: so a shortage is mended."""
    return sum(
        line["n"]
        for entry in standing
        if entry.kind == "move" and in_time(entry) > in_time(count)
        for line in entry.body["lines"]
        if line["to"] == "lost"
        and place_of(entry, line["haul"], line["from"]) == own_place(count)
        and _counted(count, line["taxon"], *stage_and_unit(line))
    )


def _count_differs(entry: Entry, place: str, expected: int, counted: int) -> Discrepancy:
    stage = f" ({entry.body['stage']})" if "stage" in entry.body else ""
    few = counted < expected
    mend = "say where they went (lost, with its cause)" if few else "enter the line that was never called"
    return Discrepancy(
        "count-differs",
        entry.id,
        f"{place}: the book says {expected} {entry.body['taxon']}{stage}, "
        f"{entry.by} found {counted} at {entry.at}: "
        f"{abs(counted - expected)} too {'few' if few else 'many'}; {mend}, or strike the count",
        entry.outing,
        (entry.id,),
        expected,
        counted,
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
