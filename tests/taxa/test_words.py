"""Spelling habits come off alike on both sides; stage, marks and lists are read out."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulbook.taxa.words import abbreviates, fold, joined, singular, spread_head, take_apart


@pytest.mark.parametrize(
    ("many", "one"),
    [
        ("gunnels", "gunnel"), ("anchovies", "anchovy"), ("jellies", "jelly"), ("jellie", "jelly"),
        ("perches", "perch"), ("octopuses", "octopus"), ("mummies", "mummy"), ("eels", "eel"),
        ("grass", "grass"), ("pandalus", "pandalus"), ("bass", "bass"), ("cod", "cod"), ("smelts", "smelt"),
    ],
)  # fmt: skip
def test_a_plural_becomes_singular_and_a_latin_ending_stays(many, one):
    assert singular(many) == one


def test_words_are_folded_alike_on_both_sides():
    assert fold("Sébastes spp., 12 crabs") == ["sebaste", "spp", "12", "crab"]
    assert fold("Lewis’s moon snails") == fold("lewis moon snail") == ["lewis", "moon", "snail"]
    assert (
        fold("threespine stickleback010") == fold("3-spined sticklebacks") == fold("three spine stickleback")
    )
    assert fold("lion's mane jellyfish") == fold("Lions mane jelly")


def test_neighbouring_words_may_be_written_together():
    assert list(joined(("sand", "dab"))) == [("sand", "dab"), ("sanddab",)]
    assert ("pacific", "sanddab") in joined(("pacific", "sand", "dab"))
    assert list(joined(())) == [()]
    assert list(joined(tuple("abcdefg"))) == [tuple("abcdefg")]


@pytest.mark.parametrize(
    ("name", "words", "stage"),
    [
        ("Saffron Cod (J)", ("saffron", "cod"), "young"),
        ("young of the year rockfish", ("rockfish",), "young"),
        ("rockfish YOY", ("rockfish",), "young"),
        ("Dolly Varden (A)", ("dolly", "varden"), "adult"),
        ("squid egg masses", ("squid",), "egg mass"),
        ("squid eggs", ("squid",), "egg mass"),
        ("egg wrack", ("egg", "wrack"), None),
        ("crab megalopae", ("crab",), "larva"),
        ("juv/adult stickleback", ("stickleback",), None),
        ("smolt", ("smolt",), "young"),
    ],
)
def test_a_life_stage_is_read_and_taken_off(name, words, stage):
    said = take_apart(name)
    assert (said.words, said.stage) == (words, stage)


@pytest.mark.parametrize(
    ("name", "mark"),
    [
        ("Goby (?)", "doubt"), ("cf. lingcod", "doubt"), ("Hexagrammos cf. stelleri", "doubt"),
        ("Sebastes aff. maliger", "akin"), ("goby sp.", "undecided"), ("unid. sculpin", "undecided"),
        ("cod, other", "other"), ("coho smolt", "salmon"),
    ],
)  # fmt: skip
def test_a_mark_is_read_and_taken_off(name, mark):
    assert mark in take_apart(name).marks


@pytest.mark.parametrize(
    ("name", "parts", "joint"),
    [
        ("tautog/cunner", (("tautog",), ("cunner",)), "slash"),
        ("killifish, striped", (("killifish",), ("striped",)), "comma"),
        ("cunner or tautog", (("cunner",), ("tautog",)), "or"),
        ("cunner & tautog", (("cunner",), ("tautog",)), "and"),
        ("cunner, tautog or eel", (("cunner",), ("tautog",), ("eel",)), "and"),
        ("white_spotted-greenling", (("white", "spotted", "greenling"),), ""),
        ("cod,", (("cod",),), ""),
    ],
)
def test_what_cuts_a_name_is_kept(name, parts, joint):
    said = take_apart(name)
    assert (said.parts, said.joint) == (parts, joint)


def test_brackets_authority_and_rank_are_set_aside():
    assert take_apart("jack (Carangidae) sp.").asides == ("Carangidae",)
    assert take_apart("Squalus suckleyi (Girard, 1855)").words == ("squalus", "suckleyi")
    assert take_apart("Gadus morhua Linnaeus, 1758").words == ("gadus", "morhua")
    assert take_apart("Family: Gadidae").words == ("gadidae",)


def test_a_shared_head_goes_to_every_name_of_a_list():
    assert spread_head((("padded",), ("smoothhead", "sculpin"))) == (
        ("padded", "sculpin"),
        ("smoothhead", "sculpin"),
    )
    assert spread_head((("sand", "sculpin"), ("sculpin",))) == (("sand", "sculpin"), ("sculpin",))


def test_the_usual_code_is_two_letters_of_first_and_last_word():
    """Codes of the Hakai beach seines 2014-2018 (CC BY 4.0): thst, pasa, cabe."""
    assert abbreviates("thst", ("threespine", "stickleback"))
    assert abbreviates("PASA", ("pacific", "sanddab"))
    assert abbreviates("cabe", ("cabezon",))
    assert not abbreviates("pipe", ("pile", "seaperch", "x"))
    assert not abbreviates("", ())


@given(st.text(max_size=60))
def test_any_text_can_be_taken_apart(text):
    said = take_apart(text)
    assert said.words == tuple(word for part in said.parts for word in part)
    assert (said.joint == "") == (len(said.parts) < 2)
