"""Three phones and a station that lose answers, repeat, come late, forget and are brought back: each call counts once.

The phones follow ``docs/reference/sync.md`` as the page does. The oracle knows nothing of books: it remembers who was
told what, and that a line is gone only where the one phone that had it lost it.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from unittest import mock

import hypothesis.strategies as st
from hypothesis import HealthCheck, settings
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from haulbook.custody.book import Book, merge
from haulbook.custody.chains import chain_faults
from haulbook.custody.discrepancies import discrepancies
from haulbook.custody.entry import Draft, Entry, chain, uuid8
from haulbook.custody.ledger import account_of
from haulbook.shore import sync
from haulbook.shore.sync import UnknownCursor, read_request, respond

OUTING = "2027-05-14-a"  # an invented outing
START = datetime.fromisoformat("2027-05-14T06:30:00-04:00")
BATCH = 3
PAGE = 4

phones = st.integers(0, 2)
taxa = st.sampled_from(["cunner", "grubby", "?slimy"])
fates = st.sampled_from(["answered", "answered", "never came", "answer lost"])


@dataclass
class Phone:
    """What one phone holds; a new one under another key takes its place when it loses that."""

    device: str
    known: dict[str, Entry] = field(default_factory=dict)
    waiting: list[Entry] = field(default_factory=list)
    rejected: list[Entry] = field(default_factory=list)
    cursor: str | None = None
    ahead: timedelta = timedelta()

    @property
    def own(self) -> list[Entry]:
        return [entry for entry in self.known.values() if entry.device == self.device]

    def write(self, draft: Draft) -> None:
        last = max(self.own, key=lambda entry: entry.seq, default=None)
        (entry,) = chain([draft], self.device, last)
        self.known[entry.hash] = entry
        self.waiting.append(entry)

    def request(self) -> bytes:
        batch = [entry.as_json() for entry in self.waiting[:BATCH]]
        return json.dumps({"device": self.device, "cursor": self.cursor, "entries": batch}).encode()

    def note(self, answer: sync.SyncAnswer) -> None:
        verdicts = {verdict.id: verdict.answer for verdict in answer.answers}
        self.rejected += [entry for entry in self.waiting if verdicts.get(entry.id) == "rejected"]
        self.waiting = [entry for entry in self.waiting if entry.id not in verdicts]
        for said in answer.entries:
            entry = sync.entry_from_json(said.model_dump())
            self.known.setdefault(entry.hash, entry)
        self.cursor = answer.cursor

    def send_everything(self) -> None:
        self.waiting, self.cursor = sorted(self.own, key=lambda entry: (entry.seq, entry.hash)), None

    def copied(self) -> Phone:
        return replace(self, known=dict(self.known), waiting=list(self.waiting), rejected=list(self.rejected))


@dataclass
class Station:
    """A station in memory; bringing a backup back gives its book another name."""

    held: list[Entry] = field(default_factory=list)
    book: int = 1

    def answer(self, device: str, text: bytes) -> sync.SyncAnswer:
        new, answer = respond(read_request(text), device, self.held, book=f"b{self.book}", server_time=START)
        self.held += new
        return answer


class ThreeDevices(RuleBasedStateMachine):
    """Whatever happens on the way, the station has each call once, and all come to know the same."""

    def __init__(self):
        super().__init__()
        self.small_pages = mock.patch.object(sync, "MOST_ENTRIES", PAGE)
        self.small_pages.start()
        self.station, self.backup = Station(), None
        self.phones, self.images = [Phone(f"d{n}") for n in (1, 2, 3)], {}
        self.under_way, self.written, self.enrolled, self.forked = [], {}, 3, False

    @initialize()
    def begin(self):
        self.call(0, "cunner", 2)

    def alive(self):
        """Ids of what the station or the phone that wrote it still has; only the rest is gone."""
        return {entry.id for holder in (self.station.held, *(p.own for p in self.phones)) for entry in holder}

    def expected(self):
        alive = self.alive()
        struck = {named for id_, (_, names) in self.written.items() if id_ in alive for named in names}
        return sum(n for id_, (n, _) in self.written.items() if id_ in alive and id_ not in struck)

    def write(self, phone, kind, body, n, struck=()):
        id_ = uuid8(str(len(self.written)).encode())
        at = (START + timedelta(minutes=len(self.written)) + phone.ahead).isoformat()
        phone.write(Draft(id_, at, at, "p3", OUTING, kind, body))
        self.written[id_] = (n, struck)

    @rule(which=phones, taxon=taxa, n=st.integers(1, 9))
    def call(self, which, taxon, n):
        line = {"from": "sea", "to": "bucket 1", "n": n, "taxon": taxon, "haul": f"{OUTING}/1"}
        self.write(self.phones[which], "move", {"lines": [line]}, n)

    @rule(which=phones, data=st.data())
    def strike(self, which, data):
        """Of anything it knows, its own or another's."""
        phone = self.phones[which]
        calls = sorted(entry.id for entry in phone.known.values() if entry.kind == "move")
        if calls:
            named = data.draw(st.sampled_from(calls))
            self.write(phone, "strike", {"entries": [named], "reason": "slip"}, 0, (named,))

    @rule(which=phones, fate=fates)
    def sync(self, which, fate):
        phone = self.phones[which]
        text = phone.request()
        self.under_way.append((phone.device, text))
        if fate == "never came":
            return
        try:
            answer = self.station.answer(phone.device, text)
        except UnknownCursor:
            phone.send_everything()
            return
        if fate == "answered":
            phone.note(answer)

    @rule(data=st.data())
    def a_request_comes_in_late_or_again(self, data):
        """Nobody waits for its answer any more."""
        if self.under_way:
            device, text = data.draw(st.sampled_from(self.under_way))
            try:
                self.station.answer(device, text)
            except UnknownCursor:
                return

    @rule(which=phones, days=st.sampled_from([-1, 14]))
    def two_weeks_offline_or_a_clock_set_back(self, which, days):
        self.phones[which].ahead += timedelta(days=days)

    @rule(which=phones)
    def storage_is_lost(self, which):
        self.enrolled += 1
        self.phones[which] = Phone(f"d{self.enrolled}")
        self.images.pop(which, None)

    @rule(which=phones)
    def a_phone_is_backed_up(self, which):
        self.images[which] = self.phones[which].copied()

    @rule(which=phones)
    def a_phone_is_brought_back(self, which):
        """It may write on from an older copy of itself: a fork, shown, with both lines in the book."""
        image = self.images.get(which)
        if image:
            self.forked = self.forked or len(image.own) < len(self.phones[which].own)
            self.phones[which] = image.copied()

    @rule(which=phones)
    def a_saved_copy_is_brought_in_at_the_station(self, which):
        held = {entry.hash for entry in self.station.held}
        self.station.held += [entry for hash_, entry in self.phones[which].known.items() if hash_ not in held]

    @rule()
    def the_station_is_backed_up(self):
        self.backup = list(self.station.held)

    @rule()
    def the_station_is_brought_back(self):
        if self.backup is not None:
            self.station = Station(list(self.backup), self.station.book + 1)

    @invariant()
    def the_station_has_nothing_twice_and_turned_nothing_down(self):
        hashes = [entry.hash for entry in self.station.held]
        assert len(hashes) == len(set(hashes))
        assert len({entry.id for entry in self.station.held}) == len(hashes)
        assert not any(phone.rejected for phone in self.phones)

    @invariant()
    def what_waits_nowhere_is_at_the_station_or_will_be_sent_again(self):
        held = {entry.hash for entry in self.station.held}
        for phone in self.phones:
            waiting = {entry.hash for entry in phone.waiting}
            known_here = phone.cursor is None or phone.cursor.startswith(f"b{self.station.book}:")
            if known_here:
                assert {entry.hash for entry in phone.own} <= held | waiting

    def teardown(self):
        try:
            self.all_come_together()
        finally:
            self.small_pages.stop()

    def all_come_together(self):
        expected = self.expected()
        for _ in range(2):  # the first to come hears of the last in the second round
            for which, phone in enumerate(self.phones):
                more = True
                while more:
                    cursor = phone.cursor
                    self.sync(which, "answered")
                    more = phone.waiting or phone.cursor != cursor
        book = Book.of(self.station.held)
        account = account_of(book)
        assert sum(lot.n for lot in account.animals) == expected
        for phone in self.phones:
            known = Book.of(phone.known.values())
            assert merge(known, book) == merge(book, known, book)
            assert set(book.entries) <= set(known.entries)
            lost_at_the_station = set(known.entries) - set(book.entries)
            assert not any(entry.device == phone.device for entry in lost_at_the_station)
            if self.station.book == 1:
                assert known == book
                assert account_of(known) == account
        living = {phone.device for phone in self.phones}
        faults = [fault for fault in chain_faults(book.entries) if fault.subject.split()[0] in living]
        assert self.forked or not faults
        shown = {found.subject for found in discrepancies(book) if found.kind in ("fork", "gap")}
        assert {fault.subject for fault in faults} <= shown


ThreeDevices.TestCase.settings = settings(
    max_examples=60,
    stateful_step_count=40,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
TestThreeDevices = ThreeDevices.TestCase
