"""Numbers in words and digits, against their spelling by rule."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulbook.calls import understand
from haulbook.calls.numbers import MOST_COUNT
from haulbook.taxa import load_pack

PACK = load_pack("nwatlantic")
ONES = [
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
]  # fmt: skip
TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


def spelt(number: int, joint: str) -> str:
    """Return an English numeral below 100 000, as it is spoken."""
    if number < 20:
        return ONES[number]
    if number < 100:
        return f"{TENS[number // 10 - 2]} {ONES[number % 10] if number % 10 else ''}".strip()
    size, word = (1000, "thousand") if number >= 1000 else (100, "hundred")
    whole, rest = divmod(number, size)
    return f"{spelt(whole, joint)} {word}" + (f"{joint}{spelt(rest, joint)}" if rest else "")


@given(st.integers(1, 9_999), st.sampled_from([" ", " and "]))
def test_a_spelt_number_counts_what_it_says(number, joint):
    joint = joint if number % 1000 < 100 or number < 1000 else " "
    answer = understand(f"{spelt(number, joint)} cunner", PACK)
    assert [(line.count, line.taxon) for line in answer.lines] == [(number, "cunner")]


@given(st.integers(0, MOST_COUNT))
def test_digits_count_what_they_say(number):
    (line,) = understand(f"{number} cunner", PACK).lines
    assert (line.count, line.zero) == (number, number == 0)


@given(st.integers(MOST_COUNT + 1, 10**30))
def test_more_than_any_haul_is_asked(number):
    answer = understand(f"{number} cunner", PACK)
    assert (answer.lines, answer.asks[0].about) == ((), "count")


@pytest.mark.parametrize("many", [400, 5_000])
def test_a_finger_left_on_a_key_is_asked(many):
    assert understand("9" * many + " cunner", PACK).asks
    assert understand("9" * many + ".5 cm, one cunner", PACK).asks


@pytest.mark.parametrize(
    ("said", "mm"),
    [
        ("6½ cm", 65), ("6 1/2 inches", 165.1), ("half an inch", 12.7), ("six and a half centimetres", 65),
        ("7.5 cm", 75), ("seven point five centimetres", 75), ("6,5 cm", 65), ("45mm TL", 45), ("12.25 mm", 12.3),
        ("maybe six inches", 152.4),
    ],
)  # fmt: skip
def test_a_length_is_in_millimetres_to_the_tenth(said, mm):
    (line,) = understand(f"one cunner, {said}", PACK).lines
    assert (line.length_mm, line.doubt_about) == (mm, None)


@pytest.mark.parametrize("said", ["0 mm", "12 m 5", "99999 cm", "3 to 4 cm"])
def test_no_length_is_made_up(said):
    answer = understand(f"one cunner, {said}", PACK)
    assert answer.asks
    assert all(line.length_mm is None for line in answer.lines)


@given(st.lists(st.integers(10, 900), min_size=2, max_size=6))
def test_one_length_for_each_animal_makes_as_many_lines_of_one(lengths):
    said = " and ".join((", ".join(map(str, lengths[:-1])), f"{lengths[-1]} mm"))
    answer = understand(f"{len(lengths)} winter flounder, {said}", PACK)
    assert not answer.asks
    assert [(line.count, line.length_mm) for line in answer.lines] == [(1, length) for length in lengths]
