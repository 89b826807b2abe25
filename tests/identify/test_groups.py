"""Where an animal is left when the species can't be told."""

from __future__ import annotations

import pytest

from haulbook.identify import SURE


def names(supports):
    return [each.taxon for each in supports]


def test_two_gunnels_that_are_not_told_apart_are_left_at_their_family(look):
    # Look-alike page, section 2: "If unsure leave at Pholidae".
    found = look("nepacific", "body_plan=ribbon", "vent_place=behind", "back_marks=plain", "head_crest=no")
    assert not found.sure
    assert found.left_at.taxon == "pholidae"
    assert found.left_at.probability >= SURE


def test_small_sculpins_with_patches_of_scales_are_left_at_the_crews_own_genus(look):
    # Look-alike page, section 3: crews use one code for these (row artedius).
    found = look(
        "nepacific", "body_plan=bighead", "body_cover=part_scaled", "cheek_spine=forked", "dorsal_spot=none",
        "tail_fin=rounded", "lateral_line=single", "posture=still",
    )  # fmt: skip
    assert found.left_at.taxon == "artedius"
    assert {"padded-sculpin", "smoothhead-sculpin"} <= set(found.undecided)


def test_the_support_of_a_group_is_the_sum_over_its_members(look):
    found = look("nwatlantic", "body_plan=torpedo", "free_spines=two_to_five")
    chances = dict(found.ranking)
    (family,) = [each for each in found.groups if each.taxon == "gasterosteidae"]
    members = [f"{name}-stickleback" for name in ("threespine", "blackspotted", "fourspine", "ninespine")]
    assert family.probability == pytest.approx(sum(chances[name] for name in members))


def test_groups_around_the_leader_come_first_finest_first(look):
    found = look("nepacific", "body_plan=ribbon", "vent_place=behind")
    assert names(found.groups)[:3] == ["pholidae", "zoarcoidei", "actinopterygii"]


def test_a_taxon_known_only_by_its_body_is_offered_and_never_ranked(look):
    # Both pages: a row with nothing but a body plan is a place to leave an animal at.
    found = look("nepacific", "body_plan=tadpole")
    assert "tidepool-snailfish" in names(found.told_by_body)
    assert "tidepool-snailfish" not in dict(found.ranking)


def test_a_body_that_no_ranked_taxon_has_brings_the_taxa_told_by_it_and_no_share(look):
    found = look("nwatlantic", "body_plan=horseshoe")
    assert names(found.told_by_body) == ["horseshoe-crab"]
    assert found.left_at is None
    assert found.question is None
    assert found.groups == ()
    (clash,) = found.contradictions
    assert clash.message == (
        'No taxon that can be weighed here has this body: "domed shell with a long tail spike".'
    )


def test_nothing_is_offered_by_body_once_a_taxon_is_sure_or_before_the_body_is_known(look):
    assert look("nepacific").told_by_body == ()
    assert look("nepacific", not_saw=("body_plan=tadpole",)).told_by_body == ()
    assert look("nepacific", "body_plan=pipe", "body_cover=rings", "pelvics=absent").told_by_body == ()


def test_before_any_look_nothing_is_written_down(look):
    assert look("nepacific").left_at is None
