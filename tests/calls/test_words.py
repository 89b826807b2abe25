"""One word read for another: slips against a reference edit distance, sound, shorthand.

Source of the check: rapidfuzz's optimal string alignment distance (every weight of ours lies between 0.5 and 1.1).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz.distance import OSA

from haulbook.calls.lexicon import lexicon
from haulbook.calls.names import plural_of
from haulbook.calls.shorthand import shorthand_cost
from haulbook.calls.slips import FIRST_LETTER, least_cost, letters, slip_cost
from haulbook.calls.sound import sound_key
from haulbook.calls.spelling import near
from haulbook.taxa import load_pack

WORDS = st.text(alphabet="abcdeklmnost", min_size=1, max_size=9)


@given(WORDS, WORDS)
def test_a_slip_costs_between_half_and_all_of_the_edits(said, meant):
    first = FIRST_LETTER if said[0] != meant[0] else 0.0
    edits, cost = OSA.distance(said, meant), slip_cost(said, meant, 99.0) - first
    assert 0.5 * edits - 1e-9 <= cost <= 1.1 * edits + 1e-9


@given(WORDS, WORDS)
def test_the_quick_bound_is_never_above_the_cost(said, meant):
    assert least_cost(letters(said), letters(meant)) <= slip_cost(said, meant, 99.0) + 1e-9


@given(WORDS, WORDS, st.floats(0.1, 3.0))
def test_a_cost_is_the_same_below_any_limit_and_infinite_above(said, meant, most):
    full, cut = slip_cost(said, meant, 99.0), slip_cost(said, meant, most)
    assert cut == pytest.approx(full) if full <= most - 1e-9 else cut >= full - 1e-9


def test_slips_of_thumbs_are_cheaper_than_other_letters():
    assert (
        slip_cost("cunnner", "cunner", 3)
        < slip_cost("cubner", "cunner", 3)
        < slip_cost("cuxner", "cunner", 3)
    )
    assert slip_cost("cnuner", "cunner", 3) < slip_cost("cuner", "cunnxer", 3)
    assert slip_cost("runner", "cunner", 3) > slip_cost("cunnar", "cunner", 3)


@pytest.mark.parametrize(
    ("one", "other"),
    [("amfipods", "amphipods"), ("connor", "cunner"), ("skulpin", "sculpin"), ("stickelback", "stickleback")],
)
def test_words_that_sound_alike_share_a_key(one, other):
    assert sound_key(one) == sound_key(other) != ""


def test_a_key_too_short_to_tell_words_apart_is_empty():
    assert sound_key("eel") == ""


@pytest.mark.parametrize(
    ("short", "long"),
    [
        ("sculp", "sculpin"),
        ("frstfsh", "frostfish"),
        ("pch", "perch"),
        ("mummi", "mummichog"),
        ("gspr", "gaspereau"),
    ],
)
def test_tally_shorthand_is_a_beginning_or_a_skeleton(short, long):
    assert shorthand_cost(short, long) < 1.0


@pytest.mark.parametrize(
    ("short", "long"), [("runner", "cunner"), ("ads", "acadian"), ("tg", "tautog"), ("sculpin", "sculp")]
)
def test_no_shorthand_is_read_into_other_words(short, long):
    assert shorthand_cost(short, long) == float("inf")


@pytest.mark.parametrize(
    ("one", "many"), [("jelly", "jellies"), ("fish", "fishes"), ("ray", "rays"), ("crab", "crabs")]
)
def test_plurals(one, many):
    assert plural_of(one) == many


def test_a_word_of_english_is_seldom_a_slip():
    words = lexicon(load_pack("nwatlantic"))
    runner = {form.word: cost for form, cost in near("runner", words)}
    cuner = {form.word: cost for form, cost in near("cuner", words)}
    assert runner["cunner"] > 1.5 > cuner["cunner"]
