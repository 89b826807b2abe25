"""The look-alike card: separating looks, best first, and pairs that nothing parts."""

from __future__ import annotations

import pytest

from haulbook.identify import load_matrix, lookalikes
from haulbook.identify.characters import COSTS
from haulbook.identify.lookalike import UNKNOWN, as_json
from haulbook.problems import Refusal


def card(pack, *taxa):
    return lookalikes(load_matrix(pack), taxa)


def test_cunner_and_tautog_are_told_by_gill_cover_head_and_lips():
    # Bigelow & Schroeder 1953 p. 473; lips: New Hampshire Fish and Game.
    found = card("nwatlantic", "cunner", "tautog")
    decided = {each.character.key: dict(each.has) for each in found.differences if each.parts}
    assert decided["gill_cover"] == {"cunner": "scales all over", "tautog": "mostly bare skin"}
    assert decided["lips"] == {"cunner": "thin", "tautog": "thick"}
    assert found.differences[0].character.key == "gill_cover"
    assert found.unparted == ()


def test_looks_are_ordered_by_bits_per_cost():
    found = card("nepacific", "crescent-gunnel", "saddleback-gunnel", "penpoint-gunnel")
    worth = [each.bits / COSTS[each.character.cost] for each in found.differences]
    assert worth == sorted(worth, reverse=True)
    # Section 2 of the look-alike page: the marks along the back part all three.
    assert found.differences[0].character.key == "back_marks"
    assert len(found.differences[0].parts) == 3


def test_a_look_that_only_makes_one_likelier_parts_nothing():
    found = card("nepacific", "kelp-greenling", "whitespotted-greenling")
    (tags,) = [each for each in found.differences if each.character.key == "cirri"]
    assert tags.parts == ()
    assert found.unparted == (("kelp-greenling", "whitespotted-greenling", "hexagrammos"),)


def test_what_is_not_known_is_said_and_a_look_shared_by_all_is_left_out():
    found = card("nwatlantic", "european-green-crab", "lady-crab", "panopeidae")
    keys = [each.character.key for each in found.differences]
    assert "body_plan" not in keys
    assert UNKNOWN in {words for each in found.differences for words in each.has.values()}


def test_lady_crab_and_green_crab_are_told_by_paddles_not_by_points():
    # Look-alike page, section 10: both have five beside the eye; only the paddles and the dots part them.
    found = card("nwatlantic", "european-green-crab", "lady-crab")
    assert "carapace_teeth" not in [each.character.key for each in found.differences if each.parts]
    assert found.differences[0].character.key in ("last_legs", "shell_dots")


def test_a_pair_that_nothing_parts_is_left_at_the_finest_name_for_both():
    found = card("nepacific", "padded-sculpin", "scalyhead-sculpin", "buffalo-sculpin")
    assert found.unparted == (("padded-sculpin", "scalyhead-sculpin", "artedius"),)


def test_taxa_of_different_kingdoms_have_no_name_in_common_and_are_told_by_their_bodies():
    found = card("nepacific", "eelgrass", "bay-pipefish")
    assert [each.character.key for each in found.differences] == ["body_plan"]


def test_the_card_as_values_names_hazards_and_handling():
    values = as_json(card("nwatlantic", "european-green-crab", "lady-crab"))
    assert values["taxa"][1]["hazards"].startswith("AGGRESSIVE")
    assert set(values["taxa"][0]["notices"]) == {"invasive"}


@pytest.mark.parametrize(
    ("taxa", "message"),
    [
        (("cunner",), "takes 2 to 5 different taxa, not cunner"),
        (("cunner", "cunner"), "takes 2 to 5 different taxa"),
        (("cunner", "tautog", "grubby", "alewife", "pollock", "windowpane"), "takes 2 to 5 different taxa"),
        (("cunner", "animalia"), "nothing is written down about animalia; name something narrower"),
        (("cunner", "tautogg"), "the nearest is 'tautog'"),
    ],
)
def test_what_makes_no_card_is_refused(taxa, message):
    with pytest.raises(Refusal, match=message):
        card("nwatlantic", *taxa)
