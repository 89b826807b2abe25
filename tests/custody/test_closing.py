"""What stands between an outing and its closing, and what a sign-off freezes."""

from __future__ import annotations

import hashlib

import pytest

from haulbook.custody.book import Book, merge
from haulbook.custody.closing import last_of_each, open_things, signoff_digest
from haulbook.problems import Refusal

OUTING = "2027-05-14-a"
HAUL = f"{OUTING}/1"


def test_animals_in_net_bucket_and_cooler_stop_closing_and_those_in_a_tank_do_not(phone):
    for n, place in enumerate(("net", "bucket 1", "cooler 1", "tank q1"), 1):
        phone.move("sea", place, n)
    assert [(thing.blocks, thing.words) for thing in open_things(phone.book, OUTING)] == [
        (True, "bucket 1 still holds 2 cunner: say where they went"),
        (True, "cooler 1 still holds 3 cunner: say where they went"),
        (True, "net still holds 1 cunner: say where they went"),
    ]


def test_a_fate_unknown_does_not_stop_closing_and_is_confirmed_by_its_key(phone):
    phone.move("sea", "bucket 1", 1)
    lost = phone.move("bucket 1", "lost", 1, cause="jumped out")
    (thing,) = open_things(phone.book, OUTING)
    assert (thing.kind, thing.blocks, thing.n, thing.key) == (
        "fate-unknown",
        False,
        1,
        f"fate-unknown:{lost.id}",
    )
    assert f"(1 cunner of {HAUL}: jumped out); the report prints it" in thing.words
    phone.write("settled", {"key": thing.key, "answer": "confirmed", "why": "seen jumping"})
    assert open_things(phone.book, OUTING) == ()


def test_animals_that_left_in_a_bucket_to_hold_stop_closing_though_they_are_in_a_tank(phone):
    phone.place("bucket 2", "set-up", purpose="hold")
    phone.move("sea", "bucket 2", 2)
    phone.place("bucket 2", "left-beach")
    phone.move("bucket 2", "tank q1", 2)
    (thing,) = open_things(phone.book, OUTING)
    assert (thing.kind, thing.blocks, thing.n) == ("unaccounted", True, 2)
    assert (
        "left the beach in a place that was not to keep, now in tank q1: say what the bucket was for"
        in thing.words
    )


def test_open_discrepancies_stop_closing_but_for_those_that_are_only_printed(make_phone):
    one, two = make_phone("d1"), make_phone("d2")
    one.move("sea", "back", 1, "?bleny")
    one.move("sea", "back", 6)
    two.move("sea", "back", 6)
    found = open_things(merge(one.book, two.book), OUTING, clock_off_s={"d1": 300, "d7": 300})
    assert [(thing.blocks, thing.key) for thing in found] == [
        (True, f"double-count:{HAUL} cunner - d1 d2"),
        (False, "clock:d1"),
        (False, f"name-open:{OUTING} ?bleny"),
    ]
    two.write(
        "settled", {"key": f"double-count:{HAUL} cunner - d1 d2", "answer": "both stand", "why": "two ends"}
    )
    assert not any(thing.blocks for thing in open_things(merge(one.book, two.book), OUTING))


def test_another_outing_is_not_held_up(make_phone):
    one, two = make_phone("d1"), make_phone("d2", outing="2027-06-01-a")
    one.move("sea", "bucket 1", 1)
    two.move("sea", "back", 1, haul="2027-06-01-a/1")
    assert open_things(merge(one.book, two.book), "2027-06-01-a") == ()


def test_a_gap_in_a_devices_numbers_holds_up_every_outing_that_it_wrote_in_and_no_other(make_phone):
    one, two = make_phone("d1"), make_phone("d2", outing="2027-06-01-a")
    first = one.move("sea", "back", 1)
    one.move("sea", "back", 2)
    one.outing = "2027-05-15-a"
    third = one.move("sea", "back", 3, haul="2027-05-15-a/1")
    two.move("sea", "back", 1, haul="2027-06-01-a/1")
    book = merge(Book.of([first, third]), two.book)
    held = {
        outing: [(thing.key, thing.blocks) for thing in open_things(book, outing)]
        for outing in (OUTING, "2027-05-15-a", "2027-06-01-a")
    }
    assert held == {
        OUTING: [("gap:d1 2-2", True)],
        "2027-05-15-a": [("gap:d1 2-2", True)],
        "2027-06-01-a": [],
    }


def test_the_digest_is_the_sum_of_the_sorted_hashes_of_what_is_covered(make_phone):
    one, two = make_phone("d1"), make_phone("d2")
    covered = [one.move("sea", "back", 1), one.move("sea", "back", 2), two.move("sea", "back", 3, "grubby")]
    covers = last_of_each(merge(one.book, two.book), OUTING)
    assert covers == {"d1": 2, "d2": 1}
    expected = hashlib.sha256("\n".join(sorted(entry.hash for entry in covered)).encode()).hexdigest()
    assert signoff_digest(merge(one.book, two.book), OUTING, covers) == expected
    one.move("sea", "back", 4)
    two.move("tank q1", "dead-kept", 1, "grubby", outing=None)
    assert signoff_digest(merge(one.book, two.book), OUTING, covers) == expected


def test_nobody_signs_for_entries_that_are_not_here(phone):
    phone.move("sea", "back", 1)
    with pytest.raises(
        Refusal, match="2027-05-14-a can't be signed up to 2 of d1: no such entry is in this book"
    ):
        signoff_digest(phone.book, OUTING, {"d1": 2})
