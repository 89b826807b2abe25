"""Why, and what does not fit together."""

from __future__ import annotations

import math

import pytest

from haulbook.identify import identify, load_model, prior, read_observations
from haulbook.identify.reasons import contradictions, reasons


def weighed(pack, taxon, *saw, not_saw=()):
    model = load_model(pack)
    seen = read_observations(saw, not_saw, model.matrix.characters)
    return {each.character: each for each in reasons(model, seen, prior(model.matrix), taxon)}


def test_each_look_speaks_for_against_or_not_at_all():
    why = weighed("nwatlantic", "cunner", "body_plan=torpedo", "gill_cover=naked", "see_through=no")
    assert why["body_plan"].stance == "for"
    assert (why["gill_cover"].stance, why["gill_cover"].seen, why["gill_cover"].has) == (
        "against", "mostly bare skin", "scales all over",
    )  # fmt: skip
    assert (why["see_through"].stance, why["see_through"].has) == ("neither", "")
    assert why["gill_cover"].bits < 0 < why["body_plan"].bits


def test_the_weight_is_the_log_ratio_to_the_average_of_the_others():
    model = load_model("nwatlantic")
    column = model.answers["gill_cover"]
    states = model.matrix.characters["gill_cover"].state_keys
    at, place = states.index("scaly"), model.taxa.index("cunner")
    others = [row[at] for i, row in enumerate(column) if i != place]
    wanted = math.log2(column[place][at] / (sum(others) / len(others)))
    assert weighed("nwatlantic", "cunner", "gill_cover=scaly")["gill_cover"].bits == pytest.approx(wanted)


def test_what_was_ruled_out_is_said_as_not():
    why = weighed("nwatlantic", "cunner", not_saw=("dorsal_fins=two",))
    assert why["dorsal_fins"].seen == "not two clearly separate"


def test_one_of_two_ruled_out_is_said_as_the_other():
    assert weighed("nwatlantic", "cunner", not_saw=("lips=thick",))["lips"].seen == "thin"


def clashes(pack, *saw):
    model = load_model(pack)
    seen = read_observations(saw, (), model.matrix.characters)
    return contradictions(model, seen, prior(model.matrix))


def test_a_crab_look_on_a_fish_is_named_as_a_clash():
    found = clashes("nepacific", "body_plan=torpedo", "carapace_teeth=five")
    assert (found[0].character, found[0].taxon) == ("carapace_teeth", None)
    assert found[0].message == (
        "How many points on the shell edge beside each eye, counting the one at the eye? is asked where "
        '"What kind of body is it, at first glance?" is answered by broad crab with legs and two claws, '
        'but the answer there was "plain fish shape": one of the two needs another look.'
    )


def test_the_look_that_the_others_make_least_likely_is_named():
    # Every other mark is that of a bay pipefish (Burke Museum); nothing with rings has spines on its back.
    found = clashes(
        "nepacific",
        "body_plan=pipe",
        "body_cover=rings",
        "snout=tube",
        "pelvics=absent",
        "free_spines=many_24",
    )
    assert {each.character for each in found} == {"free_spines"}
    assert "fits the rest least: look once more" in found[-1].message
    assert found[0].message == (
        '"How many separate spines stand on the back, not joined in one fin?" was answered by '
        '"about 24 to 27 very short ones"; the leader, bay pipefish, has: none.'
    )


def test_looks_that_agree_contradict_nothing():
    assert clashes("nepacific", "body_plan=pipe", "body_cover=rings", "snout=tube", "free_spines=none") == ()
    assert clashes("nepacific") == ()


def test_a_look_that_does_not_fit_the_rest_leaves_the_ranking_standing():
    """Found by the phone's key, which is held to this one part by part."""
    model = load_model("nwatlantic")
    saw = ("body_plan=deep", "tail_fin=curled", "body_cover=side_plates")
    seen = read_observations(saw, (), model.matrix.characters)
    found = identify(model, seen, prior(model.matrix))
    assert [one.character for one in found.contradictions if one.taxon is None] == ["body_plan"]
    assert found.weighed
