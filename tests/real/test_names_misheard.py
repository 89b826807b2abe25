"""Real names, misheard, misspelt and right, against keys made by hand: none is wrong while certain.

Sources: Hakai Institute nearshore programme, list of corrected names (HakaiInstitute/seagrass-fish-inverts at
9f46d3d, CC BY 4.0); Hakai Institute beach seines 2014-2018, code lists (CC BY 4.0); class seines of a Rhode Island
coastal pond (bigboss3333/seining_diversity at 79c1209, MIT); Kachemak Bay species lists (kbnerr/nearshore-fish,
MIT). ``keys/`` says what each corrected or class name is in our packs, and why where that is not plain; an empty
taxon is not in the pack, so a certain answer would be wrong. A taxon above the right one is right, only coarser.
``python -m bench names`` prints the same figures.
"""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import pytest

from haulbook.taxa import load_pack
from haulbook.taxa.names import resolve
from haulbook.taxa.pairs import resolve_pair

ROOT = Path(__file__).resolve().parents[2]
LEAST = {
    "114 corrections": (114, 48, 25),
    "the same, with the crew's codes": (114, 50, 23),
    "the corrected names": (66, 29, 13),
    "class spellings, common name": (73, 27, 7),
    "class spellings, with binomial": (80, 29, 6),
    "species lists, common name": (242, 139, 25),
}
"""Names, least that are certain, least of the asked whose right taxon is offered; as measured."""


@pytest.fixture(scope="module")
def sets():
    spec = importlib.util.spec_from_file_location("bench_names", ROOT / "bench/names.py")
    module = sys.modules["bench_names"] = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    yield module
    del sys.modules["bench_names"]


@pytest.fixture(scope="module")
def judged(sets, shared_data):
    return {one.source: one for one in sets.judged(shared_data)}


@pytest.mark.parametrize("source", LEAST)
def test_no_name_is_wrong_while_certain_and_not_all_are_asked(judged, source):
    one = judged[source]
    names, certain, offered = LEAST[source]
    assert one.wrong == []
    assert one.names == names
    assert one.right >= certain, "asking everything is no answer either"
    assert one.offered >= offered


def test_every_corrected_name_and_every_class_name_is_in_its_key(sets, shared_data):
    corrections = sets.corrections(shared_data)
    assert len(corrections) == 114  # 51 fish and 63 invertebrates, as the data's README counts
    path = shared_data / "ninigret-class-seines/Ninigret-Compiled.csv"
    rows = [line.split(",") for line in path.read_text(encoding="utf-8-sig").splitlines()]
    pairs = {(row[0].strip(), f"{row[1].strip()} {row[2].strip()}".strip()) for row in rows}
    assert len(rows) == 137
    assert pairs == {(row["common"], row["scientific"]) for row in sets.classes()}


def test_keys_name_taxa_of_the_packs(sets):
    west, east = load_pack("nepacific"), load_pack("nwatlantic")
    assert all(west[taxon] for _, taxon in sets.corrected() if taxon)
    assert all(east[row["taxon"]] for row in sets.classes() if row["taxon"])


def test_killifishes_of_the_classes_stay_three(sets):
    east = load_pack("nwatlantic")
    found = {}
    for row in sets.classes():
        if row["scientific"].startswith("Fundulus") and row["common"] != "Mummichug":
            pair = resolve_pair(row["common"], row["scientific"], east)
            found[row["scientific"]] = (resolve(row["common"], east).taxon, pair.taxon)
    assert found == {
        "Fundulus majalis": ("striped-killifish", "striped-killifish"),
        "Fundulus heteroclitus": ("mummichog", "mummichog"),
        "Fundulus diaphanus": (None, None),
        "Fundulus diaphanous": (None, None),
    }


def test_improbable_fish_are_left_open(sets):
    """Black crappie, blacknose dace, gulf butterfish, a European blenny: flagged, never changed."""
    east = load_pack("nwatlantic")
    for row in sets.classes():
        if row["common"] in ("Black Crappie", "Blacknose Dace", "Gulf Butterfish", "Common Blenny"):
            assert not resolve_pair(row["common"], row["scientific"], east).certain
            assert not resolve(row["common"], east).certain


def test_a_code_list_that_names_one_species_twice_does_not_make_one_of_two(sets, shared_data):
    """The list gives *Sebastes maliger* to brown and to quillback rockfish."""
    west = load_pack("nepacific")
    codes = sets.fish_codes(shared_data)
    assert resolve("qbro", west, codes).taxon == "quillback-rockfish"
    assert not resolve("brro", west, codes).certain
    assert resolve("pipe", west, codes).taxon == "pile-perch"
