"""A phone on the beach, for tests that read like a tally."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, chain, uuid8

OUTING = "2027-05-14-a"  # an invented outing


class Phone:
    """Writes entries one after the other, a minute apart unless told when."""

    def __init__(self, device="d1", start="2027-05-14T06:30:00-04:00", outing=OUTING):
        self.device, self.outing = device, outing
        self.clock = datetime.fromisoformat(start)
        self.entries = []

    def write(self, kind, body, at=None, **more):
        self.clock += timedelta(minutes=1)
        if at and "T" in at:
            self.clock = max(self.clock, datetime.fromisoformat(at))
        at = at or self.clock.isoformat()
        values = {
            "by": "p3",
            "outing": self.outing,
            "made_at": at if "T" in at else self.clock.isoformat(),
            **more,
        }
        values.setdefault("id", self.next_id())
        draft = Draft(at=at, kind=kind, body=body, **values)
        after = self.entries[-1] if self.entries else None
        self.entries += chain([draft], self.device, after)
        return self.entries[-1]

    def next_id(self):
        return uuid8(f"{self.device} {len(self.entries) + 1}".encode())

    def move(self, start, end, n, taxon="cunner", haul=1, at=None, outing=OUTING, **line):
        key = f"{self.outing or OUTING}/{haul}" if isinstance(haul, int) else haul
        body = {"lines": [{"from": start, "to": end, "n": n, "taxon": taxon, "haul": key, **line}]}
        return self.write("move", body, at, **({"outing": None} if outing is None else {}))

    def rename(self, place, n, was, now, haul=1, at=None, **more):
        sides = {
            name: {"taxon": side} if isinstance(side, str) else side
            for name, side in (("was", was), ("now", now))
        }
        line = {"place": place, "haul": f"{OUTING}/{haul}", "n": n, **sides}
        return self.write("redetermination", {"lines": [line], "why": "seen again in the light"}, at, **more)

    def place(self, place, act, at=None, **more):
        return self.write("place", {"place": place, "act": act, **more}, at)

    def strike(self, *entries, **more):
        return self.write("strike", {"entries": [entry.id for entry in entries], "reason": "slip", **more})

    @property
    def book(self):
        return Book.of(self.entries)


@pytest.fixture
def phone():
    return Phone()


@pytest.fixture
def make_phone():
    return Phone
