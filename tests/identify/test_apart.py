"""What parts two taxa, what nothing parts, and how soon a specimen is decided."""

from __future__ import annotations

import numpy as np
import pytest

from haulbook.identify import load_matrix, load_model, prior
from haulbook.identify.apart import parted_by, undecided_with
from haulbook.identify.characters import COSTS
from haulbook.identify.trial import trial


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("padded-sculpin", "scalyhead-sculpin"),
        ("pile-perch", "redtail-surfperch"),
        ("speckled-sanddab", "pacific-sanddab"),
        ("copper-rockfish", "copper-quillback-brown"),
        ("black-rockfish", "black-yellowtail"),
        ("kelp-greenling", "whitespotted-greenling"),
        ("arrow-goby", "bay-goby"),
        ("graceful-kelp-crab", "cryptic-kelp-crab"),
        ("dwarf-eelgrass", "phyllospadix"),
    ],
)
def test_pairs_that_the_look_alike_page_calls_undecided_on_purpose_are_parted_by_nothing(one, other):
    assert parted_by(load_matrix("nepacific"), one, other, tuple(COSTS)) == ()


def test_taxa_are_parted_only_by_looks_that_both_can_come_to():
    # A crab and a fish share no way to the shell edge: their bodies part them, nothing behind that.
    assert parted_by(load_matrix("nepacific"), "bay-pipefish", "helmet-crab") == ("body_plan",)


@pytest.mark.parametrize("pack", ["nepacific", "nwatlantic"])
def test_being_undecided_is_mutual_and_includes_oneself(pack):
    matrix = load_matrix(pack)
    sets = {taxon: undecided_with(matrix, taxon) for taxon in matrix.ranked}
    assert all(taxon in others for taxon, others in sets.items())
    assert all(taxon in sets[other] for taxon, others in sets.items() for other in others)


def test_the_median_specimen_of_the_pacific_pack_is_decided_within_five_beach_looks():
    """Decided: the leader and the taxa that no beach look parts from it hold SURE (0.8) together."""
    model = load_model("nepacific")
    before, rng = prior(model.matrix), np.random.default_rng(11)
    trials = [trial(model, taxon, before, rng) for taxon in model.taxa]
    after = [np.inf if each.decided_after is None else each.decided_after for each in trials]
    assert np.median(after) <= 5
    decided = [each.decided_right for each in trials if each.decided_after is not None]
    assert np.mean(decided) >= 0.95


def test_a_key_that_is_told_wrong_things_is_right_less_often_and_says_so():
    model = load_model("nwatlantic")
    before = prior(model.matrix)

    def leader(wrong):
        rng = np.random.default_rng(12)
        trials = [trial(model, taxon, before, rng, wrong=wrong) for taxon in model.taxa]
        right = [model.taxa[int(each.chances.argmax())] == each.taxon for each in trials]
        return np.mean(right), np.mean([each.chances.max() for each in trials])

    (right, stated), (right_20, stated_20) = leader(0.0), leader(0.2)
    assert right > right_20
    assert stated > stated_20
    assert right >= stated  # at no slips the key, which allows for some, understates
