"""What stands open in an outing, and the ways in which each thing can be settled. Nothing is written here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from haulbook.custody.closing import OpenThing
from haulbook.custody.discrepancy import Discrepancy
from haulbook.custody.entry import Entry
from haulbook.custody.facts import Animals
from haulbook.custody.fates import Fate
from haulbook.custody.ledger import Holding
from haulbook.custody.lines import stage_and_unit
from haulbook.custody.places import is_tank
from haulbook.custody.reading_outing import OutingReading
from haulbook.office.pen import called

NET = "net"
LEADS = ("confirm",)
"""Ways that only the lead takes."""
MOVES = {"back": "back", "dead-back": "dead-back", "dead-kept": "dead-kept", "lost": "lost"}
"""Ways that move animals, and where to."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way to settle something.

    Attributes
    ----------
    kind : str
        ``back`` ``dead-back`` ``dead-kept`` ``lost`` ``tank`` ``fewer`` ``arrived`` ``strike`` ``stand`` ``confirm``
        ``keep`` ``not-left`` ``name`` ``sign``.
    about : tuple of str
        Ids of the entries that it strikes, or whose numbers it changes.
    said : str
        Those entries as they were called.
    needs : tuple of str
        What a person has to say with it: ``n`` ``cause`` ``why`` ``tank``.
    """

    kind: str
    about: tuple[str, ...] = ()
    said: str = ""
    needs: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """Name under which a form sends it."""
        return " ".join((self.kind, *self.about))


@dataclass(frozen=True, slots=True)
class Matter:
    """One thing that stands open, as a page shows it.

    Attributes
    ----------
    key : str
    kind : str
        ``animals`` ``unaccounted`` ``fate-unknown``, or the kind of a discrepancy.
    blocks : bool
        Whether the outing can't be closed with it.
    words : str
        As custody says it, with keys in place of names.
    n : int
        Animals it is about.
    place : str
        Where animals stand; empty for others.
    held : tuple of Holding
        The animals, kind by kind.
    entries : tuple of str
        Ids of the entries behind it.
    ways : tuple of Way
    kept : bool
        Whether the animals stand in a place that is to keep: they lack a tank, and are no difference.
    """

    key: str
    kind: str
    blocks: bool
    words: str
    n: int
    place: str
    held: tuple[Holding, ...]
    entries: tuple[str, ...]
    ways: tuple[Way, ...]
    kept: bool = False

    def way(self, key: str) -> Way | None:
        """Return the way of a name."""
        return next((way for way in self.ways if way.key == key), None)


def needed(reading: OutingReading, things: Iterable[OpenThing]) -> frozenset[str]:
    """Return the ids of the entries that :func:`matters` asks for."""
    found = {key for thing in things for key in thing.entries}
    places = {row.place for row in _held(reading)}
    for lot in reading.account.animals:
        if lot.place in places:
            found.update(lot.entries)
    return frozenset(found)


def matters(
    reading: OutingReading, things: Iterable[OpenThing], by_id: Mapping[str, Entry]
) -> tuple[Matter, ...]:
    """Return what stands open, with its ways: first what stops closing.

    Animals in the net stand kind by kind; those in a bucket or cooler stand together, for they are emptied together.

    Parameters
    ----------
    reading : OutingReading
    things : iterable of OpenThing
        As ``custody.reading_outing.open_of`` gives them.
    by_id : mapping of id to Entry
        At least those of :func:`needed`.
    """
    found = {one.key: one for one in reading.discrepancies}
    made = list(_animals(reading, by_id))
    made += [
        _other(thing, found.get(thing.key), reading, by_id) for thing in things if thing.kind != "animals"
    ]
    return tuple(sorted(made, key=lambda one: not one.blocks))


def _held(reading: OutingReading) -> list[Holding]:
    """Return what net, buckets and coolers of this outing hold."""
    return [
        row
        for row in reading.balances.inside.rows
        if row.outing == reading.outing and row.n > 0 and not is_tank(row.place)
    ]


def _animals(reading: OutingReading, by_id: Mapping[str, Entry]) -> Iterator[Matter]:
    groups: dict[tuple[str, ...], list[Holding]] = {}
    for row in _held(reading):
        own = (row.taxon, row.stage or "-", row.unit) if row.place == NET else ()
        groups.setdefault((row.place, *own), []).append(row)
    for (place, *kind), rows in groups.items():
        lots = [lot for lot in reading.account.animals if lot.place == place and _among(lot, rows)]
        kept = any(lot.fate is Fate.RETAINED_ALIVE for lot in lots)
        entries = tuple(dict.fromkeys(key for lot in lots for key in lot.entries))
        yield Matter(
            " ".join([f"animals:{reading.outing}", place, *kind]),
            "animals",
            True,
            "",
            sum(row.n for row in rows),
            place,
            tuple(rows),
            entries,
            tuple(_ways_of_animals(rows, kept, entries, by_id)),
            kept,
        )


def _among(lot: Animals, rows: Iterable[Holding]) -> bool:
    return any(
        (lot.taxon, lot.stage, lot.unit, lot.haul) == (row.taxon, row.stage, row.unit, row.haul)
        for row in rows
    )


def _ways_of_animals(
    rows: list[Holding], kept: bool, entries: Iterable[str], by_id: Mapping[str, Entry]
) -> Iterator[Way]:
    if kept:
        yield Way("tank", needs=("tank",))
    yield Way("back")
    yield Way("dead-back")
    if len(rows) == 1:
        yield from _ways_of_calls(rows[0], entries, by_id)
    yield Way("dead-kept")
    if not kept:
        yield Way("tank", needs=("tank",))
    yield Way("lost", needs=("cause",))


def _ways_of_calls(row: Holding, entries: Iterable[str], by_id: Mapping[str, Entry]) -> Iterator[Way]:
    """Yield the calls whose number may have been too high; which one it was is asked, not guessed."""
    for key in entries:
        entry = by_id.get(key)
        if (
            entry is not None
            and entry.kind == "move"
            and any(_brought(line, row) for line in entry.body["lines"])
        ):
            yield Way("fewer", (key,), called(entry))


def _brought(line: Mapping[str, object], row: Holding) -> bool:
    stage, unit = stage_and_unit(line)
    return (
        (line["taxon"], stage, unit, line["haul"]) == (row.taxon, row.stage, row.unit, row.haul)
        and line["from"] == "sea"
        and line["to"] == row.place
        and int(f"{line['n']}") >= row.n
        and "subsample" not in line
    )


def _other(
    thing: OpenThing, found: Discrepancy | None, reading: OutingReading, by_id: Mapping[str, Entry]
) -> Matter:
    kind = found.kind if found else thing.key.partition(":")[0]
    make = _WAYS.get(kind, _ways_of_devices)
    entries = [by_id[key] for key in thing.entries if key in by_id]
    n = thing.n
    if found and found.expected is not None and found.found is not None:
        n = abs(found.found - found.expected)
    return Matter(
        thing.key,
        kind,
        thing.blocks,
        thing.words,
        n,
        "",
        (),
        thing.entries,
        tuple(make(thing, found, entries)),
    )


def _strikes(entries: Iterable[Entry]) -> Iterator[Way]:
    for entry in entries:
        yield Way("strike", (entry.id,), f"{called(entry)}, {entry.at[11:16] or entry.at}", ("why",))


def _ways_unaccounted(thing: OpenThing, found: Discrepancy | None, entries: list[Entry]) -> Iterator[Way]:
    left = [one for one in entries if one.kind == "place" and one.body["act"] == "left-beach"]
    yield Way("keep")
    for one in left:
        yield Way("not-left", (one.id,), called(one))


def _ways_unknown(thing: OpenThing, found: Discrepancy | None, entries: list[Entry]) -> Iterator[Way]:
    yield Way("confirm")
    yield from _strikes(
        one for one in entries if any(line["to"] == "lost" for line in one.body.get("lines", ()))
    )


def _ways_below_zero(thing: OpenThing, found: Discrepancy | None, entries: list[Entry]) -> Iterator[Way]:
    yield Way("arrived")
    yield from _strikes(entries)


def _ways_count(thing: OpenThing, found: Discrepancy | None, entries: list[Entry]) -> Iterator[Way]:
    few = found is not None and (found.found or 0) < (found.expected or 0)
    yield Way("lost", needs=("cause",)) if few else Way("arrived")
    if few:
        yield Way("back")
        yield Way("dead-back")
    yield Way("recount", needs=("n",))
    yield from _strikes(entries)


def _ways_twice(thing: OpenThing, found: Discrepancy | None, entries: list[Entry]) -> Iterator[Way]:
    yield Way("stand", needs=("why",))
    by_device: dict[str, list[Entry]] = {}
    for entry in entries:
        by_device.setdefault(entry.device, []).append(entry)
    for device, written in by_device.items():
        words = "; ".join(f"{called(one)}" for one in written)
        yield Way("strike", tuple(one.id for one in written), f"{device}: {words}", ("why",))


def _ways_either(thing: OpenThing, found: Discrepancy | None, entries: list[Entry]) -> Iterator[Way]:
    yield Way("stand", needs=("why",))
    yield from _strikes(one for one in entries if one.kind != "move")


def _ways_late(thing: OpenThing, found: Discrepancy | None, entries: list[Entry]) -> Iterator[Way]:
    if "signed without it" in thing.words:
        yield Way("sign")
    else:
        yield Way("stand", needs=("why",))
    yield from _strikes(entries[:1])


def _ways_name(thing: OpenThing, found: Discrepancy | None, entries: list[Entry]) -> Iterator[Way]:
    yield Way("name")
    yield Way("stand", needs=("why",))


def _ways_of_devices(thing: OpenThing, found: Discrepancy | None, entries: list[Entry]) -> Iterator[Way]:
    yield Way("stand", needs=("why",))


_WAYS = {
    "unaccounted": _ways_unaccounted, "fate-unknown": _ways_unknown, "below-zero": _ways_below_zero,
    "count-differs": _ways_count, "double-count": _ways_twice, "started-twice": _ways_either,
    "zero-and-count": _ways_either, "late-line": _ways_late, "name-open": _ways_name,
}  # fmt: skip
