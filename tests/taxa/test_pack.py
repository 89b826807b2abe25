"""The packs are complete, hang together, and are the reference tables row by row."""

from __future__ import annotations

import csv
from importlib.resources import files

import pytest

from haulbook.problems import Refusal
from haulbook.taxa import PACKS, load_pack

ROWS = {"nepacific": (192, 111), "nwatlantic": (166, 86)}
"""Rows and species, as the heads of the look-alike reference pages state them."""


@pytest.mark.parametrize("key", PACKS)
def test_packaged_table_is_the_reference_table_row_by_row(key, shared_reference):
    ours = files("haulbook.taxa").joinpath(f"packs/{key}.csv").read_text(encoding="utf-8")
    theirs = (shared_reference / f"taxa-{key}.csv").read_text(encoding="utf-8")
    assert list(csv.reader(ours.splitlines())) == list(csv.reader(theirs.splitlines()))


@pytest.mark.parametrize("key", PACKS)
def test_every_taxon_hangs_in_the_tree_and_the_tree_has_several_roots(key):
    pack = load_pack(key)
    rows, species = ROWS[key]
    assert len(pack.taxa) == rows
    assert sum(taxon.rank == "species" for taxon in pack.taxa.values()) == species
    roots = {one for one, taxon in pack.taxa.items() if taxon.parent is None}
    assert roots == {"animalia", "plantae", "chromista"}
    for one in pack.taxa:
        line = (one, *pack.lineage(one))
        assert line[-1] in roots
        assert len(set(line)) == len(line)


@pytest.mark.parametrize("key", PACKS)
def test_an_identifier_always_says_where_it_was_checked(key):
    for taxon in load_pack(key).taxa.values():
        assert bool(taxon.aphia_id) <= bool(taxon.aphia_source), taxon.key


def test_identifiers_are_those_of_the_public_lists():
    """WoRMS AphiaIDs as CalCOFI's taxon list (4d15542, checked 2026-08-05) and AmP have them."""
    pack = load_pack("nepacific")
    for key, aphia in (
        ("tube-snout", 279839), ("pacific-staghorn-sculpin", 254345), ("starry-flounder", 154781),
        ("european-green-crab", 107381), ("cottidae", 125589), ("syngnathidae", 125606),
    ):  # fmt: skip
        assert pack[key].aphia_id == aphia


def test_a_family_holds_its_species_and_not_those_of_another():
    pack = load_pack("nwatlantic")
    assert pack.is_within("mummichog", "fundulidae")
    assert pack.is_within("mummichog", "mummichog")
    assert not pack.is_within("sheepshead-minnow", "fundulidae")
    assert not pack.is_within("?glimmer fish", "actinopterygii")
    assert pack.species_of("fundulidae") == {"mummichog", "striped-killifish"}
    assert pack.species_of("mummichog") == {"mummichog"}


def test_body_groups_stand_apart_from_the_tree():
    pack = load_pack("nepacific")
    assert pack["cabezon"].group == "sculpin"
    assert pack["silverspotted-sculpin"].group == "sculpin"
    assert not pack.is_within("silverspotted-sculpin", "cottidae")


def test_unknown_pack_and_taxon_name_the_nearest():
    with pytest.raises(Refusal, match="there is no pack 'nwatlantik'; the nearest is 'nwatlantic'"):
        load_pack("nwatlantik")
    with pytest.raises(Refusal, match="'mumichog'; the nearest is 'mummichog'"):
        load_pack("nwatlantic")["mumichog"]


def test_version_is_of_the_table():
    assert load_pack("nwatlantic").version != load_pack("nepacific").version
    assert len(load_pack("nwatlantic").version) == 12
