"""Calls and their meaning, from the cases that Python and the phone share."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from haulbook.calls import understand
from haulbook.taxa import load_pack

FILES = sorted((Path(__file__).parents[1] / "cases").glob("calls*.json"))
CASES = [case for file in FILES for case in json.loads(file.read_text(encoding="utf-8"))["cases"]]
NOTHING = {
    "count": None, "taxon": None, "stage": None, "fate": None, "place": None, "length_mm": None,
    "doubt": False, "doubt_about": None, "zero": False,
}  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[f"{case['pack']}: {case['text']}" for case in CASES])
def test_a_call_means_what_the_case_says(case):
    answer = understand(case["text"], load_pack(case["pack"])).as_json()
    if case.get("asks"):
        assert answer["asks"]
        return
    assert answer["asks"] == []
    assert answer["lines"] == [NOTHING | line for line in case["lines"]]
    assert answer["commands"] == case.get("commands", [])


@pytest.mark.parametrize(
    ("pack", "text", "first"),
    [
        ("nwatlantic", "2 corner", "cunner"),
        ("nwatlantic", "two moons", "moon-jelly"),
        ("nepacific", "three gracefuls", "graceful-crab"),
        ("nepacific", "one tidepool", "tidepool-sculpin"),
        ("nepacific", "one son shrimp", "crangon"),
    ],
)
def test_a_name_that_is_not_certain_is_asked_with_at_most_four_choices(pack, text, first):
    (ask,) = understand(text, load_pack(pack)).asks
    assert first in ask.choices
    assert len(ask.choices) <= 4


def test_a_question_about_a_name_carries_what_is_known_of_the_animals():
    answer = understand("2 cunner back, 3 mumer dead", load_pack("nwatlantic"))
    assert [(line.count, line.taxon, line.fate) for line in answer.lines] == [(2, "cunner", "back")]
    (ask,) = answer.asks
    assert (ask.said, ask.about, ask.choices[0]) == ("mumer", "name", "mummichog")
    assert ask.line is not None
    assert (ask.line.count, ask.line.taxon, ask.line.fate) == (3, None, "dead")


def test_nothing_is_written_beside_words_that_may_speak_of_every_lot():
    answer = understand("3 cunner, 2 tautog, deal", load_pack("nwatlantic"))
    assert answer.lines == ()
    assert answer.asks[0].about == "words"


def test_one_of_two_names_is_asked_with_both():
    (ask,) = understand("one grubby or shorthorn, kept", load_pack("nwatlantic")).asks
    assert (ask.about, ask.choices[:2]) == ("name", ("grubby", "shorthorn-sculpin"))
    assert ask.line is not None
    assert (ask.line.count, ask.line.taxon, ask.line.fate) == (1, None, "kept")


def test_a_group_is_not_written_while_it_is_not_clear_what_was_taken_out_of_it():
    answer = understand("five sticklebacks: three fourspine, two mumer", load_pack("nwatlantic"))
    assert [(line.count, line.taxon) for line in answer.lines] == [(3, "fourspine-stickleback")]
