"""Let everything that stands in a book happen again, in the order in which it happened.

Order is by instant, then device and number, whatever the order in which entries arrived.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from haulbook.custody.entry import Entry
from haulbook.custody.fates import Fate
from haulbook.custody.lines import stage_and_unit
from haulbook.custody.lots import Lot, PlaceKey, Places, Step, What
from haulbook.custody.places import SINKS, SOURCES, fate_in, is_tank


class Replay(Places):
    """The places after everything happened, and what each bucket is for."""

    def __init__(self) -> None:
        super().__init__()
        self.purposes: dict[PlaceKey, str] = {}
        self._off_beach: set[PlaceKey] = set()

    def fate_now(self, place: PlaceKey) -> Fate:
        """Return the fate of animals if ``place`` left the beach now."""
        return fate_in(place.place, self.purposes.get(place))

    def opened(self, entry: Entry) -> None:
        """Give the buckets the purposes of the plan, until somebody says another."""
        buckets = (entry.body["plan"] or {}).get("buckets")
        for bucket in buckets if isinstance(buckets, list) else ():
            if isinstance(bucket, dict) and "place" in bucket and "purpose" in bucket:
                self.purposes[PlaceKey(entry.outing, str(bucket["place"]))] = str(bucket["purpose"])

    def move(self, entry: Entry) -> None:
        """Let the lines of a move happen."""
        for line in entry.body["lines"]:
            what = what_of(line)
            place = place_of(entry, line["haul"], line["to"])
            cut_off = is_tank(line["to"]) or place in self._off_beach
            step = Step(entry, line, self.fate_now(place) if cut_off else None)
            lots = self._from(entry, line, what)
            for lot in lots:
                lot.tell(line)
                lot.steps = (*lot.steps, step)
            self.put(place, what, lots)

    def redetermination(self, entry: Entry) -> None:
        """Let animals become another taxon or stage where they are, and so what came out of the sea."""
        for line in entry.body["lines"]:
            was, now = was_and_now(line)
            place = place_of(entry, line["haul"], line["place"])
            lots = self.take(place, was, line["n"], {})
            for lot in lots:
                lot.steps = (*lot.steps, Step(entry, line, None))
            self.put(place, now, lots)

    def place(self, entry: Entry) -> None:
        """Let a place be set up, change its purpose, or leave the beach: the cut-off of what it holds."""
        place = own_place(entry)
        if "purpose" in entry.body:
            self.purposes[place] = entry.body["purpose"]
        if entry.body["act"] == "set-up":
            self._off_beach.discard(place)
        elif entry.body["act"] == "left-beach":
            self._off_beach.add(place)
            step = Step(entry, None, self.fate_now(place))
            for lots in self.held.get(place, {}).values():
                for lot in lots:
                    lot.steps = (*lot.steps, step)

    def _from(self, entry: Entry, line: Mapping[str, Any], what: What) -> list[Lot]:
        if line["from"] in SOURCES:
            return [Lot(line["n"], what)]
        return self.take(place_of(entry, line["haul"], line["from"]), what, line["n"], line)


def replay(standing: Iterable[Entry]) -> Replay:
    """Return the places after all of these entries.

    Parameters
    ----------
    standing : iterable of Entry
        As :meth:`Book.standing` gives them: nothing struck, oldest first.
    """
    entries = list(standing)
    state = Replay()
    happens = {"move": state.move, "redetermination": state.redetermination, "place": state.place}
    for entry in entries:
        if entry.kind == "outing-opened":
            state.opened(entry)
    for entry in entries:
        if entry.kind in happens:
            happens[entry.kind](entry)
    return state


def what_of(said: Mapping[str, Any]) -> What:
    """Return what a line speaks of."""
    stage, unit = stage_and_unit(said)
    return What(said["taxon"], stage, unit, said["haul"])


def was_and_now(line: Mapping[str, Any]) -> tuple[What, What]:
    """Return what the animals of a redetermination were, and what they are."""
    return what_of({**line, **line["was"]}), what_of({**line, **line["now"]})


def outing_of(haul: str) -> str | None:
    """Return the outing of a haul; None for animals that were born in holding or brought."""
    return haul.rpartition("/")[0] or None


def place_of(entry: Entry, haul: str, place: str) -> PlaceKey:
    """Return whose place a line means.

    A tank is the station's; a sink belongs to the haul's outing; net, buckets and coolers belong to the
    outing of the entry, or of the haul where the entry has none.
    """
    if is_tank(place):
        return PlaceKey(None, place)
    if place in SINKS:
        return PlaceKey(outing_of(haul), place)
    return PlaceKey(entry.outing or outing_of(haul), place)


def own_place(entry: Entry) -> PlaceKey:
    """Return the place that an entry is about as a whole, as one that sets it up or counts what is in it."""
    place = entry.body["place"]
    return PlaceKey(None if is_tank(place) else entry.outing, place)
