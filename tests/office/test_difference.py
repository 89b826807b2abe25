"""What an amendment says: which numbers became other, and because of what. The outing is invented."""

from __future__ import annotations

import pytest

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, chain, uuid8
from haulbook.custody.fates import Fate
from haulbook.office.difference import difference
from haulbook.office.signing import close, sign, versions

OUTING = "2027-05-14-a"
HAUL = f"{OUTING}/2"


class Desk:
    """Writes, closes, signs, and says what changed."""

    def __init__(self):
        self.entries = []

    def write(self, kind, body, outing=OUTING):
        at = f"2027-05-14T09:{len(self.entries):02d}:00-04:00"
        return self.take(Draft(self.next_id(), at, at, "p3", outing, kind, body))

    def take(self, draft):
        self.entries += chain([draft], "desk", self.entries[-1] if self.entries else None)
        return self.entries[-1]

    def next_id(self):
        return uuid8(f"desk {len(self.entries)}".encode())

    def move(self, start, end, n, taxon="cunner", outing=OUTING, text=None, **more):
        line = {"from": start, "to": end, "n": n, "taxon": taxon, "haul": HAUL, **more}
        return self.write("move", {"lines": [line]} | ({"text": text} if text else {}), outing)

    def strike(self, entry, reason, outing=OUTING):
        return self.write("strike", {"entries": [entry.id], "reason": reason}, outing)

    def sign(self):
        asked = {"at": "2027-05-14T15:00:00-04:00", "by": "p1"}
        if not versions(self.book, OUTING):
            self.take(close(self.book, OUTING, entry_id=self.next_id(), **asked))
        self.take(sign(self.book, OUTING, entry_id=self.next_id(), role="lead", **asked))
        return versions(self.book, OUTING)[-1]

    @property
    def book(self):
        return Book.of(self.entries)


@pytest.fixture
def desk():
    return Desk()


def test_a_mended_call_says_the_numbers_before_and_after_and_the_reason(desk):
    call = desk.move("sea", "back", 6)
    desk.move("sea", "back", 4, "grubby")
    first = desk.sign()
    slip = desk.strike(call, "make that five")
    five = desk.move("sea", "back", 5, said="five cunner")
    dead = desk.move("sea", "dead-back", 1, text="one dead")
    (change,) = difference(desk.book, OUTING, first, name=str.upper)
    assert (change.haul, change.taxon, change.stage, change.unit) == (HAUL, "cunner", None, "individual")
    assert change.numbers == ((Fate.RELEASED_ALIVE, 6, 5), (Fate.DIED_RELEASED, 0, 1))
    assert change.because == ("make that five", "five cunner", "one dead")
    assert change.entries == (slip.id, five.id, dead.id)
    assert change.words == (
        "haul 2, CUNNER: back alive 6 → 5, back dead 0 → 1, because “make that five”, “five cunner”, “one dead”"
    )


def test_two_signed_versions_differ_by_what_came_between_them(desk):
    desk.move("sea", "back", 6)
    first = desk.sign()
    desk.move("sea", "back", 1, "grubby", stage="young")
    second = desk.sign()
    third_call = desk.move("sea", "back", 3, "tautog")
    assert [one.words for one in difference(desk.book, OUTING, first, second)] == [
        "haul 2, grubby (young): back alive 0 → 1"
    ]
    assert [one.entries for one in difference(desk.book, OUTING, second)] == [(third_call.id,)]
    assert difference(desk.book, OUTING, second, second) == ()


def test_a_better_name_takes_numbers_from_one_taxon_to_the_other_and_says_why(desk):
    desk.move("sea", "back", 3, "sculpin")
    first = desk.sign()
    line = {"place": "back", "haul": HAUL, "n": 2, "was": {"taxon": "sculpin"}, "now": {"taxon": "grubby"}}
    desk.write("redetermination", {"lines": [line], "why": "seen on the picture"})
    assert [one.words for one in difference(desk.book, OUTING, first)] == [
        "haul 2, grubby: back alive 0 → 2, because “seen on the picture”",
        "haul 2, sculpin: back alive 3 → 1, because “seen on the picture”",
    ]


def test_what_a_bucket_was_for_is_the_reason_where_no_line_speaks_of_the_animals(desk):
    set_up = desk.write("place", {"place": "bucket 1", "act": "set-up", "purpose": "keep"})
    desk.move("sea", "bucket 1", 2)
    desk.write("place", {"place": "bucket 1", "act": "left-beach"})
    desk.move("bucket 1", "tank q1", 2)
    first = desk.sign()
    desk.strike(set_up, "that was bucket 2")
    desk.write("place", {"place": "bucket 1", "act": "purpose", "purpose": "hold"})
    assert [one.words for one in difference(desk.book, OUTING, first)] == [
        "haul 2, cunner: kept alive 2 → 0, not placed 0 → 2, because “that was bucket 2”, “bucket 1: hold”"
    ]


def test_a_haul_that_became_other_says_what_of_it(desk):
    desk.write("haul-landed", {"haul": HAUL, "condition": 1, "w": {"m": 5, "basis": "assumed"}})
    landed = desk.entries[-1]
    desk.move("sea", "back", 1)
    first = desk.sign()
    desk.strike(landed, "the wing was torn")
    desk.write("haul-landed", {"haul": HAUL, "condition": 3, "w": {"m": 4.5, "basis": "measured"}})
    (change,) = difference(desk.book, OUTING, first)
    assert (change.taxon, change.numbers) == (None, ())
    assert change.words == (
        f"haul 2: landed {landed.at} → {desk.entries[-1].at}, condition 1 → 3, "
        "measures w 5 m assumed → w 4.5 m measured, because “the wing was torn”"
    )


def test_lengths_sightings_and_searches_are_said_too(desk):
    desk.move("sea", "back", 1)
    first = desk.sign()
    desk.write("lengths", {"haul": HAUL, "taxon": "cunner", "length_type": "total", "mm": [61]})
    desk.write("present", {"haul": HAUL, "taxon": "moon-jelly"})
    desk.write("searched-and-none", {"haul": HAUL, "taxa": ["rock-gunnel"]})
    assert [one.words for one in difference(desk.book, OUTING, first)] == [
        "haul 2, cunner: lengths 0 → 1",
        "haul 2, moon-jelly: seen, not counted: now",
        "haul 2, rock-gunnel: searched and none found: now",
    ]


def test_what_goes_on_in_a_tank_is_no_difference_and_a_strike_from_the_desk_is_one(desk):
    call = desk.move("sea", "tank q1", 6)
    first = desk.sign()
    desk.move("tank q1", "dead-kept", 1, outing=None)
    assert difference(desk.book, OUTING, first) == ()
    desk.strike(call, "never came up", outing=None)
    (change,) = difference(desk.book, OUTING, first)
    assert change.numbers == ((Fate.RETAINED_ALIVE, 6, 0), (Fate.DIED_RETAINED, 0, 1))
