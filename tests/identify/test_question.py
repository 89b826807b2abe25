"""The next look: it applies, it is cheap, it tells most, and it stops in time."""

from __future__ import annotations

import numpy as np
import pytest

from haulbook.identify import SURE, load_model, prior, read_observations
from haulbook.identify.characters import BEACH
from haulbook.identify.posterior import posterior
from haulbook.identify.question import close_leaders, next_question


def asked(pack, *saw, not_saw=(), **options):
    model = load_model(pack)
    seen = read_observations(saw, not_saw, model.matrix.characters)
    return next_question(model, posterior(model, seen, prior(model.matrix)), seen, **options)


def test_the_first_look_is_the_kind_of_body():
    assert asked("nepacific").character.key == "body_plan"
    assert asked("nwatlantic").character.key == "body_plan"


@pytest.mark.parametrize("pack", ["nepacific", "nwatlantic"])
def test_crabs_are_told_by_outline_and_by_the_points_beside_the_eye_first(pack):
    # The look-alike pages, section 10 in both packs: shape, then teeth beside the eye.
    first = asked(pack, "body_plan=crab").character.key
    other = {"carapace_shape": "fan", "carapace_teeth": "five"}
    second = asked(pack, "body_plan=crab", f"{first}={other[first]}").character.key
    assert first in other
    assert second in {"carapace_shape", "carapace_teeth", "widest_tooth", "last_legs", "claw_tip"}


def test_what_cannot_apply_is_not_asked():
    assert asked("nepacific", "body_plan=star").character.key == "star_arms"
    for plan, barred in (("torpedo", "parr"), ("squid", "tail_fin"), ("deep", "free_spines")):
        question = asked("nepacific", f"body_plan={plan}")
        assert question.character.key != barred
    # Parr marks are looked for only where the fleshy fin was seen.
    assert asked("nepacific", "body_plan=torpedo", "adipose=present").character.key == "parr"


def test_a_look_that_could_not_be_had_is_not_asked_again():
    first = asked("nepacific", "body_plan=crab")
    other = asked("nepacific", "body_plan=crab", skipped=(first.character.key,))
    assert other.character.key != first.character.key


def test_a_character_of_which_only_states_were_ruled_out_may_still_be_asked_about_the_rest():
    question = asked("nepacific", not_saw=("body_plan=torpedo", "body_plan=bighead"))
    assert question.character.key == "body_plan"
    assert len(question.states) == 28
    assert "torpedo" not in question.states


def test_a_lens_is_asked_for_only_where_it_tells_three_times_as_much():
    # Shrimps are told with a lens, by the parts of a wrist first (look-alike page, section 12).
    with_lens = asked("nepacific", "body_plan=shrimp")
    on_the_beach = asked("nepacific", "body_plan=shrimp", costs=(BEACH,))
    assert (with_lens.character.key, with_lens.character.cost) == ("wrist_parts", "needs hand lens")
    assert on_the_beach.character.cost == BEACH
    assert with_lens.bits > 3 * on_the_beach.bits
    # Crabs have beach looks that tell enough.
    assert asked("nepacific", "body_plan=crab").character.cost == BEACH


def test_nothing_is_asked_once_a_taxon_is_sure(look):
    found = look("nepacific", "body_plan=pipe", "body_cover=rings", "snout=tube", "pelvics=absent")
    assert found.sure
    assert found.ranking[0][1] >= SURE
    assert found.question is None


def test_two_close_leaders_bring_the_look_that_tells_them_apart(look):
    found = look("nwatlantic", "body_plan=torpedo", "dorsal_spine_feel=mixed", "pelvics=normal", "free_spines=none",
                 "dorsal_fins=one", "tail_fin=square", "lips=thin")  # fmt: skip
    assert not found.sure
    assert found.question.between == tuple(taxon for taxon, _ in found.ranking[:2])
    found = look("nepacific", "body_plan=ribbon", "pelvics=absent")
    assert found.question.between == ("penpoint-gunnel", "rockweed-gunnel")
    # The bar below the eye is the mark that parts them (look-alike page, section 2).
    assert found.question.character.key == "eye_bar"


@pytest.mark.parametrize(
    ("first", "second", "close"),
    [(0.45, 0.4, True), (0.7, 0.2, False), (0.3, 0.25, False), (0.6, 0.25, True)],
)
def test_leaders_are_close_by_ratio_and_by_what_they_hold_together(first, second, close):
    model = load_model("nwatlantic")
    chances = np.full(len(model.taxa), (1 - first - second) / (len(model.taxa) - 2))
    chances[:2] = first, second
    assert close_leaders(model, chances) == (model.taxa[:2] if close else None)
