"""From open to closed, signed, changed and signed again. The outing is invented."""

from __future__ import annotations

import hashlib

import pytest

from haulbook.custody.book import Book
from haulbook.custody.discrepancies import discrepancies
from haulbook.custody.discrepancy import Discrepancy
from haulbook.custody.entry import Draft, chain, uuid8
from haulbook.office.signing import close, sign, state_of, versions
from haulbook.problems import Refusal

OUTING = "2027-05-14-a"
HAUL = f"{OUTING}/2"
GAP = Discrepancy("gap", "d1 3-3", "3 of d1 is not here", None)


class Chain:
    """One device that writes, closes and signs."""

    def __init__(self, device="desk"):
        self.device, self.entries = device, []

    def write(self, kind, body, outing=OUTING, at=None):
        at = at or f"2027-05-14T09:{len(self.entries):02d}:00-04:00"
        entry_id = uuid8(f"{self.device} {len(self.entries)}".encode())
        return self.take(Draft(entry_id, at, at, "p3", outing, kind, body))

    def take(self, draft):
        after = self.entries[-1] if self.entries else None
        self.entries += chain([draft], self.device, after)
        return self.entries[-1]

    def move(self, start, end, n, taxon="cunner", outing=OUTING, **more):
        line = {"from": start, "to": end, "n": n, "taxon": taxon, "haul": HAUL, **more}
        return self.write("move", {"lines": [line]}, outing)

    def strike(self, entry, outing=OUTING):
        return self.write("strike", {"entries": [entry.id], "reason": "make that five"}, outing)

    def close(self, others=(), **more):
        return self.take(
            close(self.book(others), OUTING, entry_id=self.next_id(), at=self.now(), by="p1", **more)
        )

    def sign(self, others=(), role="lead", **more):
        draft = sign(
            self.book(others), OUTING, entry_id=self.next_id(), at=self.now(), by="p1", role=role, **more
        )
        return self.take(draft)

    def book(self, others=()):
        return Book.of((*self.entries, *others))

    def next_id(self):
        return uuid8(f"{self.device} {len(self.entries)}".encode())

    def now(self):
        return f"2027-05-14T15:{len(self.entries):02d}:00-04:00"


@pytest.fixture
def desk():
    return Chain()


def refusals(wanted, *asked, **more):
    with pytest.raises(Refusal) as refused:
        wanted(*asked, **more)
    return [problem.message for problem in refused.value.problems]


def test_an_outing_is_planned_open_closed_signed_and_changed_in_turn(desk):
    assert state_of(desk.book(), OUTING) == "planned"
    call = desk.move("sea", "back", 6)
    assert state_of(desk.book(), OUTING) == "open"
    desk.close()
    assert state_of(desk.book(), OUTING) == "closed"
    desk.sign()
    assert state_of(desk.book(), OUTING) == "signed"
    desk.strike(call)
    assert state_of(desk.book(), OUTING) == "changed since signing"
    desk.sign()
    assert state_of(desk.book(), OUTING) == "signed"


def test_nothing_is_closed_before_anything_was_written(desk):
    assert refusals(desk.close) == [f"nothing was written in {OUTING} yet, so there is nothing to close"]


def test_closing_names_each_thing_in_the_way_the_first_thing_first(desk):
    desk.move("sea", "net", 2)
    desk.move("sea", "bucket 1", 3, "grubby")
    desk.move("sea", "back", 1, "?bleny")
    assert refusals(desk.close, of_devices=[GAP]) == [
        "bucket 1 still holds 3 grubby: say where they went",
        "net still holds 2 cunner: say where they went",
    ]
    phone = Chain("d1")
    phone.move("sea", "back", 1)
    desk.move("net", "back", 2)
    desk.move("bucket 1", "back", 3, "grubby")
    (gap, twice) = sorted(refusals(desk.close, phone.entries, of_devices=[GAP]))
    assert gap == "3 of d1 is not here"
    assert twice.startswith("d1 called 1 and desk called 2 cunner")


def test_an_outing_is_closed_with_what_is_only_printed_and_with_a_remark(desk):
    desk.move("sea", "back", 1, "?bleny")
    assert desk.close(remark="net torn").body == {"remark": "net torn"}


def test_what_is_closed_is_opened_again_by_striking_that_entry(desk):
    desk.move("sea", "back", 1)
    closed = desk.close()
    assert refusals(desk.close) == [
        f"{OUTING} is closed since {closed.at}, by p1: to open it again, strike that entry"
    ]
    desk.strike(closed)
    assert state_of(desk.book(), OUTING) == "open"
    desk.close()


def test_only_the_lead_signs_and_only_what_is_closed(desk):
    desk.move("sea", "back", 1)
    assert refusals(desk.sign, role="recorder") == [
        "an outing is signed by the lead, and p1 is recorder",
        f"{OUTING} is not closed yet: close it first",
    ]


def test_a_sign_off_covers_everything_so_far_and_names_the_reports(desk):
    phone = Chain("d1")
    first = phone.move("sea", "back", 6)
    second = desk.write("remark", {"text": "wind from the east"})
    third = desk.close(phone.entries)
    signed = desk.sign(phone.entries, reports=["a" * 64])
    hashes = sorted(entry.hash for entry in (first, second, third))  # as docs/reference/book.md says
    assert signed.body == {
        "covers": {"d1": 1, "desk": 2},
        "digest": hashlib.sha256("\n".join(hashes).encode()).hexdigest(),
        "role": "lead",
        "report_digests": ["a" * 64],
    }
    (version,) = versions(desk.book(phone.entries), OUTING)
    assert (version.number, version.by, version.role, version.still_true) == (1, "p1", "lead", True)
    assert version.digest == signed.body["digest"]
    assert version.report_digests == ("a" * 64,)


def test_what_was_signed_is_not_signed_again_before_something_changes(desk):
    desk.move("sea", "back", 1)
    desk.close()
    signed = desk.sign()
    assert refusals(desk.sign) == [
        f"{OUTING} is signed already, at {signed.at} by p1, and nothing has changed since"
    ]
    desk.write("remark", {"text": "sent to the office"})
    desk.move("tank q1", "dead-kept", 1, outing=None)
    assert state_of(desk.book(), OUTING) == "signed"


def test_lengths_that_come_in_late_change_what_was_signed(desk):
    desk.move("sea", "back", 1)
    desk.close()
    desk.sign()
    desk.write("lengths", {"haul": HAUL, "taxon": "cunner", "length_type": "total", "mm": [61]})
    assert state_of(desk.book(), OUTING) == "changed since signing"


def test_a_strike_that_was_written_in_no_outing_is_covered_by_signing_again(desk):
    call = desk.move("sea", "back", 6)
    desk.close()
    desk.sign()
    desk.strike(call, outing=None)
    assert state_of(desk.book(), OUTING) == "changed since signing"
    desk.sign()
    assert state_of(desk.book(), OUTING) == "signed"
    assert not [one for one in discrepancies(desk.book()) if one.kind == "late-line"]
    assert [(one.number, one.still_true) for one in versions(desk.book(), OUTING)] == [(1, True), (2, True)]


def test_what_would_stop_closing_now_stops_an_amendment_too(desk):
    desk.move("sea", "back", 6)
    desk.close()
    desk.sign()
    desk.move("sea", "net", 1, "grubby")
    assert refusals(desk.sign) == ["net still holds 1 grubby: say where they went"]


def test_a_line_that_came_in_late_among_what_was_signed_makes_the_version_untrue(desk):
    phone = Chain("d1")
    for n in (1, 2, 3):
        phone.move("sea", "back", n)
    early = [phone.entries[0], phone.entries[2]]
    desk.close(early)
    desk.sign(early)
    assert state_of(desk.book(early), OUTING) == "signed"
    assert state_of(desk.book(phone.entries), OUTING) == "changed since signing"
    assert not versions(desk.book(phone.entries), OUTING)[0].still_true
    assert not versions(desk.book(), OUTING)[0].still_true


def test_a_sign_off_that_was_struck_is_no_version(desk):
    desk.move("sea", "back", 1)
    desk.close()
    desk.strike(desk.sign())
    assert versions(desk.book(), OUTING) == ()
    assert state_of(desk.book(), OUTING) == "closed"
