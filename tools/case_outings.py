"""Invented outings for the cases that Python and the phone share: what people enter, in every order."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from haulbook.custody.entry import Draft, Entry, chain, uuid8

OUTING = "2026-09-26-a"
START = datetime.fromisoformat("2026-09-26T12:00:00-04:00")
TAXA = (
    "cunner", "grubby", "cottidae", "actinopterygii", "fourspine-stickleback", "brachyura", "european-green-crab",
    "palaemon", "alewife", "animalia", "?slimy", "?long fish",
)  # fmt: skip
INSIDE = ("net", "bucket 1", "bucket 2", "bucket 3", "cooler 1")
SINKS = ("back", "back", "back", "dead-back", "dead-kept", "killed-kept", "killed-back", "given", "lost")
DEVICES = ("d1", "d2", "desk")


class Pen:
    """A device that writes an outing; its clock may be behind or ahead of the others'."""

    def __init__(self, device: str, rng: random.Random, outing: str = OUTING) -> None:
        self.device, self.rng, self.outing = device, rng, outing
        self.skew = timedelta(seconds=rng.choice((0, 0, 0, -95, 40)))
        self.entries: list[Entry] = []
        self._ids = itertools.count(1)

    def write(self, kind: str, body: dict[str, Any], now: datetime, **more: Any) -> Entry:
        """Write one entry; ``now`` without the device's skew, ``at`` only where it is said otherwise."""
        text = (now + self.skew).isoformat()
        values = {"at": text, "by": "p3", "outing": self.outing} | more
        draft = Draft(id=self.next_id(), made_at=text, kind=kind, body=body, **values)
        (entry,) = chain([draft], self.device, self.entries[-1] if self.entries else None)
        self.entries.append(entry)
        return entry

    def next_id(self) -> str:
        """Return the id of the next entry."""
        return uuid8(f"{self.device} {self.outing} {next(self._ids)} {self.rng.random()}".encode())


class Crew:
    """Who writes one random outing, and what they may speak of."""

    def __init__(self, seed: int) -> None:
        self.rng = random.Random(seed)
        self.pens = {device: Pen(device, self.rng) for device in DEVICES}
        self.now = START
        self.there: list[dict[str, Any]] = []
        self.calls: list[Entry] = []

    def write(self, kind: str, body: dict[str, Any], device: str | None = None, **more: Any) -> Entry:
        """Write as one of the devices, some time later."""
        self.now += timedelta(seconds=self.rng.choice((0, 0, 5, 30, 70, 400)))
        pen = self.pens[device or self.rng.choice(("d1", "d1", "d1", "d2"))]
        return pen.write(kind, body, self.now, **more)

    def haul(self) -> str:
        """Return the key of one of three hauls."""
        return f"{OUTING}/{self.rng.choice((1, 1, 2, 3))}"

    def entries(self) -> list[Entry]:
        """Return all that was written, in the order of the devices."""
        return [entry for pen in self.pens.values() for entry in pen.entries]


def outing(seed: int, *, most: int = 40) -> list[Entry]:
    """Return the entries of a random outing; the same seed gives the same outing."""
    crew = Crew(seed)
    rng = crew.rng
    if rng.random() < 0.85:
        _open(crew)
    acts = (_call,) * 8 + (_move_on,) * 6 + (_haul,) * 3 + (_place,) * 2 + (_strike,) * 2 + tuple(_RARE)
    for _ in range(rng.randint(3, most)):
        rng.choice(acts)(crew)
    if rng.random() < 0.1:
        _open(crew)
    return crew.entries()


def shuffled(entries: Iterable[Entry], seed: int) -> list[Entry]:
    """Return entries in another order, some of them twice."""
    found = list(entries)
    rng = random.Random(seed)
    found += rng.sample(found, k=min(len(found), 3))
    rng.shuffle(found)
    return found


def _open(crew: Crew) -> None:
    plan = {
        "buckets": [
            {"place": "bucket 1", "purpose": "keep", "litres": 14, "air_per_h": 3.5},
            {"place": "bucket 2", "purpose": "hold", "litres": 20},
        ]
    }
    crew.write(
        "outing-opened",
        {
            "plan": crew.rng.choice((plan, plan, None)), "digest": None, "pack": "nwatlantic", "version": "1",
            "permits": [], "looked_for": ["northern-pipefish"],
        },
    )  # fmt: skip


def details(crew: Crew) -> dict[str, Any]:
    """Return what somebody might say of animals beside their name."""
    rng, found = crew.rng, {}
    choices: dict[str, tuple[Any, ...]] = {
        "stage": ("young", "adult"), "sex": ("female", "male"), "origin": ("wild", "hatchery"),
        "berried": (True, False), "doubt": ("name", "count"), "haul_assumed": (True,),
        "said": ("two smolts", "a fish", "Smoltish"), "mark": ("clip",), "basis": ("judged",),
    }  # fmt: skip
    for key, values in choices.items():
        if rng.random() < 0.15:
            found[key] = rng.choice(values)
    if rng.random() < 0.15:
        found |= {
            "length_mm": rng.choice((59.9, 60, 70, 90.5, 120)),
            "length_type": rng.choice(("total", "fork")),
        }
    if rng.random() < 0.05:
        found = {"stage": "egg mass"} if rng.random() < 0.5 else {"unit": rng.choice(("egg_mass", "colony"))}
    return found


def _call(crew: Crew) -> None:
    rng = crew.rng
    lines = []
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        to = rng.choice((*INSIDE, *SINKS, "escaped", "back-in-net"))
        line: dict[str, Any] = {"taxon": rng.choice(TAXA), "n": rng.randint(1, 6), "from": "sea", "to": to}
        line |= {"haul": crew.haul(), **details(crew)}
        if rng.random() < 0.05 and "basis" not in line:
            line |= {
                "basis": "expanded",
                "n": 20,
                "subsample": {"method": "scoops", "of": 4, "counted": [4, 6]},
            }
        if to == "lost":
            line["cause"] = "jumped out"
        lines.append(line)
        crew.there.append(line)
    crew.calls.append(crew.write("move", {"lines": lines}))


def _move_on(crew: Crew) -> None:
    rng = crew.rng
    known = [line for line in crew.there if line["to"] in INSIDE]
    if known and rng.random() < 0.9:
        before = rng.choice(known)
    else:
        before = {"taxon": rng.choice(TAXA), "n": 2, "to": rng.choice(INSIDE), "haul": crew.haul()}
    start = before["to"]
    targets = [place for place in (*INSIDE, *SINKS, "tank q1") if place != start]
    n = max(1, before["n"] - rng.choice((0, 0, 1, -1)))
    line = {
        "taxon": before["taxon"],
        "n": n,
        "from": start,
        "to": rng.choice(targets),
        "haul": before["haul"],
    }
    line |= {key: before[key] for key in ("stage", "unit") if key in before}
    if rng.random() < 0.3:
        line |= {key: value for key, value in details(crew).items() if key not in ("stage", "unit", "basis")}
    if line["to"] == "lost":
        line["cause"] = "not found again"
    crew.there.append(line)
    station = line["to"].startswith("tank")
    crew.calls.append(
        crew.write("move", {"lines": [line]}, "desk", outing=None)
        if station
        else crew.write("move", {"lines": [line]})
    )


def _haul(crew: Crew) -> None:
    rng, haul = crew.rng, crew.haul()
    kind = rng.choice(("haul-started", "haul-landed", "haul-ended"))
    body: dict[str, Any] = {"haul": haul}
    if kind == "haul-started":
        body |= rng.choice(({"site": "sallowhorn-cove", "net": "n1"}, {"site": "elsewhere"}, {}))
    if kind == "haul-landed":
        body |= {"condition": rng.choice((1, 2)), "w": {"m": rng.choice((6.5, 7)), "basis": "measured"}}
    crew.write(kind, body)


def _place(crew: Crew) -> None:
    rng = crew.rng
    place = rng.choice(("bucket 1", "bucket 2", "bucket 3", "cooler 1"))
    act = rng.choice(("left-beach", "set-up", "water-changed", "purpose", "air", "lid"))
    body: dict[str, Any] = {"place": place, "act": act}
    if act == "purpose" or (act == "set-up" and place.startswith("bucket")):
        if not place.startswith("bucket"):
            return
        body["purpose"] = rng.choice(("keep", "hold", "release"))
    if act == "air":
        body["air_per_h"] = 2
    crew.write("place", body)


def _strike(crew: Crew) -> None:
    if not crew.calls:
        return
    chosen = crew.rng.sample(crew.calls, k=min(len(crew.calls), crew.rng.choice((1, 1, 2))))
    strike = crew.write("strike", {"entries": [entry.id for entry in chosen], "reason": "slip"})
    if crew.rng.random() < 0.2:
        crew.calls.append(strike)


def _rename(crew: Crew) -> None:
    known = [
        line for line in crew.there if line["to"] not in ("lost", "tank q1") and line.get("unit") is None
    ]
    if not known:
        return
    line = crew.rng.choice(known)
    if line.get("stage") == "egg mass":
        return
    was = {"taxon": line["taxon"], "stage": line.get("stage")}
    now = {"taxon": crew.rng.choice(TAXA), "stage": crew.rng.choice((None, "young"))}
    if was == now:
        return
    body = {
        "place": line["to"],
        "haul": line["haul"],
        "n": crew.rng.randint(1, line["n"]),
        "was": was,
        "now": now,
    }
    crew.write("redetermination", {"lines": [body], "why": "seen closer"})


def _recount(crew: Crew) -> None:
    inside = [line for line in crew.there if line["to"] in INSIDE]
    if inside:
        line = crew.rng.choice(inside)
        stage = {key: line[key] for key in ("stage", "unit") if key in line and crew.rng.random() < 0.5}
        body = {"place": line["to"], "taxon": line["taxon"], "n": crew.rng.randint(0, 7), **stage}
        crew.write("counted-again", body)


def _seen(crew: Crew) -> None:
    rng = crew.rng
    known = [taxon for taxon in TAXA if not taxon.startswith("?")]
    if rng.random() < 0.5:
        crew.write("present", {"haul": crew.haul(), "taxon": rng.choice(TAXA)})
    else:
        crew.write("searched-and-none", {"haul": crew.haul(), "taxa": rng.sample(known, k=2)})


def _lengths(crew: Crew) -> None:
    rng = crew.rng
    body: dict[str, Any] = {
        "haul": crew.haul(),
        "taxon": rng.choice(TAXA),
        "length_type": "total",
        "mm": [50, 51.5],
    }
    body |= rng.choice(({}, {"tissue": True}, {"tissue": True, "sex": "female"}, {"stage": "young"}))
    crew.write("lengths", body)


def _settle(crew: Crew) -> None:
    if crew.calls:
        key = crew.rng.choice(("fate-unknown:", "count-differs:")) + crew.rng.choice(crew.calls).id
        crew.write("settled", {"key": key, "answer": "both stand", "why": "seen by two"}, "desk")


def _remark(crew: Crew) -> None:
    crew.write("remark", {"text": "weed in the bunt", "haul": crew.haul()})


def _sign(crew: Crew) -> None:
    covers = {device: len(pen.entries) for device, pen in crew.pens.items() if pen.entries}
    if covers and crew.rng.random() < 0.3:
        body = {"covers": covers, "digest": "0" * 64, "role": "lead", "report_digests": []}
        crew.write("outing-signed", body, "desk")


def _vague(crew: Crew) -> None:
    """A line from paper: the day is known, the hour is not."""
    line = {"taxon": "cunner", "n": 1, "from": "sea", "to": "bucket 1", "haul": crew.haul()}
    crew.calls.append(crew.write("move", {"lines": [line]}, at="2026-09-26"))


_RARE = (_rename, _rename, _recount, _seen, _lengths, _settle, _remark, _sign, _vague)
