"""An invented outing and its kit, for the tests of the kit's form and of the phone's arithmetic."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from haulbook.custody.entry import Draft, chain, uuid8
from haulbook.demo.season import papers
from haulbook.exchange.permit_toml import read_permit
from haulbook.exchange.plan_toml import Bucket, Plan
from haulbook.exchange.station_toml import read_station
from haulbook.office.compile_kit import compile_kit
from haulbook.taxa import load_pack

ZONE = ZoneInfo("America/New_York")
OUTING = "2026-09-26-a"
MADE_AT = datetime(2026, 9, 26, 12, tzinfo=ZONE)
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


class Pen:
    """One device that writes, a minute after the other, from noon on."""

    def __init__(self, device="d1", outing=OUTING, start=datetime(2026, 9, 26, 12, tzinfo=ZONE)):
        self.device, self.outing, self.at = device, outing, start
        self.entries, self._ids = [], itertools.count(1)

    def write(self, kind, body):
        self.at += timedelta(minutes=1)
        id_ = uuid8(f"{self.device} {self.outing} {next(self._ids)}".encode())
        draft = Draft(id_, self.at.isoformat(), self.at.isoformat(), "p3", self.outing, kind, body)
        (entry,) = chain([draft], self.device, self.entries[-1] if self.entries else None)
        self.entries.append(entry)
        return entry

    def move(self, n, taxon, to, haul=1, start="sea", **more):
        line = {"taxon": taxon, "n": n, "from": start, "to": to, "haul": f"{self.outing}/{haul}", **more}
        return self.write("move", {"lines": [line]})

    def haul(self, number, **more):
        key = f"{self.outing}/{number}"
        self.write("haul-started", {"haul": key, **more})
        self.write("haul-landed", {"haul": key, "condition": 1})

    def open(self, buckets=(("bucket 1", "keep"), ("bucket 2", "hold"))):
        plan = {"buckets": [{"place": place, "purpose": purpose} for place, purpose in buckets]}
        self.write(
            "outing-opened",
            {
                "plan": plan,
                "digest": None,
                "pack": "nwatlantic",
                "version": "1",
                "permits": [],
                "looked_for": [],
            },
        )


class Beach:
    """What a kit is compiled from; hypothesis prints it in one word."""

    def __init__(self, pens, plan, station, pack, made_at):
        self.pens, self.plan, self.station, self.pack, self.made_at = pens, plan, station, pack, made_at

    def __repr__(self):
        return "beach"

    def compile(self, book, permits):
        plan = replace(self.plan, permits=tuple(permit.no for permit in permits))
        return compile_kit(plan, self.station, permits, self.pack, book, self.made_at)


@pytest.fixture(scope="session")
def beach(pens, plan, station, pack, made_at):
    return Beach(pens, plan, station, pack, made_at)


@pytest.fixture(scope="session")
def pack():
    return load_pack("nwatlantic")


@pytest.fixture(scope="session")
def folder(tmp_path_factory):
    where = tmp_path_factory.mktemp("papers")
    for name, content in papers().items():
        (where / name).write_bytes(content)
    return where


@pytest.fixture(scope="session")
def station(folder):
    return read_station(folder / "station.toml")


@pytest.fixture(scope="session")
def permit(folder, pack):
    return read_permit(folder / "permit.toml", pack)


@pytest.fixture(scope="session")
def plan():
    return PLAN


@pytest.fixture(scope="session")
def pens():
    return Pen


@pytest.fixture(scope="session")
def made_at():
    return MADE_AT
