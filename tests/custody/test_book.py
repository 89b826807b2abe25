"""Books as sets: union, order, forks, and what stands after strikes."""

from __future__ import annotations

import random
from datetime import datetime

from haulbook.custody.book import Book, merge
from haulbook.custody.chains import chain_faults


def test_merging_is_union_whatever_the_order_and_however_often(make_phone):
    one, two = make_phone("d1"), make_phone("d2")
    for phone in (one, two):
        for n in (1, 2, 3):
            phone.move("sea", "net", n)
    whole = merge(one.book, two.book)
    pieces = [Book.of([entry]) for entry in whole.entries]
    random.Random(4).shuffle(pieces)
    assert merge(*pieces, two.book, one.book, *pieces) == whole
    assert merge(merge(one.book, two.book), one.book) == merge(one.book, merge(two.book, one.book)) == whole
    assert merge() == Book()


def test_book_order_is_outing_device_number_and_what_has_no_outing_comes_last(make_phone):
    later, earlier, desk = (
        make_phone("d1", outing="2027-06-01-a"),
        make_phone("d2"),
        make_phone("desk", outing=None),
    )
    later.move("sea", "net", 1, haul="2027-06-01-a/1")
    earlier.move("sea", "net", 1)
    desk.write("place", {"place": "tank q1", "act": "water-changed"})
    order = [(entry.outing, entry.device) for entry in merge(desk.book, later.book, earlier.book).entries]
    assert order == [("2027-05-14-a", "d2"), ("2027-06-01-a", "d1"), (None, "desk")]


def test_a_fork_keeps_both_entries_in_sight(make_phone):
    one, copy = make_phone("d1"), make_phone("d1")
    one.move("sea", "net", 1)
    copy.move("sea", "net", 2)
    book = merge(one.book, copy.book)
    assert len(book.entries) == 2
    (fault,) = chain_faults(book.entries)
    assert (fault.kind, fault.subject) == ("fork", "d1 1")
    assert fault.words == "d1 has 2 different entries 1: it wrote on from an older copy of itself"


def test_a_gap_is_named_by_its_numbers(phone):
    for n in range(1, 6):
        phone.move("sea", "net", n)
    (fault,) = chain_faults([phone.entries[0], phone.entries[3]])
    assert (fault.kind, fault.subject) == ("gap", "d1 2-3")
    assert (
        fault.words
        == "2 to 3 of d1 are not here: bring in what that device still holds, or a saved copy of it"
    )
    assert [fault.subject for fault in chain_faults(phone.entries, {"d1": 7, "d9": 1})] == [
        "d1 6-7",
        "d9 1-1",
    ]
    assert chain_faults(phone.entries) == ()


def test_an_entry_that_goes_on_after_another_one_than_is_here_shows_as_a_fork(make_phone):
    one, copy = make_phone("d1"), make_phone("d1")
    one.move("sea", "net", 1)
    copy.move("sea", "net", 2)
    copy.move("sea", "net", 3)
    (fault,) = chain_faults([one.entries[0], copy.entries[1]])
    assert (fault.kind, fault.subject) == ("fork", "d1 1-2")
    assert "2 of d1 goes on after another entry 1 than the one that is here" in fault.words


def test_a_strike_takes_its_entries_out_and_is_not_itself_struck(phone):
    slip = phone.move("sea", "net", 6)
    strike = phone.strike(slip)
    phone.strike(strike)
    assert phone.book.struck() == {slip.id: strike.id}
    assert [entry.kind for entry in phone.book.standing()] == ["strike", "strike"]


def test_a_strike_holds_for_all_time_and_a_happening_only_from_its_instant_on(phone):
    slip = phone.move("sea", "net", 6, at="2027-05-14T06:40:00-04:00")
    phone.move("sea", "net", 5, at="2027-05-14T07:00:00-04:00")
    phone.strike(slip)
    until = datetime.fromisoformat("2027-05-14T06:50:00-04:00")
    assert phone.book.standing(until) == []
    assert phone.book.written_by(until).standing(until) == [slip]


def test_what_happened_is_ordered_by_instant_over_offsets_then_by_device_and_number(make_phone):
    one, two = make_phone("d1"), make_phone("d2")
    second = one.move("sea", "net", 1, at="2027-05-14T07:00:00-04:00")
    third = two.move("sea", "net", 2, at="2027-05-14T11:00:00Z")
    first = two.move("sea", "net", 3, at="2027-05-14T10:59:00Z")
    assert merge(two.book, one.book).standing() == [first, second, third]
