"""Permits A and B of the worked cases, and short ways to write facts down."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime
from pathlib import Path
from types import SimpleNamespace

import pytest

from haulbook.custody.facts import Account, Animals, Haul, Later
from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.exchange.permit_toml import read_permit
from haulbook.permit.state import States
from haulbook.permit.take import Take
from haulbook.taxa import load_pack

CASES = Path(__file__).resolve().parents[1] / "cases" / "permits"
OFFSET = "-07:00"
END = datetime(2100, 1, 1, tzinfo=UTC)


@pytest.fixture(scope="session")
def pack():
    return load_pack("nepacific")


@pytest.fixture(scope="session")
def permit_a(pack):
    return read_permit(CASES / "a.toml", pack)


@pytest.fixture(scope="session")
def permit_b(pack):
    return read_permit(CASES / "b.toml", pack)


class Facts:
    """Collects hauls and animals; `haul` and `add` return what they wrote."""

    def __init__(self):
        self.hauls, self.animals, self._ids = [], [], itertools.count(1)

    def haul(self, key, landed="2024-06-04T09:36:00" + OFFSET, started=None, **more):
        haul = Haul(
            key, key.rpartition("/")[0], landed=When(landed), started=started and When(started), **more
        )
        self.hauls.append(haul)
        return haul

    def row(self, haul, n, taxon, fate=Fate.RELEASED_ALIVE, **more):
        place = more.pop(
            "place", {Fate.RETAINED_ALIVE: "bucket 1", Fate.UNACCOUNTED: "net"}.get(fate, "back")
        )
        called = more.pop("called", None) or self._landed(haul)
        later = tuple(Later(kind, When(at), f"e{next(self._ids)}") for kind, at in more.pop("later", ()))
        entries = more.pop("entries", None) or (f"e{next(self._ids)}",)
        return Animals(haul, taxon, n, fate, place, called, entries=entries, later=later, **more)

    def add(self, haul, n, taxon, fate=Fate.RELEASED_ALIVE, **more):
        animals = self.row(haul, n, taxon, fate, **more)
        self.animals.append(animals)
        return animals

    def account(self, **more):
        return Account(tuple(self.hauls), tuple(self.animals), **more)

    def _landed(self, key):
        haul = next((haul for haul in self.hauls if haul.key == key), None)
        return haul.landed if haul else When("2024-06-04T09:36:00" + OFFSET)


@pytest.fixture
def facts():
    return Facts()


@pytest.fixture
def look(pack):
    """States of a take by clause id, the version and period last in time; more than one by `all`."""

    def looker(account, *permits, as_of=END):
        take = Take(account, permits, pack)
        states = States(take)
        history = [state for permit in permits for state in states.history(permit, as_of)]
        last = {
            state.clause.id: state for state in sorted(history, key=lambda s: (s.clause.version, s.key.start))
        }
        return SimpleNamespace(take=take, states=states, all=history, **{"by": last, "of": last.__getitem__})

    return looker
