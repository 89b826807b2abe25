"""How many of each kind every place holds: the sum of the lines that stand, whoever they speak of.

Which animals they are, with which past, is the replay's to say (``custody.replay``). A sum needs no order, so
the tally of some entries is exact for every place whose lines are all among them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from haulbook.custody.entry import Entry
from haulbook.custody.lines import stage_and_unit
from haulbook.custody.lots import PlaceKey, What
from haulbook.custody.places import SOURCES
from haulbook.custody.replay import outing_of, own_place, place_of, was_and_now, what_of

Side = tuple[PlaceKey, What]
_NONE: Mapping[What, int] = {}


class Count(NamedTuple):
    """Somebody counted again, and what the book says was there at that moment."""

    entry: Entry
    expected: int


class Tally:
    """What places hold after some entries, and what came out of the sources."""

    def __init__(self) -> None:
        self._held: dict[PlaceKey, dict[What, int]] = {}
        self._drawn: Counter[tuple[str, What]] = Counter()
        self._renamed: Counter[tuple[What, What]] = Counter()
        self._source_of: dict[str, str] = {}

    def add(self, entry: Entry) -> None:
        """Let an entry happen."""
        for (place, what), n in postings(entry):
            kinds = self._held.get(place)
            if kinds is None:
                kinds = self._held[place] = {}
            kinds[what] = kinds.get(what, 0) + n
        if entry.kind == "move":
            for line in entry.body["lines"]:
                if line["from"] in SOURCES:
                    self._drawn[line["from"], what_of(line)] += line["n"]
                    self._source_of[line["haul"]] = line["from"]
        elif entry.kind == "redetermination":
            for line in entry.body["lines"]:
                self._renamed[was_and_now(line)] += line["n"]

    def count(self, place: PlaceKey, what: What) -> int:
        """Return how many of a kind a place holds; below zero where more was taken out than was in it."""
        return self._held.get(place, _NONE).get(what, 0)

    def kinds(self, place: PlaceKey) -> Mapping[What, int]:
        """Return all that a place holds or held, by kind."""
        return self._held.get(place, _NONE)

    def below_zero(self) -> dict[Side, int]:
        """Return the places that gave more than they had."""
        return {side: n for side, n in self._places() if n < 0}

    def rows(self) -> Iterator[tuple[PlaceKey, What, int]]:
        """Yield every balance that is not zero; sources are below zero by what came out of them."""
        for (place, what), n in self._places():
            if n:
                yield place, what, n
        drawn = Counter(self._drawn)
        for (was, now), n in self._renamed.items():
            source = "sea" if "/" in was.haul else self._source_of.get(was.haul, "brought")
            drawn[source, was] -= n
            drawn[source, now] += n
        for (source, what), n in drawn.items():
            if n:
                yield PlaceKey(outing_of(what.haul), source), what, -n

    def _places(self) -> Iterator[tuple[Side, int]]:
        for place, kinds in self._held.items():
            for what, n in kinds.items():
                yield (place, what), n


def tallied(standing: Iterable[Entry]) -> tuple[Tally, tuple[Count, ...]]:
    """Return the sum of entries, and each count that somebody made with what the book said just then.

    Parameters
    ----------
    standing : iterable of Entry
        As :meth:`Book.standing` gives them: nothing struck, oldest first.
    """
    tally, counts = Tally(), []
    for entry in standing:
        if entry.kind == "counted-again":
            there = tally.kinds(own_place(entry))
            expected = sum(
                n for what, n in there.items() if counted(entry, what.taxon, what.stage, what.unit)
            )
            counts.append(Count(entry, expected))
        else:
            tally.add(entry)
    return tally, tuple(counts)


def counted(count: Entry, taxon: str, stage: str | None, unit: str) -> bool:
    """Say whether somebody who counted again counted these; without a stage they counted all stages."""
    said_stage, said_unit = stage_and_unit(count.body)
    return taxon == count.body["taxon"] and unit == said_unit and said_stage in (None, stage)


def postings(entry: Entry) -> Iterator[tuple[Side, int]]:
    """Yield each place and kind that an entry changes, with the number: below zero where animals leave."""
    if entry.kind == "move":
        for line in entry.body["lines"]:
            what = what_of(line)
            if line["from"] not in SOURCES:
                yield (place_of(entry, line["haul"], line["from"]), what), -line["n"]
            yield (place_of(entry, line["haul"], line["to"]), what), line["n"]
    elif entry.kind == "redetermination":
        for line in entry.body["lines"]:
            place = place_of(entry, line["haul"], line["place"])
            was, now = was_and_now(line)
            yield (place, was), -line["n"]
            yield (place, now), line["n"]
