"""What the station's own past hauls weigh."""

from __future__ import annotations

import numpy as np
import pytest

from haulbook.custody.facts import Account, Animals, Haul
from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.identify import found_in, load_matrix, prior
from haulbook.identify.posterior import MOST_FROM_PAST
from haulbook.problems import Refusal

MATRIX = load_matrix("nwatlantic")


def share(found, taxon):
    return prior(MATRIX, found)[MATRIX.ranked.index(taxon)]


def haul(number, site, landed):
    return Haul(f"2027-05-14-a/{number}", "2027-05-14-a", site=site, landed=When(landed))


def animals(number, taxon, n):
    landed = When("2027-05-14")
    return Animals(f"2027-05-14-a/{number}", taxon, n, Fate.RELEASED_ALIVE, "back", landed)


# Invented hauls: two in season at the cove, one out of season, one at another site, one of December.
ACCOUNT = Account(
    hauls=(
        haul(1, "cove", "2026-05-14T06:00:00-04:00"),
        haul(2, "cove", "2025-06-02"),
        haul(3, "cove", "2026-09-01"),
        haul(4, "point", "2026-05-14"),
        haul(5, "cove", "2024-12-10"),
        haul(6, "cove", "2023"),
    ),
    animals=(
        animals(1, "cunner", 1),
        animals(1, "atlantic-silverside", 4000),
        animals(2, "cunner", 2),
        animals(2, "cunner", 3),
        animals(2, "?blue goby", 1),
        animals(3, "tautog", 5),
        animals(4, "grubby", 5),
        animals(6, "rock-gunnel", 1),
    ),
    present=(("2027-05-14-a/2", "gasterosteus"),),
)


def test_hauls_of_the_site_and_season_are_counted_not_animals():
    past = found_in(ACCOUNT, "cove", 5)
    assert past.hauls == 2
    assert past.found == {"cunner": 2, "atlantic-silverside": 1, "gasterosteus": 1}


def test_the_season_runs_over_the_turn_of_the_year():
    assert found_in(ACCOUNT, "cove", 1).hauls == 1


def test_an_unknown_site_or_month_is_refused():
    with pytest.raises(Refusal, match="there is no site in this book 'cov'; the nearest is 'cove'"):
        found_in(ACCOUNT, "cov", 5)
    with pytest.raises(Refusal, match="month 13 is none of 1 to 12"):
        found_in(ACCOUNT, "cove", 13)
    with pytest.raises(Refusal, match="the book has no haul with a site"):
        found_in(Account((), ()), "cove", 5)


def test_without_a_past_every_ranked_taxon_is_alike():
    np.testing.assert_allclose(prior(MATRIX), 1 / len(MATRIX.ranked))


def test_a_taxon_found_in_three_hauls_starts_four_times_as_likely_as_one_never_found():
    assert share({"cunner": 3}, "cunner") == pytest.approx(4 * share({"cunner": 3}, "tautog"))


def test_however_often_it_was_found_a_newcomer_stays_nameable():
    found = {"atlantic-silverside": 900}
    assert share(found, "atlantic-silverside") == pytest.approx(
        MOST_FROM_PAST * share(found, "rockpool-shrimp")
    )


def test_a_find_known_to_a_genus_is_shared_among_its_members_and_an_unknown_name_weighs_nothing():
    found = {"gasterosteus": 2, "?blue goby": 5}
    assert share(found, "threespine-stickleback") == pytest.approx(2 * share(found, "cunner"))
    assert share(found, "blackspotted-stickleback") == pytest.approx(2 * share(found, "cunner"))


def test_the_past_tips_two_that_the_looks_leave_alike(look):
    looks = ("body_plan=torpedo", "dorsal_spine_feel=mixed", "pelvics=normal")
    flat, tipped = look("nwatlantic", *looks), look("nwatlantic", *looks, found={"tautog": 6})
    assert dict(flat.ranking)["cunner"] == pytest.approx(dict(flat.ranking)["tautog"], rel=0.2)
    assert tipped.ranking[0][0] == "tautog"
