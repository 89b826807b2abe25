"""A common and a scientific name are certain only where they agree.

Pairs marked (N) stand so in the class seines of a Rhode Island coastal pond (bigboss3333/seining_diversity, MIT).
"""

from __future__ import annotations

import pytest

from haulbook.taxa import load_pack
from haulbook.taxa.pairs import resolve_pair

EAST, WEST = load_pack("nwatlantic"), load_pack("nepacific")


@pytest.mark.parametrize(
    ("common", "scientific", "taxon"),
    [
        ("Atlantic silverside", "Menidia menidia", "atlantic-silverside"),
        ("Atlantic silverside", "Menidia minidia", "atlantic-silverside"),  # (N)
        ("Atlantic silverside", "Minidia minidia", "atlantic-silverside"),  # (N)
        ("Sheepshead Minnow", "Cypronodon vareigatus", "sheepshead-minnow"),  # (N)
        ("American Eel", "Anguila rostrata", "american-eel"),  # (N)
        ("Mummichug", "Fundulus heteroclitus", "mummichog"),  # (N)
        ("Winter flounder", "Pleuronectes americanus", "winter-flounder"),  # (N), the genus it was in before
        ("4-spine stickleback", "Apeltes quadracus", "fourspine-stickleback"),  # (N)
        ("stickleback", "Apeltes quadracus", "fourspine-stickleback"),
        ("rock gunnel", "Pholidae", "rock-gunnel"),
        ("", "Menidia menidia", "atlantic-silverside"),
        ("sculpin sp.", " ", "cottidae"),
    ],
)
def test_names_that_agree_are_certain(common, scientific, taxon):
    assert resolve_pair(common, scientific, EAST).taxon == taxon


@pytest.mark.parametrize(
    ("common", "scientific"),
    [
        ("summer flounder", "Pseudopleuronectes americanus"),  # (N)
        ("Longhorn sculpin", "Cottus cognatus"),  # (N)
        ("Fourspine Stickelback", "Percomorpha gasterosteiformes"),  # (N)
        ("pufferfish (northern or southern)", "Sphoeroides maculatus"),  # (N)
        ("striped killifish", "Fundulus diaphanus"),
        ("banded killifish", "Fundulus majalis"),
        ("striped killifish", "Fundulus heteroclitus"),
        ("Banded Killifish", "Fundulus diaphanous"),  # (N)
        ("winter flounder", "Homarrus americanus"),
        ("", ""),
    ],
)
def test_names_that_do_not_agree_are_a_question(common, scientific):
    match = resolve_pair(common, scientific, EAST)
    assert (match.certain, match.taxon) == (False, None)


def test_a_question_offers_what_each_name_says():
    offered = {
        one.taxon for one in resolve_pair("summer flounder", "Pseudopleuronectes americanus", EAST).candidates
    }
    assert offered >= {"summer-flounder", "winter-flounder"}


def test_a_sister_species_that_is_not_in_the_pack_is_no_slip():
    """Masked greenling and northern rock sole: names of the Kachemak and Hakai lists (MIT; CC BY 4.0)."""
    assert not resolve_pair("kelp greenling", "Hexagrammos octogrammus", WEST).certain
    assert not resolve_pair("rock sole", "Lepidopsetta polyxystra", WEST).certain
    assert not resolve_pair("brown rockfish", "Sebastes maliger", WEST).certain


def test_stage_and_doubt_of_either_name_stay():
    match = resolve_pair("juv. grubby", "Myoxocephalus cf. aenaeus", EAST)
    assert (match.taxon, match.stage, match.doubt) == ("grubby", "young", True)
