"""A name is understood by exact rules or asked; likeness never decides."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulbook.taxa import PACKS, load_pack
from haulbook.taxa.names import resolve, resolve_pair
from haulbook.taxa.words import fold, take_apart

EAST, WEST = load_pack("nwatlantic"), load_pack("nepacific")
KILLIFISHES = {"Fundulus majalis": "striped-killifish", "Fundulus heteroclitus": "mummichog"}


def certain(name, pack=EAST, **more):
    match = resolve(name, pack, **more)
    assert match.certain, f"{name}: {match.how}, {match.candidates}"
    return match.taxon


@pytest.mark.parametrize(
    ("name", "taxon"),
    [
        ("cunner", "cunner"),
        ("Tautogolabrus adspersus", "cunner"),
        ("silversides", "atlantic-silverside"),
        ("Pipe Fish", "northern-pipefish"),
        ("killifish, striped", "striped-killifish"),
        ("4-spine stickleback", "fourspine-stickleback"),
        ("stickleback_fourspine", "fourspine-stickleback"),
        ("MUMMICHOG ", "mummichog"),
        ("Nereis virens", "clam-worm"),
        ("Doryteuthis pealeii", "longfin-squid"),
        ("sculpin sp.", "cottidae"),
        ("grubby sculpins", "grubby"),
    ],
)
def test_spelling_habits_do_not_hide_a_name(name, taxon):
    assert certain(name) == taxon


@pytest.mark.parametrize(
    ("name", "taxon"),
    [
        ("sanddab pacific", "pacific-sanddab"),
        ("greenling/white_spotted", "whitespotted-greenling"),
        ("threespine stickleback010", "threespine-stickleback"),
        ("Theragra chalcogramma", "walleye-pollock"),
        ("crab Pugettia", "pugettia"),
        ("sea star, dermasterias imbricata", "leather-star"),
        ("Cancer magister", "dungeness-crab"),
    ],
)
def test_order_synonym_and_group_beside_a_name_are_understood(name, taxon):
    assert certain(name, WEST) == taxon


@pytest.mark.parametrize(
    ("name", "taxon", "stage"),
    [
        ("Chum Salmon (J)", "chum-salmon", "young"),
        ("YOY lingcod", "lingcod", "young"),
        ("juv. sculpins", "cottidae", "young"),
        ("dungeness crab megalopa", "dungeness-crab", "larva"),
        ("surf smelt (A)", "surf-smelt", "adult"),
    ],
)
def test_a_life_stage_in_the_name_is_read_and_taken_off(name, taxon, stage):
    match = resolve(name, WEST)
    assert (match.taxon, match.stage) == (taxon, stage)


def test_a_mark_of_doubt_stays_with_the_name():
    match = resolve("bay goby (?)", WEST)
    assert (match.certain, match.taxon, match.doubt) == (True, "bay-goby", True)
    assert resolve("cf. lingcod", WEST).doubt
    assert not resolve("lingcod", WEST).doubt


def test_a_crews_own_codes_are_looked_up_first():
    codes = {"thst": "threespine stickleback", "bapi": "syngnathus leptorhynchus"}
    assert certain("bapi", WEST, codes=codes) == "bay-pipefish"
    assert certain("BAPI", WEST, codes=codes) == "bay-pipefish"
    assert certain("three spine stickleback (thst)", WEST, codes=codes) == "threespine-stickleback"
    assert not resolve("three spine stickleback (thst)", WEST).certain


@pytest.mark.parametrize(
    "name",
    [
        "mummichug",
        "Menidia minidia",
        "banded killifish",
        "tautog/cunner",
        "flounder (left-side)",
        "killifish or minnow",
        "",
        "?",
        "(?)",
    ],
)
def test_anything_below_certainty_is_a_question(name):
    match = resolve(name, EAST)
    assert not match.certain
    assert match.taxon is None


def test_either_or_names_both_as_candidates():
    assert {one.taxon for one in resolve("tautog/cunner", EAST).candidates[:2]} == {"tautog", "cunner"}


def test_one_name_for_two_taxa_is_a_question():
    match = resolve("candlefish", WEST)
    assert not match.certain
    assert match.how == "several taxa go under this name"
    assert len([one for one in match.candidates if one.score == 100]) == 2


def test_a_name_that_says_unknown_is_never_a_species():
    assert certain("unknown cod", WEST) == "gadidae"
    assert not resolve("cunner sp.", EAST).certain


def test_a_slip_offers_what_was_meant_first():
    assert resolve("mummichug", EAST).candidates[0].taxon == "mummichog"
    assert resolve("northern pipfish", EAST).candidates[0].taxon == "northern-pipefish"


@pytest.mark.parametrize("pack", [EAST, WEST], ids=PACKS[::-1])
def test_every_name_of_a_pack_finds_its_own_taxon_or_asks(pack):
    for taxon in pack.taxa.values():
        for name in (taxon.key, taxon.scientific_name, *taxon.common_names, *taxon.synonyms):
            match = resolve(name, pack)
            assert not match.certain or match.taxon == taxon.key, name
            assert taxon.key in {one.taxon for one in match.candidates}, name


def test_the_three_killifishes_never_merge():
    for name, taxon in KILLIFISHES.items():
        assert certain(name) == taxon
    for banded in ("banded killifish", "Fundulus diaphanus", "Fundulus diaphanous"):
        assert not resolve(banded, EAST).certain
    assert not resolve_pair("Banded Killifish", "Fundulus diaphanus", EAST).certain
    assert not resolve_pair("striped killifish", "Fundulus heteroclitus", EAST).certain


@given(
    st.sampled_from(sorted(KILLIFISHES)), st.integers(0, 20), st.sampled_from("abcdefghijklmnopqrstuvwxyz")
)
def test_no_slip_of_one_letter_turns_one_killifish_into_another(name, at, letter):
    slipped = name[: at % len(name)] + letter + name[at % len(name) + 1 :]
    match = resolve(slipped, EAST)
    assert not match.certain or match.taxon == KILLIFISHES[name]


@given(st.text(max_size=40))
def test_any_text_gets_an_answer_or_a_question(text):
    match = resolve(text, EAST)
    assert match.certain == (match.taxon is not None)
    assert len(match.candidates) <= 4


def test_two_names_are_certain_only_where_they_agree():
    assert resolve_pair("Atlantic silverside", "Menidia minidia", EAST).taxon == "atlantic-silverside"
    assert resolve_pair("Mummichug", "Fundulus heteroclitus", EAST).taxon == "mummichog"
    assert resolve_pair("", "Menidia menidia", EAST).taxon == "atlantic-silverside"
    disagreeing = resolve_pair("summer flounder", "Pseudopleuronectes americanus", EAST)
    assert not disagreeing.certain
    assert {one.taxon for one in disagreeing.candidates} >= {"summer-flounder", "winter-flounder"}


def test_words_are_folded_alike_on_both_sides():
    assert fold("Sébastes spp., 12 crabs") == ["sebaste", "spp", "12", "crab"]
    assert fold("anchovies perches lenses gunnels grass octopus") == [
        "anchovy",
        "perch",
        "lense",
        "gunnel",
        "grass",
        "octopus",
    ]
    assert take_apart("young of the year rockfish").stage == "young"
