"""An invented outing as a phone would send it: three hauls, one grubby that nobody placed, a misheard call."""

from __future__ import annotations

import pytest

from haulbook.custody.entry import Draft, chain, uuid8

OUTING = "2026-09-21-a"
PHONE = "d7"


class Beach:
    """Writes the lines of a phone, in order."""

    def __init__(self, outing: str = OUTING, device: str = PHONE):
        self.outing, self.device, self.drafts = outing, device, []

    def write(self, kind, at, body):
        key = uuid8(f"{self.outing} {self.device} {len(self.drafts)}".encode())
        when = f"{self.outing[:10]}T{at}:00-04:00" if at.count(":") == 1 else f"{self.outing[:10]}T{at}-04:00"
        self.drafts.append(Draft(key, when, when, "p3", self.outing, kind, body))
        return key

    def haul(self, number, started, landed, ended=None, **more):
        key = f"{self.outing}/{number}"
        head = {"haul": key, "site": "sallowhorn-cove", "net": "n1", "set_type": "straight"}
        self.write("haul-started", started, head)
        sides = {"w": {"m": 6.1, "basis": "measured"}, "d": {"m": 20, "basis": "measured"}}
        self.write("haul-landed", landed, {"haul": key, "condition": 1, **sides, **more})
        if ended:
            self.write("haul-ended", ended, {"haul": key})

    def call(self, number, at, n, taxon, to, said=None, start="sea", **more):
        line = {"from": start, "to": to, "n": n, "taxon": taxon, "haul": f"{self.outing}/{number}", **more}
        if said:
            line["said"] = said
        return self.write("move", at, {"lines": [line]})

    def opened(self, looked_for=("cunner", "grubby", "northern-pipefish", "rock-gunnel")):
        body = {"plan": None, "digest": None, "pack": "nwatlantic", "version": "1", "permits": []}
        return self.write("outing-opened", "05:20", {**body, "looked_for": list(looked_for)})

    def entries(self):
        return chain(self.drafts, self.device)


def a_morning(outing: str = OUTING) -> Beach:
    """An outing that does not balance: one grubby of haul 3 is still in the net, two stand in the keep bucket."""
    beach = Beach(outing)
    beach.opened()
    beach.write("place", "05:25", {"place": "bucket 1", "act": "set-up", "purpose": "keep", "litres": 14})
    beach.haul(1, "05:40", "05:52", "06:02")
    beach.write(
        "reading",
        "05:53",
        {"haul": f"{outing}/1", "instrument": "hyd1", "salinity": 31, "temperature_c": 17.5},
    )
    beach.call(1, "05:54", 38, "atlantic-silverside", "back", "38 silverside, back")
    beach.call(1, "05:55", 4, "grubby", "back", "four grubby")
    beach.haul(2, "06:06", "06:18", "06:30")
    beach.call(2, "06:20", 57, "atlantic-silverside", "back", "57 silverside")
    beach.call(2, "06:20:30", 4, "atlantic-silverside", "dead-back", "four dead silverside")
    misheard = beach.call(2, "06:25", 1, "rainbow-smelt", "back", "one smelt")
    beach.write("strike", "06:25:20", {"entries": [misheard], "reason": "misheard"})
    beach.call(2, "06:25:40", 1, "cunner", "back", "one cunner, swam off")
    beach.haul(
        3, "07:08", "07:21", "07:40", condition=2, why="leadline lifted over a stone, under 10 % of the path"
    )
    beach.call(3, "07:29", 5, "grubby", "net", "five grubby")
    beach.call(3, "07:30", 3, "grubby", "back", "three grubby back", start="net")
    beach.call(3, "07:31", 1, "grubby", "bucket 1", "one grubby kept", start="net")
    beach.call(3, "07:33", 10, "european-green-crab", "killed-back", "ten green crab, killed")
    beach.write("searched-and-none", "07:38", {"haul": f"{outing}/3", "taxa": ["rock-gunnel"]})
    beach.write("remark", "07:39", {"text": "fog until seven"})
    return beach


def bring_in(beach: Beach) -> None:
    """Let what the phone wrote come in."""
    from haulbook.station import clock
    from haulbook.station.store import book
    from haulbook.station.store.writing import writing

    with writing():
        book.add(beach.entries(), clock.now())


@pytest.fixture
def morning(db) -> str:
    """The outing that does not balance, in the book."""
    bring_in(a_morning())
    return OUTING


@pytest.fixture
def mornings(db):
    """Return what brings in so many mornings that do not balance, each of another day."""

    def bring(n: int) -> None:
        for i in range(n):
            beach = a_morning(f"2027-05-{i + 1:02d}-a")
            beach.device = f"d{100 + i}"
            bring_in(beach)

    return bring


@pytest.fixture
def long_morning(db) -> str:
    """An outing of more than 2 000 lines, balanced but for one animal in the net."""
    beach = Beach("2026-09-22-a", "d8")
    beach.opened()
    taxa = (
        "cunner",
        "grubby",
        "atlantic-silverside",
        "mummichog",
        "winter-flounder",
        "tautog",
        "rock-gunnel",
    )
    for haul in range(1, 6):
        beach.haul(haul, f"{5 + haul:02d}:00", f"{5 + haul:02d}:10")
        for i in range(400):
            at = f"{5 + haul:02d}:{11 + i // 10:02d}:{(i % 10) * 6:02d}"
            beach.call(
                haul,
                at,
                1 + i % 5,
                taxa[i % 7],
                ("back", "dead-back", "killed-back")[i % 3],
                f"{1 + i % 5} {taxa[i % 7]}",
            )
    beach.call(5, "10:58", 1, "cunner", "net", "one cunner")
    bring_in(beach)
    return beach.outing
