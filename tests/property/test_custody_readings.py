"""Each outing read from its own rows, and the tanks from theirs: together exactly what the whole book says.

Books are random and full of slips: two outings, tanks, animals born in holding, one outing's animals in the
other's bucket, strikes of anything from anywhere, wrong clocks, lines that never came in.
"""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime, timedelta

import hypothesis.strategies as st
from hypothesis import HealthCheck, event, given, settings

from haulbook.custody.book import Book
from haulbook.custody.closing import OF_A_DEVICE
from haulbook.custody.entry import Draft, chain, uuid8
from haulbook.custody.facts_json import outing_as_json, outing_from_json, tanks_as_json, tanks_from_json
from haulbook.custody.places import SINKS
from haulbook.custody.reading_chains import SAID_IN, read_chains
from haulbook.custody.reading_once import read_once
from haulbook.custody.reading_outing import joined, open_of, read_outing
from haulbook.custody.reading_tanks import read_tanks
from haulbook.custody.touching import TANKS, hosts, speaks_of, touches

A, B = "2027-05-14-a", "2027-05-15-a"  # invented outings
START = datetime.fromisoformat("2027-05-14T06:30:00-04:00")
DEVICES = ("d1", "d2", "desk")
HAULS = (f"{A}/1", f"{A}/2", f"{B}/1")
BUCKETS = ("net", "bucket 1", "bucket 2", "cooler 1")
TANK = ("tank q1", "tank x2")
TAXA = ("cunner", "grubby", "?slimy")
PURPOSES = ("keep", "hold", "release")
OFF = {"d1": 300.0, "d2": 5.0}


def within(taxon, other):
    return taxon == other or (other == "sculpin" and taxon == "grubby")


class Scribe:
    """Draws one entry after the other, each of a shape that a book takes."""

    def __init__(self, draw, acts, hauls, taxa):
        self.draw, self.acts, self.hauls, self.taxa = draw, acts, hauls, taxa
        self.chains = defaultdict(list)
        self.minute = 0
        self.born = []

    @property
    def entries(self):
        return [entry for device in sorted(self.chains) for entry in self.chains[device]]

    def one(self, words):
        return self.draw(st.sampled_from(list(words)))

    def write(self, kind, body, outing, entry_id=None):
        device = self.one(DEVICES)
        before = self.chains[device][-1] if self.chains[device] else None
        self.minute += 1
        at = (START + timedelta(minutes=self.minute + self.draw(st.integers(-8, 8)))).isoformat()
        entry_id = entry_id or uuid8(f"{device} {len(self.chains[device])}".encode())
        self.chains[device] += chain([Draft(entry_id, at, at, "p3", outing, kind, body)], device, before)

    def act(self):
        getattr(self, self.one(self.acts))()

    def kind(self):
        stage = self.one((None, "young"))
        return {"taxon": self.one(self.taxa), "n": self.draw(st.integers(1, 4))} | (
            {"stage": stage} if stage else {}
        )

    def line(self, start, end, haul):
        line = self.kind() | {"from": start, "to": end, "haul": haul}
        sex = self.one((None, None, "female"))
        return line | ({"sex": sex} if sex else {}) | ({"cause": "jumped out"} if end == "lost" else {})

    def call(self):
        haul = self.one(self.hauls)
        end = self.one((*BUCKETS, *TANK, *SINKS))
        self.write("move", {"lines": [self.line("sea", end, haul)]}, haul.rpartition("/")[0])

    def sort(self):
        ways = [
            (start, end) for start in (*BUCKETS, *TANK) for end in (*BUCKETS, *TANK, *SINKS) if start != end
        ]
        ways = [way for way in ways if way[1] != "escaped" and (way[1] != "back-in-net" or way[0] == "net")]
        lines = [
            self.line(*self.one(ways), self.one((*self.hauls, *self.born)))
            for _ in range(self.draw(st.integers(1, 2)))
        ]
        self.write("move", {"lines": lines}, self.one((A, B, None)))

    def home(self):
        haul = self.one(self.hauls)
        self.write(
            "move", {"lines": [self.line(self.one(BUCKETS), self.one(TANK), haul)]}, self.one((A, B, None))
        )

    def carry(self):
        way = self.one((("tank q1", "bucket 1"), ("bucket 1", "bucket 2"), ("bucket 1", "back")))
        self.write("move", {"lines": [self.line(*way, f"{A}/1")]}, B)

    def arrive(self):
        entry_id = uuid8(f"born {len(self.born)}".encode())
        lines = [self.line(self.one(("born", "brought")), self.one((*TANK, "bucket 1")), entry_id)]
        self.born.append(entry_id)
        self.write("move", {"lines": lines}, self.one((A, None)), entry_id)

    def rename(self):
        was, now = self.kind(), self.kind()
        n = was.pop("n")
        now.pop("n")
        if was != now:
            place = self.one((*BUCKETS, *TANK, *SINKS))
            line = {
                "place": place,
                "haul": self.one((*self.hauls, *self.born)),
                "n": n,
                "was": was,
                "now": now,
            }
            self.write("redetermination", {"lines": [line], "why": "seen again"}, self.one((A, B, None)))

    def place(self):
        outing, place = self.one((A, B)), self.one(BUCKETS)
        act = self.one(("set-up", "left-beach", "purpose"))
        body = {"place": place, "act": act}
        if act == "purpose":
            body |= {"place": self.one(("bucket 1", "bucket 2")), "purpose": self.one(PURPOSES)}
        self.write("place", body, outing)

    def tank_act(self):
        self.write("place", {"place": self.one(TANK), "act": "water-changed"}, self.one((A, None)))

    def recount(self):
        place = self.one((*BUCKETS, *TANK))
        body = self.kind() | {"place": place}
        self.write("counted-again", body, self.one((A, B) if place in BUCKETS else (A, B, None)))

    def strike(self):
        if self.entries:
            named = {self.one(self.entries).id for _ in range(self.draw(st.integers(1, 2)))}
            self.write("strike", {"entries": sorted(named), "reason": "slip"}, self.one((A, B, None)))

    def settle(self):
        said = read_once(Book.of(self.entries), within)
        keys = [one.key for one in said.discrepancies]
        keys += [one.key for things in said.open.values() for one in things if one.kind == "fate-unknown"]
        if keys:
            body = {"key": self.one(keys), "answer": "both stand", "why": "asked the crew"}
            self.write("settled", body, self.one((A, B, None)))

    def tell(self):
        haul = self.one(self.hauls)
        body = {"haul": haul}
        kind = self.one(("haul-started", "haul-landed", "haul-ended"))
        body |= {"condition": self.one((1, 2))} if kind == "haul-landed" else {}
        self.write(kind, body, haul.rpartition("/")[0])

    def remark(self):
        self.write(
            "remark", {"text": "torn at the wing", "haul": self.one(self.hauls)}, self.one((A, B, None))
        )

    def look(self):
        haul = self.one(self.hauls)
        kind, body = self.one(
            [
                ("present", {"taxon": "grubby"}),
                ("searched-and-none", {"taxa": ["sculpin", "cunner"]}),
                ("lengths", {"taxon": "cunner", "length_type": "total", "mm": [41, 52.5]}),
            ]
        )
        self.write(kind, {"haul": haul, **body}, haul.rpartition("/")[0])

    def open(self):
        buckets = [{"place": "bucket 1", "purpose": self.one(PURPOSES)}]
        body = {"plan": {"buckets": buckets}, "digest": None, "pack": "nwatlantic", "version": "1"}
        self.write("outing-opened", body | {"permits": [], "looked_for": [self.one(TAXA)]}, self.one((A, B)))

    def sign(self):
        covers = {device: len(here) for device, here in self.chains.items() if here}
        if covers:
            body = {"covers": covers, "digest": "0" * 64, "role": "lead", "report_digests": []}
            self.write("outing-signed", body, self.one((A, B)))

    def paper(self):
        body = {"permit": "EX-27-014", "act": "notice-sent"}
        self.write("paper", body, self.one((A, None)))


ACTS = (
    "call", "call", "call", "sort", "sort", "sort", "home", "home", "arrive", "rename", "rename", "place", "place",
    "tank_act", "recount", "recount", "strike", "strike", "settle", "tell", "remark", "look", "open", "sign",
    "paper",
)  # fmt: skip


GUESTS = ("call", "home", "carry", "carry", "place", "place", "open", "strike", "rename", "recount")
"""What makes one outing's animals guests in another's bucket, and decides what becomes of them there."""


@st.composite
def heard(draw, acts=ACTS, hauls=HAULS, taxa=TAXA):
    """Entries in the order in which a station hears of them; a few never come."""
    scribe = Scribe(draw, acts, hauls, taxa)
    for _ in range(draw(st.integers(5, 30))):
        scribe.act()
    entries = draw(st.permutations(scribe.entries))
    return entries[: len(entries) - draw(st.integers(0, min(2, len(entries))))]


class Store:
    """A station that makes anew only the readings that an entry touches."""

    def __init__(self):
        self.entries, self.subjects, self.spoken_of = [], defaultdict(set), defaultdict(list)
        self.readings = {}

    def guests_of(self, outing):
        ours = [entry.id for entry in self.entries if entry.outing == outing]
        return {one for entry_id in ours for one in self.subjects[entry_id]} - {outing, TANKS}

    def touch(self, entry):
        named = touches(entry, lambda one: self.subjects.get(one, ()), self.guests_of)
        if named - self.subjects[entry.id]:
            self.subjects[entry.id] |= named
            for earlier in self.spoken_of[entry.id]:
                named |= self.touch(earlier)
        return named

    def add(self, entry):
        self.entries.append(entry)
        for one in speaks_of(entry):
            self.spoken_of[one].append(entry)
        for subject in self.touch(entry):
            self.read(subject)

    def rows(self, subject):
        return [entry for entry in self.entries if subject in self.subjects[entry.id]]

    def read(self, subject):
        rows = self.rows(subject)
        if subject == TANKS:
            self.readings[subject] = read_tanks(rows)
            return
        for host in hosts(rows, subject):
            event("one outing's animals in another's bucket")
            rows += self.rows(host)
        self.readings[subject] = read_outing(rows, subject, within)


def same(found, expected):
    assert sorted(map(repr, set(found))) == sorted(map(repr, set(expected)))


@settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
@given(heard())
def test_the_readings_of_outings_and_tanks_are_together_what_the_whole_book_says(entries):
    check_together(entries)


@settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
@given(heard(GUESTS, [f"{A}/1"], ["cunner", "grubby"]))
def test_they_are_where_one_outings_animals_are_guests_in_anothers_bucket(entries):
    check_together(entries)


def check_together(entries):
    store = Store()
    for entry in entries:
        store.add(entry)
    whole = read_once(Book.of(entries), within, OFF)
    tanks = store.readings.pop(TANKS, read_tanks(()))
    outings = store.readings
    assert set(outings) >= set(whole.open)
    chains = read_chains(
        [(one.device, one.seq, one.hash, one.prev, one.id, one.outing) for one in entries],
        [one for one in entries if one.kind in SAID_IN],
        OFF,
    )
    assert joined(one.account for one in outings.values()) == whole.account
    same([row for part in (*outings.values(), tanks) for row in part.balances.rows], whole.balances.rows)
    same(
        [one for part in (*outings.values(), tanks) for one in part.discrepancies],
        [one for one in whole.discrepancies if one.kind not in OF_A_DEVICE],
    )
    assert chains == tuple(one for one in whole.discrepancies if one.kind in OF_A_DEVICE)
    for outing, reading in outings.items():  # one of which all entries are struck has nothing left to say
        assert open_of(reading, chains) == whole.open.get(outing, ())
    same([one for part in (*outings.values(), tanks) for one in part.papers], whole.papers)


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(heard())
def test_more_entries_than_needed_change_no_reading_and_it_is_stored_and_read_back_as_it_was(entries):
    store = Store()
    for entry in entries:
        store.add(entry)
    for subject, reading in store.readings.items():
        assert reading == (read_tanks(entries) if subject == TANKS else read_outing(entries, subject, within))
        written, read = (
            (tanks_as_json, tanks_from_json) if subject == TANKS else (outing_as_json, outing_from_json)
        )
        assert read(written(reading)) == reading


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(heard())
def test_a_tank_holds_what_its_balance_says_since_an_arrival_that_was_written_down(entries):
    reading = read_tanks(entries)
    held = {(one.tank, one.taxon, one.stage, one.unit, one.haul): one for one in reading.holdings}
    inside = [row for row in reading.balances.inside.rows if row.place.startswith("tank ") and row.n > 0]
    assert {key: one.n for key, one in held.items()} == {
        (row.place, row.taxon, row.stage, row.unit, row.haul): row.n for row in inside
    }
    arrivals = defaultdict(set)
    for one in reading.events:
        if one.kind in ("arrived", "renamed"):
            arrivals[one.tank].add(one.at)
    for one in held.values():
        assert one.since.sort_key() <= one.latest.sort_key()
        assert {one.since, one.latest} <= arrivals[one.tank]
