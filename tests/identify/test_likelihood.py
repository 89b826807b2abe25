"""One cell of the table, by hand."""

from __future__ import annotations

import numpy as np
import pytest

from haulbook.identify.likelihood import answer_chances, load_model
from haulbook.identify.matrix import Cell
from haulbook.problems import Refusal

STATES = ("a", "b", "c", "d")


def test_an_unscored_taxon_gives_every_answer_the_chance_share():
    assert answer_chances(None, STATES, 0.08).tolist() == [0.25] * 4


def test_a_sure_row_is_misread_at_the_slip_alone():
    # 1 - 0.08 for the listed state, 0.08 / 3 for each other.
    found = answer_chances(Cell(frozenset("a"), 1.0, ""), STATES, 0.08)
    np.testing.assert_allclose(found, [0.92, 0.08 / 3, 0.08 / 3, 0.08 / 3])


def test_a_taxon_with_two_states_shares_them_and_a_doubtful_row_leans_to_chance():
    # Shown: 0.8/2 + 0.2/4 = 0.45 for a and b, 0.05 for c and d; read: 0.9 x + 0.1 (1 - x) / 3.
    found = answer_chances(Cell(frozenset("ab"), 0.8, ""), STATES, 0.1)
    np.testing.assert_allclose(found, [0.9 * 0.45 + 0.1 * 0.55 / 3] * 2 + [0.9 * 0.05 + 0.1 * 0.95 / 3] * 2)


def test_a_row_that_is_worth_nothing_says_what_an_unscored_cell_says():
    found = answer_chances(Cell(frozenset("a"), 0.0, ""), STATES, 0.08)
    np.testing.assert_allclose(found, answer_chances(None, STATES, 0.08))


@pytest.mark.parametrize("slip", [0, -0.1, 0.6])
def test_a_slip_that_is_no_share_of_looks_is_refused(slip):
    with pytest.raises(Refusal, match=r"is no share of looks: it must be above 0 and at most 0\.5"):
        load_model("nepacific", slip)


def test_an_unknown_pack_is_refused_by_name():
    with pytest.raises(Refusal, match="the nearest is 'nepacific'"):
        load_model("nepacifik")
