"""Two typings of one sheet: what differs, and nothing else. All sheets are invented."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulbook.office.compare_typings import NOT_THERE, THERE, compare_typings
from haulbook.office.typed_sheet import MOST_LINES, sheet_of_json, typed_sheet
from haulbook.problems import Refusal
from haulbook.taxa import load_pack

PACK = load_pack("nwatlantic")
COLUMNS = ("back", "kept")


def sheet(*lines, head=None, sums=None, columns=COLUMNS):
    made = [dict(zip(("name", *columns), line, strict=False)) for line in lines]
    return typed_sheet(head or {}, columns, made, sums or {})


def differences(first, second):
    return [(one.key, one.first, one.second) for one in compare_typings(first, second, PACK).differences]


@pytest.mark.parametrize(
    ("place", "one", "other"),
    [
        ("landed", "5:42", "0542"),
        ("w", "8,5", "8.50"),
        ("why", "Snagged  on a stone", "snagged on a stone"),
        ("lengths_are", "T", "total length"),
        ("condition", "1", "1"),
    ],
)
def test_what_says_the_same_is_no_difference_however_it_is_written(place, one, other):
    basis = {"w_basis": "measured"}
    assert differences(sheet(head={place: one, **basis}), sheet(head={place: other, **basis})) == []


def test_a_name_is_compared_by_the_animal_it_means():
    assert differences(sheet(("Atlantic silverside", "38")), sheet(("silverside, Atlantic", "038"))) == []
    assert differences(sheet(("grubby", "3")), sheet(("cunner", "3"))) == [("1.name", "grubby", "cunner")]


def test_a_nought_is_not_a_blank():
    assert differences(sheet(("cunner", "0")), sheet(("cunner", ""))) == [("1.back", "0", "")]


def test_a_line_that_one_left_out_is_one_difference_and_not_one_in_every_line_after():
    first = sheet(("Atlantic silverside", "38"), ("cunner", "4"), ("rock gunnel", "1"), ("grubby", "2"))
    second = sheet(("Atlantic silverside", "38"), ("rock gunnel", "1"), ("grubby", "2"))
    compared = compare_typings(first, second, PACK)
    assert [one.key for one in compared.differences] == ["2.line"]
    assert compared.differences[0].name == "cunner"
    assert compared.settled({"2.line": NOT_THERE}).lines[1] == {}
    assert compared.settled({"2.line": THERE}).lines[1]["name"] == "cunner"


def test_lines_met_in_the_middle_keep_their_own_differences():
    first = sheet(("cunner", "4"), ("rock gunnel", "1"), ("grubby", "2"))
    second = sheet(("cunner", "5"), ("tautog", "1"), ("grubby", "2"))
    assert differences(first, second) == [("1.back", "4", "5"), ("2.name", "rock gunnel", "tautog")]


def test_blank_lines_between_do_not_count():
    first = sheet(("cunner", "4"), (), ("grubby", "2"))
    assert differences(first, sheet(("cunner", "4"), ("grubby", "2"))) == []


def test_a_column_that_only_one_typed_differs_where_something_stands_in_it():
    first = sheet(("cunner", "4", "1", "2"), columns=("back", "kept", "lost"))
    assert differences(first, sheet(("cunner", "4", "1"))) == [("1.lost", "2", "")]


def test_an_assumed_length_differs_from_a_measured_one_and_no_length_has_no_basis():
    measured = {"w": "8", "w_basis": "measured", "d_basis": "measured"}
    assumed = {"w": "8", "w_basis": "assumed", "d_basis": "assumed"}
    assert differences(sheet(head=measured), sheet(head=assumed)) == [("head.w_basis", "measured", "assumed")]


def test_a_third_reading_can_stand_at_any_place_also_where_both_agree():
    compared = compare_typings(
        sheet(("cunner", "4"), sums={"all": "9"}), sheet(("cunner", "5"), sums={"all": "9"}), PACK
    )
    assert [one.key for one in compared.open({})] == ["1.back"]
    answers = {"1.back": "7", "1.kept": "2", "head.landed": "05:52"}
    settled = compared.settled(answers)
    assert compared.open(answers) == ()
    assert settled.lines == ({"name": "cunner", "back": "7", "kept": "2"},)
    assert (settled.head["landed"], settled.sums["all"]) == ("05:52", "9")


def test_a_stored_sheet_comes_back_the_same():
    stored = sheet(
        ("cunner", "4"), (), ("grubby", "2"), head={"landed": "05:52", "none:tautog": "x"}, sums={"back": "6"}
    )
    again = sheet_of_json(stored.as_json())
    assert again.as_json() == stored.as_json()
    assert [line.get("name") for line in again.lines] == ["cunner", None, "grubby"]


def test_what_no_sheet_has_is_left_out_and_what_is_too_long_is_refused():
    odd = typed_sheet(
        {"captain": "x"}, ["back", "eaten"], [{"name": "cunner", "colour": "red"}], {"none": "1"}
    )
    assert (odd.head, odd.columns, odd.lines, odd.sums) == ({}, ("back",), ({"name": "cunner"},), {})
    with pytest.raises(Refusal, match="a sheet takes 400 lines, and 401 were sent"):
        typed_sheet({}, COLUMNS, [{"name": "cunner"}] * (MOST_LINES + 1), {})
    with pytest.raises(Refusal, match="a place takes 1000 characters; one has 1001"):
        typed_sheet({"why": "a" * 1001}, COLUMNS, [], {})


names = st.sampled_from(["cunner", "grubby", "tautog"])
typed = st.lists(st.tuples(names, st.sampled_from(["1", "2"])), max_size=4)


@settings(max_examples=60, deadline=None)
@given(typed, typed)
def test_lines_are_met_in_the_best_of_all_ways(first, second):
    """The alignment's total is the greatest that any way of meeting lines in order reaches (tried one by one)."""

    def worth(one, other):
        return 1 + 3 * (one[0] == other[0]) + (sum(a == b for a, b in zip(one, other, strict=True)) + 5) / 8

    def every_way(ones, others):
        most = min(len(ones), len(others))
        for n in range(most + 1):
            for left in itertools.combinations(ones, n):
                for right in itertools.combinations(others, n):
                    yield sum(map(worth, left, right))

    compared = compare_typings(sheet(*first), sheet(*second), PACK)
    met = [(first[p.first - 1], second[p.second - 1]) for p in compared.pairs if p.first and p.second]
    assert sum(worth(*pair) for pair in met) == pytest.approx(max(every_way(first, second)))
    assert sorted(p.first for p in compared.pairs if p.first) == list(range(1, len(first) + 1))
    assert sorted(p.second for p in compared.pairs if p.second) == list(range(1, len(second) + 1))


@settings(max_examples=40, deadline=None)
@given(typed, typed)
def test_a_sheet_whose_differences_all_take_the_second_typing_is_the_second_typing(first, second):
    one, other = sheet(*first), sheet(*second)
    compared = compare_typings(one, other, PACK)
    answers = {
        d.key: (THERE if d.second else NOT_THERE) if d.place == "line" else d.second
        for d in compared.differences
    }
    stands = [line for line in compared.settled(answers).lines if line]
    assert [(line["name"], line["back"]) for line in stands] == second
    assert compared.open(answers) == ()
