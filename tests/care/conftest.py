"""A tally on the beach and a tank at home, invented, for tests of care."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, chain, uuid8

OUTING = "2027-05-14-a"


@dataclass(frozen=True)
class Species:
    """A taxon as care sees it."""

    key: str = "cunner"
    group: str = "other-fish"
    typical_juvenile_mm: float | str | None = None
    lw_a: float | None = 0.0134
    lw_b: float | None = 2.939
    lw_units: str | None = "W in g, TL in cm"
    lw_source: str | None = "a table"
    hazards: str | None = None
    handling: str | None = None


class Log:
    """Writes entries by hand-given times."""

    def __init__(self):
        self.entries = []

    def write(self, kind, body, at, outing=OUTING):
        made = uuid8(str(len(self.entries)).encode())
        draft = Draft(id=made, at=at, made_at=at, by="p3", outing=outing, kind=kind, body=body)
        self.entries += chain([draft], "d1", self.entries[-1] if self.entries else None)
        return self.entries[-1]

    def move(self, start, end, n, taxon, at, outing=OUTING, **line):
        body = {"lines": [{"from": start, "to": end, "n": n, "taxon": taxon, "haul": f"{OUTING}/1", **line}]}
        return self.write("move", body, at, outing)

    def care(self, act, at, place="tank q1", **more):
        return self.write("care", {"place": place, "act": act, **more}, at, None)

    @property
    def book(self):
        return Book.of(self.entries)


@pytest.fixture
def log():
    return Log()


@pytest.fixture
def species():
    def make(**changes):
        return replace(Species(), **changes)

    return make
