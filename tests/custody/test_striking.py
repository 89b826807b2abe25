"""Whether entries may be struck, asked before the strike is written."""

from __future__ import annotations

import pytest

from haulbook.custody.entry import uuid8
from haulbook.custody.striking import check_strike
from haulbook.problems import Refusal

OUTING = "2027-05-14-a"
HAUL = f"{OUTING}/1"


def refusal(book, *entries):
    with pytest.raises(Refusal) as refused:
        check_strike(book, [getattr(entry, "id", entry) for entry in entries])
    return [problem.message for problem in refused.value.problems]


def test_the_last_line_may_always_be_struck(phone):
    phone.move("sea", "bucket 1", 6)
    last = phone.move("bucket 1", "back", 6)
    check_strike(phone.book, [last.id])


def test_a_strike_that_would_leave_less_than_nothing_names_the_entries_in_the_way(phone):
    call = phone.move("sea", "bucket 1", 6)
    moved = phone.move("bucket 1", "back", 4)
    (said,) = refusal(phone.book, call)
    assert said == (
        f"bucket 1 of {OUTING} would hold -4 cunner of {HAUL}: 4 went on from there. In the way: {moved.id} "
        f"(d1 2, {moved.at}). Strike these too, or enter what arrived first"
    )


def test_it_is_let_through_when_it_names_those_too(phone):
    call = phone.move("sea", "bucket 1", 6)
    moved = phone.move("bucket 1", "back", 4)
    check_strike(phone.book, [call.id, moved.id])


def test_a_redetermination_is_in_the_way_like_a_move(phone):
    call = phone.move("sea", "bucket 1", 6)
    renamed = phone.rename("bucket 1", 1, "cunner", "tautog")
    assert f"In the way: {renamed.id}" in refusal(phone.book, call)[0]


def test_other_arrivals_of_the_same_kind_make_room(phone):
    call = phone.move("sea", "bucket 1", 6)
    phone.move("sea", "bucket 1", 6)
    phone.move("bucket 1", "back", 6)
    check_strike(phone.book, [call.id])


def test_a_place_already_below_zero_may_not_go_lower_but_may_stay(phone):
    call = phone.move("sea", "bucket 1", 2)
    phone.move("bucket 1", "back", 5)
    other = phone.move("sea", "bucket 2", 1)
    check_strike(phone.book, [other.id])
    assert "would hold -5 cunner" in refusal(phone.book, call)[0]


def test_a_strike_is_not_struck_and_nothing_is_struck_twice(phone):
    slip = phone.move("sea", "net", 1)
    strike = phone.strike(slip)
    unknown = uuid8(b"nobody wrote this")
    assert refusal(phone.book, strike, slip, unknown) == [
        f"entry {strike.id} is a strike, and those stay: enter the line again",
        f"entry {slip.id} is struck already, by {strike.id}",
        f"there is no entry {unknown} in this book",
    ]
