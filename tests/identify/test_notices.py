"""Notices fire on possible matches, in the pack's own words."""

from __future__ import annotations

import pytest

from haulbook.identify.notices import POSSIBLE, kinds_of
from haulbook.taxa import load_pack

# What the packs say today, by kind. A change of the pack shows here.
CARRIED = {
    ("nepacific", "invasive"): {"european-green-crab"},
    ("nepacific", "introduced"): {"skeleton-shrimp", "white-bubble-shell", "dwarf-eelgrass", "sargassum"},
    ("nepacific", "protected"): {
        "actinopterygii", "osmeridae", "eulachon", "salmonidae", "chinook-salmon", "chum-salmon", "steelhead",
        "sebastes", "sunflower-star", "bocaccio", "dolly-varden",
    },
    ("nepacific", "hazardous"): {
        "spiny-dogfish", "spotted-ratfish", "cabezon", "cross-jelly", "sebastes", "copper-rockfish",
        "quillback-rockfish", "black-rockfish", "yellowtail-rockfish", "copper-quillback-brown", "black-yellowtail",
        "opalescent-nudibranch", "red-octopus", "giant-pacific-octopus", "actiniaria", "medusozoa",
        "clinging-jelly", "lions-mane-jelly", "polychaeta",
    },
    ("nwatlantic", "invasive"): {
        "european-green-crab", "asian-shore-crab", "rockpool-shrimp", "japanese-skeleton-shrimp"
    },
    ("nwatlantic", "introduced"): {"skeleton-shrimp", "common-periwinkle", "green-fleece", "gracilaria"},
    ("nwatlantic", "protected"): {
        "lined-seahorse", "salmonidae", "atlantic-salmon", "american-eel", "horseshoe-crab",
    },
    ("nwatlantic", "hazardous"): {
        "northern-puffer", "lady-crab", "longfin-squid", "actiniaria", "medusozoa", "clinging-jelly", "moon-jelly",
        "lions-mane-jelly", "polychaeta", "clam-worm",
    },
}  # fmt: skip


@pytest.mark.parametrize(("pack", "kind"), CARRIED, ids=str)
def test_these_taxa_carry_a_notice(pack, kind):
    assert {taxon.key for taxon in load_pack(pack).taxa.values() if kind in kinds_of(taxon)} == CARRIED[
        pack, kind
    ]


def fired(found, kind):
    return {each.taxon: each.probability for each in found.notices if each.kind == kind}


def test_any_crab_may_be_the_invader_until_it_is_told_apart(look):
    crab = look("nepacific", "body_plan=crab")
    assert fired(crab, "invasive")["european-green-crab"] >= POSSIBLE
    (notice,) = [each for each in crab.notices if each.kind == "invasive"]
    assert notice.message.startswith("INVASIVE. Washington: prohibited species")
    told = look(
        "nepacific", "body_plan=crab", "carapace_teeth=six", "shell_top=bristly", "carapace_shape=diamond"
    )
    assert fired(told, "invasive") == {}


def test_kinds_are_weighed_together_so_that_many_small_chances_still_speak(look):
    # A plain fish: each protected fry is a few percent, together they are far over the threshold.
    fry = fired(look("nepacific", "body_plan=torpedo"), "protected")
    assert {"chinook-salmon", "chum-salmon", "steelhead", "eulachon"} <= set(fry)
    assert max(share for share in fry.values() if share) < POSSIBLE
    assert sum(share for share in fry.values() if share) > POSSIBLE


def test_a_young_salmon_is_protected_where_it_is_left_at_its_family(look):
    found = look("nepacific", "body_plan=torpedo", "adipose=present", "pelvic_scale=yes")
    assert found.left_at.taxon in ("salmonidae", "oncorhynchus")
    assert "until shown otherwise" in " ".join(
        each.message for each in found.notices if each.taxon == "salmonidae"
    )


def test_a_jelly_with_a_cross_is_handled_as_the_one_that_stings(look):
    # WHOI; look-alike page, section 14: in doubt handle it as clinging.
    found = look("nepacific", "body_plan=jelly", "bell=pale_cross")
    assert found.ranking[0][0] == "cross-jelly"
    assert {"cross-jelly", "clinging-jelly"} <= set(fired(found, "hazardous"))
    assert "in doubt handle as clinging jelly" in found.notices[0].message


def test_a_possible_animal_told_only_by_its_body_has_its_notice(look):
    found = look("nwatlantic", "body_plan=bug")
    assert fired(found, "invasive")["japanese-skeleton-shrimp"] is None
    assert fired(look("nwatlantic", "body_plan=horseshoe"), "protected") == {"horseshoe-crab": None}


def test_nothing_fires_before_anything_was_seen(look):
    assert look("nepacific").notices == ()
