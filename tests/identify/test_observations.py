"""Looks as they are said: read, or refused by name with the nearest."""

from __future__ import annotations

import pytest

from haulbook.identify import read_observations
from haulbook.identify.characters import load_characters
from haulbook.identify.observations import Observation, read_characters
from haulbook.problems import Refusal


def read(*saw, not_saw=()):
    return read_observations(saw, not_saw, load_characters())


def refused(*saw, not_saw=()):
    with pytest.raises(Refusal) as refusal:
        read(*saw, not_saw=not_saw)
    return [each.message for each in refusal.value.problems]


def test_a_look_is_a_character_and_a_state_however_it_is_spaced():
    assert read("Tail fin = Forked", "tail_fin=forked") == (Observation("tail_fin", frozenset({"forked"})),)


def test_two_states_are_one_look_that_could_not_tell():
    assert read("tail_fin=rounded|square")[0].states == {"rounded", "square"}


def test_what_was_ruled_out_leaves_the_other_states():
    (seen,) = read(not_saw=("dorsal_fins=one", "dorsal_fins=three"))
    assert seen == Observation("dorsal_fins", frozenset({"two"}), ruled_out=True)


def test_seen_and_ruled_out_together_narrow_one_look():
    (seen,) = read("tail_fin=rounded|square", not_saw=("tail_fin=square",))
    assert seen == Observation("tail_fin", frozenset({"rounded"}))


def test_everything_that_is_off_is_refused_together_with_the_nearest_names():
    assert refused("tail_fn=forked", "tail_fin=forkd", "rings") == [
        "there is no character 'tail_fn'; the nearest are tail_fin, tail_keel, tail_grasp",
        "tail_fin has no state 'forkd'; the nearest is forked",
        "'rings' is not character=state, as body_plan=torpedo",
    ]


def test_a_state_spelt_like_nothing_brings_all_that_there_are():
    assert refused("eyed_side=xyz") == ["eyed_side has no state 'xyz'; known are right, left"]


def test_a_character_answered_twice_is_refused_with_the_way_to_say_doubt():
    assert refused("tail_fin=rounded", "tail_fin=square") == [
        "tail_fin is answered twice; where you can't tell, say tail_fin=rounded|square"
    ]


def test_a_character_with_no_state_left_is_refused():
    words = "eyed_side has no state left: all were ruled out, or seen and not seen"
    assert refused(not_saw=("eyed_side=left", "eyed_side=right")) == [words]
    assert refused("eyed_side=left", not_saw=("eyed_side=left",)) == [words]


def test_unknown_characters_to_skip_are_refused_by_name():
    assert read_characters(["Tail fin"], load_characters()) == ("tail_fin",)
    with pytest.raises(Refusal, match="there is no character 'gil_lines'; the nearest are gill_lines"):
        read_characters(["gil_lines"], load_characters())
