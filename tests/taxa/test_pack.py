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


def rows_of(name):
    text = files("haulbook.taxa").joinpath(f"packs/{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@pytest.mark.parametrize("key", PACKS)
def test_keys_are_unique_and_every_parent_has_a_row_and_no_row_stands_above_itself(key):
    rows = rows_of(key)
    parents = {row["key"]: row["parent"] for row in rows}
    assert len(parents) == len(rows)
    for start in parents:
        above, seen = parents[start], {start}
        while above:
            assert above in parents, f"{start} hangs under {above}, which has no row"
            assert above not in seen, f"{above} stands above itself"
            seen.add(above)
            above = parents[above]


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
        assert (taxon.aphia_id is not None) == bool(taxon.aphia_source), taxon.key


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


def test_a_complex_stands_for_its_members_and_for_itself_where_one_has_no_row():
    """Members as in the code list of the Hakai beach seines 2014-2018 (CC BY 4.0); auriculatus has no row."""
    pack = load_pack("nepacific")
    assert pack.species_of("black-yellowtail") == {"black-rockfish", "yellowtail-rockfish"}
    copper = {"copper-rockfish", "quillback-rockfish", "copper-quillback-brown"}
    assert pack.species_of("copper-quillback-brown") == copper
    assert pack.species_of("sebastes") == {*copper, "black-rockfish", "yellowtail-rockfish", "bocaccio"}
    assert pack.below("black-yellowtail") == {"black-yellowtail"}


def test_a_larval_fish_can_be_any_fish():
    pack = load_pack("nepacific")
    assert pack.species_of("larval-fish") == pack.species_of("actinopterygii")
    assert "larval-fish" not in pack.species_of("actinopterygii")
    assert not pack.species_of("larval-fish") & pack.species_of("brachyura")


def test_a_species_hangs_under_its_genus_where_that_has_a_row():
    """The table hangs the three species of Artedius under Cottidae, since the genus was added after them."""
    pack = load_pack("nepacific")
    assert pack.species_of("artedius") == {"padded-sculpin", "smoothhead-sculpin", "scalyhead-sculpin"}
    assert pack.lineage("padded-sculpin")[:2] == ("artedius", "cottidae")
    for key in PACKS:
        pack = load_pack(key)
        genera = {taxon.scientific_name: one for one, taxon in pack.taxa.items() if taxon.rank == "genus"}
        for one, taxon in pack.taxa.items():
            genus = genera.get(taxon.scientific_name.split()[0])
            assert genus is None or pack.is_within(one, genus), one


@pytest.mark.parametrize("key", PACKS)
def test_nothing_under_a_name_is_lost_in_what_it_can_stand_for(key):
    pack = load_pack(key)
    for one in pack.taxa:
        for other in pack.below(one):
            if pack[other].rank != "informal":
                assert pack.species_of(other) <= pack.species_of(one), (one, other)


def test_words_that_are_asked_name_taxa_of_their_pack_and_a_reason():
    for row in rows_of("asked"):
        pack = load_pack(row["pack"])
        assert all(pack[key] for key in row["may_be"].split("|"))
        assert row["why"]


def test_a_row_is_typed():
    fish = load_pack("nepacific")["bay-pipefish"]
    assert (fish.max_length_mm, fish.lw_a, fish.typical_juvenile_mm) == (385.0, 0.0002, "81-230")
    assert fish.common_names[0] == "bay pipefish"
    assert fish.aphia_id is None
    assert load_pack("nepacific")["animalia"].parent is None


def test_unknown_pack_and_taxon_name_the_nearest():
    with pytest.raises(Refusal, match="there is no pack 'nwatlantik'; the nearest is 'nwatlantic'"):
        load_pack("nwatlantik")
    with pytest.raises(Refusal, match="'mumichog'; the nearest is 'mummichog'"):
        load_pack("nwatlantic")["mumichog"]


def test_version_is_of_the_table():
    assert load_pack("nwatlantic").version != load_pack("nepacific").version
    assert len(load_pack("nwatlantic").version) == 12
