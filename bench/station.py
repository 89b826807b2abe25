"""Every page of a station with 300 outings and 200 000 entries: processor seconds and number of queries.

Each page is asked a first time, then cold (after a line came in) and warm. Where a first look says that it is being
made (503), "made" is how many seconds that took beside the page. Before, what a served station makes before somebody
asks has been made. Everything is invented. HAULBOOK_BENCH_ENTRIES=20000 makes a smaller one.
"""

from __future__ import annotations

import os
import random
import statistics
import tempfile
import time
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

OUTINGS = 300
ENTRIES = int(os.environ.get("HAULBOOK_BENCH_ENTRIES", "200000"))
ZONE = ZoneInfo("America/New_York")
KEPT_EVERY = 60
NOW = "2026-10-20T12:00:00-04:00"
HAULS = 3
LIMIT_S = 0.3


class Pens:
    """Devices of the station, each with its chain; all entries in the order of writing."""

    def __init__(self) -> None:
        from haulbook.custody.entry import Draft, chain, uuid7

        self._draft, self._chain, self._uuid7 = Draft, chain, uuid7
        self._chance = random.Random(300)
        self._last: dict[str, Any] = {}

    def write(self, device: str, at: datetime, outing: str | None, kind: str, body: dict[str, Any]) -> Any:
        when = at.isoformat()
        made = self._draft(self._uuid7(at, self._chance.randbytes(10)), when, when, "p3", outing, kind, body)
        (entry,) = self._chain([made], device, self._last.get(device))
        self._last[device] = entry
        return entry


def entries(taxa: list[str], version: str) -> Iterator[Any]:
    """Yield the book: 300 outings of three hauls, animals called one line each, some kept and later fed."""
    pens, draw = Pens(), random.Random(12)
    lines = max(10, (ENTRIES - OUTINGS * 20) // OUTINGS)
    for i in range(OUTINGS):
        day = datetime(2015 + i // 25, 4 + i % 25 % 6, 1 + i % 25, 6, 0, tzinfo=ZONE)
        outing = f"{day:%Y-%m-%d}-a"
        opened = {
            "plan": None, "digest": None, "pack": "nwatlantic", "version": version,
            "permits": [{"permit": "SC-24-031", "version": "1"}], "looked_for": taxa[:10],
        }  # fmt: skip
        yield pens.write("d1", day, outing, "outing-opened", opened)
        yield pens.write(
            "d1",
            day,
            outing,
            "place",
            {"place": "bucket 1", "act": "set-up", "purpose": "keep", "litres": 14},
        )
        at, kept = day, []
        for haul in range(1, HAULS + 1):
            key = f"{outing}/{haul}"
            at += timedelta(minutes=5)
            yield pens.write(
                "d1",
                at,
                outing,
                "haul-started",
                {"haul": key, "site": "sallowhorn-cove", "net": "n1", "set_type": "straight"},
            )
            measures = {
                "w": {"m": 6.0, "basis": "measured"},
                "d": {"m": draw.randint(15, 30), "basis": "measured"},
            }
            yield pens.write(
                "d1",
                at + timedelta(minutes=3),
                outing,
                "haul-landed",
                {"haul": key, "condition": 1, **measures},
            )
            for n in range(lines // HAULS):
                at += timedelta(seconds=3)
                taxon, to = draw.choice(taxa), "bucket 1" if n % KEPT_EVERY == 0 else "back"
                line = {
                    "from": "sea",
                    "haul": key,
                    "n": draw.randint(1, 9),
                    "said": f"some {taxon}",
                    "taxon": taxon,
                    "to": to,
                }
                kept += [line] if to == "bucket 1" else []
                yield pens.write("d1", at, outing, "move", {"lines": [line]})
            yield pens.write("d1", at, outing, "haul-ended", {"haul": key})
            yield pens.write(
                "d1",
                at,
                outing,
                "reading",
                {"haul": key, "instrument": "hyd1", "temperature_c": 15, "salinity": 30},
            )
        yield pens.write("d1", at, outing, "place", {"place": "bucket 1", "act": "left-beach"})
        home = [
            {key: value for key, value in line.items() if key != "said"}
            | {"from": "bucket 1", "to": "tank q1"}
            for line in kept
        ]
        yield pens.write("d1", at + timedelta(hours=1), outing, "move", {"lines": home})
        yield pens.write("d1", at + timedelta(hours=2), outing, "outing-closed", {})
        for hours in (24, 48, 72):
            yield pens.write(
                "desk", at + timedelta(hours=hours), None, "care", {"place": "tank q1", "act": "checked"}
            )


def build(folder: Path) -> int:
    """Make the station; return how many entries it holds."""
    os.environ["HAULBOOK_NOW"] = NOW
    from haulbook.station.serving import connect

    connect(folder)
    from haulbook.demo.season import papers
    from haulbook.exchange.station_toml import station_of
    from haulbook.exchange.toml_keys import parse_toml
    from haulbook.station import clock
    from haulbook.station.models import EntryRow, Person
    from haulbook.station.people import accounts
    from haulbook.station.store import book, permits, readings, reference
    from haulbook.station.store.writing import writing
    from haulbook.taxa import load_pack

    files = {name: content.decode() for name, content in papers().items()}
    reference.take_in(
        station_of(parse_toml(files["station.toml"], "station.toml"), "station.toml"), "p1", invented=True
    )
    accounts.open_account(Person.objects.get(key="p1"), "lead", "lead", None, "p1")
    permits.store_permit(files["permit.toml"], "p1")
    pack = load_pack("nwatlantic")
    taxa = [key for key, taxon in pack.taxa.items() if taxon.rank == "species"][:40]
    started = time.process_time()
    with writing():
        book.add(entries(taxa, pack.version), clock.now())
    print(
        f"  {EntryRow.objects.count()} entries came in in {time.process_time() - started:.0f} s", flush=True
    )
    started = time.process_time()
    n = sum(1 for _ in readings.freshen())
    print(f"  {n} readings made in {time.process_time() - started:.0f} s", flush=True)
    return EntryRow.objects.count()


def addresses() -> list[str]:
    """Return every address that a lead may read, with example words."""
    from django.urls import URLPattern, get_resolver, reverse

    outing = "2026-05-01-a"
    words = {
        "outing": outing,
        "tank": "q1",
        "no": "SC-24-031",
        "what": "net",
        "key": "n1",
        "path": "tutorial/first-season",
    }
    found = []
    for pattern in get_resolver().url_patterns:
        if not isinstance(pattern, URLPattern) or not hasattr(pattern.callback, "access"):
            continue
        who = pattern.callback.access.get("GET")
        if who is None or who == "device" or pattern.name in ("enter", "set-up"):
            continue
        needed = pattern.pattern.converters
        if set(needed) <= set(words):
            found.append(reverse(pattern.name, kwargs={name: words[name] for name in needed} or None))
    return found


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        build(Path(folder) / "station")
        measure()


def measure() -> None:
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext

    from haulbook.station import warming
    from haulbook.station.models import Person
    from haulbook.station.store import book, reference

    started = time.process_time()
    warming.make()
    print(f"  made before somebody asks in {time.process_time() - started:.0f} s", flush=True)
    client = Client(HTTP_HOST="localhost")
    client.force_login(Person.objects.get(key="p1"))
    slow = []
    heads = ("status", "first", "made", "cold", "warm", "queries")
    print(f"  {'address':44} " + " ".join(f"{head:>8}" for head in heads))
    for address in addresses():

        def asked(address: str = address) -> tuple[float, Any]:
            started = time.thread_time()
            answer = client.get(address)
            b"".join(answer) if answer.streaming else answer.content
            return time.thread_time() - started, answer

        first, answer = asked()
        started = time.monotonic()
        while answer.status_code == 503:  # it is being made beside the page
            time.sleep(0.2)
            again, answer = asked()
            first = max(first, again)
        made = time.monotonic() - started
        zone = reference.settings().zone
        book.write([book.Wanted("remark", {"text": "a line came in"}, "2026-05-01-a")], "p1", zone)
        cold, _ = asked()
        time.sleep(0.05)
        with CaptureQueriesContext(
            connection,
        ) as queries:
            asked()
            n = len(queries)
        warm = statistics.median(asked()[0] for _ in range(5))
        print(
            f"  {address[:44]:44} {answer.status_code:8} {first:8.3f} {made:8.1f} {cold:8.3f} {warm:8.3f} {n:8}",
            flush=True,
        )
        if answer.status_code == 200 and max(first, cold, warm) > LIMIT_S:
            slow.append(address)
    print(f"  above {LIMIT_S} s: {', '.join(slow) or 'none'}")


if __name__ == "__main__":
    main()
