"""Invented kits for the cases that Python and the phone share: the demo season's, and one under strict permits."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from functools import cache
from pathlib import Path
from random import Random
from zoneinfo import ZoneInfo

from case_outings import OUTING, Pen

from haulbook.custody.book import Book
from haulbook.demo.season import papers, season
from haulbook.exchange.permit_toml import read_permit
from haulbook.exchange.plan_toml import Bucket, Plan
from haulbook.exchange.station_toml import Station, read_station
from haulbook.office.compile_kit import compile_kit
from haulbook.permit.model import Permit
from haulbook.shore import Kit
from haulbook.taxa import Pack, load_pack

MADE_AT = datetime(2026, 9, 26, 12, tzinfo=ZoneInfo("America/New_York"))
PERMITS = Path(__file__).resolve().parents[1] / "tests/shore"
PLAN = Plan(
    outing=OUTING,
    site="sallowhorn-cove",
    date=date(2026, 9, 26),
    hauls=3,
    permits=("SC-24-031",),
    nets=("n1",),
    crew=("p1", "p3"),
    people_present=8,
    buckets=(Bucket("bucket 1", "keep", 14.0, 3.0), Bucket("bucket 2", "hold", 14.0)),
    looked_for=("northern-pipefish", "rock-gunnel"),
    keep_device="d1",
)


def pack() -> Pack:
    """Return the taxon pack of all kits here."""
    return load_pack("nwatlantic")


@cache
def _station_and_permit() -> tuple[Station, Permit]:
    with tempfile.TemporaryDirectory() as folder:
        for name, content in papers().items():
            (Path(folder) / name).write_bytes(content)
        return read_station(Path(folder) / "station.toml"), read_permit(Path(folder) / "permit.toml", pack())


@cache
def demo_kit() -> Kit:
    """Return the kit of an outing at the end of the invented season."""
    station, permit = _station_and_permit()
    return compile_kit(PLAN, station, [permit], pack(), season()[1], MADE_AT)


@cache
def strict_permits() -> tuple[Permit, ...]:
    """Return invented permits with every way in which a clause can mean an animal and be met."""
    return tuple(read_permit(PERMITS / f"{name}.toml", pack()) for name in ("strict", "other", "duties"))


@cache
def strict_past() -> Book:
    """Return the book of an outing in spring under these permits."""
    pen = Pen("d1", Random(1), "2026-05-02-a")
    at = datetime.fromisoformat("2026-05-02T09:00:00-04:00")
    haul = "2026-05-02-a/1"
    pen.write("place", {"place": "bucket 1", "act": "set-up", "purpose": "keep"}, at)
    pen.write("haul-started", {"haul": haul, "site": "sallowhorn-cove", "net": "n1"}, at)
    pen.write("haul-landed", {"haul": haul, "condition": 1}, at)
    for n, taxon, place in (
        (6, "cunner", "bucket 1"), (2, "grubby", "dead-back"), (3, "cottidae", "bucket 1"), (2, "?slimy", "bucket 1"),
    ):  # fmt: skip
        line = {"taxon": taxon, "n": n, "from": "sea", "to": place, "haul": haul}
        pen.write("move", {"lines": [line]}, at)
    return Book.of(pen.entries)


def strict_kit(book: Book | None = None, permits: Sequence[Permit] | None = None) -> Kit:
    """Return the kit under the strict permits, made when a book (or else only the spring) was known."""
    station, _ = _station_and_permit()
    held = permits or strict_permits()
    plan = replace(PLAN, permits=tuple(permit.no for permit in held))
    return compile_kit(plan, station, held, pack(), book or strict_past(), MADE_AT)
