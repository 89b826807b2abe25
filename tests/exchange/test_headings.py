"""Headings of real sheets (Kachemak Bay 2008-2023, Hakai 2014-2018) and what they are reduced to."""

from __future__ import annotations

import pytest

from haulbook.exchange.headings import SYNONYMS, meaning_of, reduced


@pytest.mark.parametrize(
    ("heading", "words"),
    [
        ("SeineID", "seine id"), ("Seine#", "seine no"), ("DO_perc", "do perc"), ("pH", "ph"), ("DO %", "do percent"),
        ("Length (mm)", "length mm"), ("Smpler's Initials", "smplers initials"), ("LifeStage", "life stage"),
        ("  Count ", "count"),
    ],
)  # fmt: skip
def test_headings_are_reduced_to_plain_words(heading, words):
    assert reduced(heading) == words


@pytest.mark.parametrize(
    ("heading", "word", "unit"),
    [
        ("SeineID", "haul", None), ("Seine#", "haul_no", None), ("replicate", "haul_no", None),
        ("Common", "name", None),
        ("SpeciesName", "name", None), ("Length_mm", "length", "mm"), ("Total length (cm)", "length", "cm"),
        ("abundance", "n", None), ("Unmeasured", "n_unmeasured", None), ("Deceased", "dead", None),
        ("Disposition", "fate", None), ("area_ha", "area", "ha"), ("Swept area (100m2)", "area", "100m2"),
        ("Depth (feet)", "depth", "ft"), ("Temperature_C", "temperature_c", None), ("DO_mgL", "oxygen_mg_l", None),
        ("DO_percent", "oxygen_percent", None), ("Smpler's Initials", "person", None), ("entered", "person", None),
        ("long", "lon", None), ("complex_components", "members", None),
    ],
)  # fmt: skip
def test_headings_of_real_sheets_are_known(heading, word, unit):
    meaning = meaning_of(heading)
    assert (meaning.word, meaning.unit) == (word, unit)


def test_sets_side_by_side_are_told_apart():
    assert (meaning_of("area_set1").word, meaning_of("area_set1").set_no) == ("area", "1")
    assert meaning_of("area_set2").set_no == "2"


@pytest.mark.parametrize("heading", ["checkID", "Turbidity_FNU", "Reach", "", "column A", "secchi"])
def test_other_headings_are_not_known(heading):
    assert meaning_of(heading) is None


def test_no_heading_has_two_meanings():
    said = [saying for sayings in SYNONYMS.values() for saying in sayings]
    assert len(said) == len(set(said))
