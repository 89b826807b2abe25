"""Which readings an entry can change: so that a store of readings makes only those anew.

A reading is named by its outing, or ``TANKS`` for what belongs to no outing (``custody.reading_tanks``). An answer
may name more than will change, never less.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator

from haulbook.custody.entry import Entry
from haulbook.custody.ids import is_id
from haulbook.custody.places import is_tank
from haulbook.custody.replay import outing_of

TANKS = "/tanks"
"""Name of the reading of what belongs to no outing. No outing can be called so: their names have no slash."""

DECIDES_FOR_GUESTS = ("place", "outing-opened", "strike")
"""Kinds that decide what becomes of all animals in an outing's buckets, those of another outing too."""

Subjects = Collection[str]


def _none(_: str) -> Subjects:
    return ()


def touches(
    entry: Entry, subjects_of_id: Callable[[str], Subjects], guests_of: Callable[[str], Subjects] = _none
) -> frozenset[str]:
    """Return the readings that an entry can change.

    A move or redetermination touches the outings of the hauls that it names, whichever outing or none it was
    written in; what happens in a tank without naming a haul (a recount, care, a reading) touches the tanks only.

    Parameters
    ----------
    entry : Entry
    subjects_of_id : callable
        What the entry of an id touches; empty while that entry is not here. Asked for what a strike or a
        ``settled`` speaks of, so ask again for those when the entry comes (see :func:`speaks_of`).
    guests_of : callable
        The other outings whose animals some entry of this outing names, nearly always none. Asked where an
        entry decides what becomes of the animals in an outing's buckets.
    """
    found = {entry.outing} if entry.outing is not None else set()
    found.update(_by_kind(entry))
    for one in speaks_of(entry):
        found.update(subjects_of_id(one))
    if entry.kind in DECIDES_FOR_GUESTS:
        found.update(guest for one in tuple(found) for guest in guests_of(one))
    return frozenset(filter(None, found))


def speaks_of(entry: Entry) -> frozenset[str]:
    """Return the ids of the entries that a strike names, or that a ``settled`` answers for."""
    if entry.kind == "strike":
        return frozenset(entry.body["entries"])
    if entry.kind == "settled":
        return frozenset(filter(is_id, entry.body["key"].partition(":")[2].split(" ")[:1]))
    return frozenset()


def hosts(entries: Iterable[Entry], outing: str) -> frozenset[str]:
    """Return the other outings in whose buckets animals of an outing were put.

    What becomes of those animals is decided by ``place`` and ``outing-opened`` entries of these outings too.

    Parameters
    ----------
    entries : iterable of Entry
        All that touch the outing.
    outing : str
    """
    return frozenset(
        entry.outing
        for entry in entries
        if entry.outing not in (None, outing) and outing in (outing_of(haul) for haul in _hauls_of(entry))
    )


def _by_kind(entry: Entry) -> Iterator[str]:
    body = entry.body
    for haul in _hauls_of(entry):
        yield outing_of(haul) or TANKS
    match entry.kind:
        case "move":
            if any(is_tank(line[end]) for line in body["lines"] for end in ("from", "to")):
                yield TANKS
        case "redetermination":
            if any(is_tank(line["place"]) for line in body["lines"]):
                yield TANKS
        case "counted-again" | "place" | "care" | "reading" | "remark":
            if is_tank(body.get("place", "")):
                yield TANKS
            if "haul" in body:
                yield outing_of(body["haul"]) or TANKS
        case "settled":
            yield from _settled(body["key"])
        case "paper" if entry.outing is None:
            yield TANKS


def _hauls_of(entry: Entry) -> Iterator[str]:
    """Yield the hauls whose animals an entry moves or renames."""
    if entry.kind in ("move", "redetermination"):
        for line in entry.body["lines"]:
            yield line["haul"]


def _settled(key: str) -> Iterator[str]:
    """Yield the readings in which a discrepancy shows, from the words of its key; see also speaks_of."""
    kind, _, subject = key.partition(":")
    words = subject.split(" ")
    match kind:
        case "below-zero":
            yield TANKS if words[0] == "station" else words[0]
            yield outing_of(words[-1]) or TANKS
        case "double-count" | "started-twice" | "zero-and-count":
            yield outing_of(words[0]) or TANKS
        case "late-line" if len(words) > 1:
            yield outing_of(words[1]) or words[1]
        case "name-open":
            yield words[0]
