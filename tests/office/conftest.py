"""An account page's book, typed in haul by haul, and permit A of the worked cases. All data are invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, chain, uuid8
from haulbook.exchange.permit_toml import read_permit
from haulbook.taxa import load_pack

PERMIT = Path(__file__).resolve().parents[1] / "cases" / "permits" / "a.toml"
MEASURED = {letter: {"m": m, "basis": "measured"} for letter, m in (("w", 5.0), ("d", 20.0))}


class Desk:
    """Types in hauls and moves; a book comes out."""

    def __init__(self):
        self.drafts = []

    def write(self, outing, at, kind, body):
        made = f"{at[:10]}T12:00:00-07:00"
        entry_id = uuid8(str(len(self.drafts)).encode())
        self.drafts.append(
            Draft(at=at, kind=kind, body=body, by="p1", outing=outing, made_at=made, id=entry_id)
        )
        return entry_id

    def haul(self, key, landed="2024-06-04T09:36:00-07:00", site="cove"):
        outing = key.rpartition("/")[0]
        self.write(
            outing, landed, "haul-started", {"haul": key, "site": site, "net": "n1", "set_type": "straight"}
        )
        self.write(outing, landed, "haul-landed", {"haul": key, "condition": 1, **MEASURED})
        return key

    def move(self, key, n, taxon, to="back", at="2024-06-04T09:40:00-07:00", **more):
        line = {"taxon": taxon, "n": n, "from": "sea", "to": to, "haul": key, **more}
        return self.write(key.rpartition("/")[0], at, "move", {"lines": [line]})

    @property
    def book(self):
        return Book.of(chain(self.drafts, "desk", None))


@pytest.fixture
def desk():
    return Desk()


@pytest.fixture(scope="module")
def permit():
    return read_permit(PERMIT, load_pack("nepacific"))
