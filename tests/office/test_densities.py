"""Where a missing row means none, which hauls are put together, and what is left out. All data here are invented."""

from __future__ import annotations

import pytest

from haulbook.custody.facts import Account, Animals, Haul, Measure
from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.gear import Net
from haulbook.office.densities import areas_of, densities

NO_WIDTH = (
    "set type straight needs the width between the wing ends (w), in m; "
    "it was not measured and no net is named"
)
MEASURES = {"w": Measure(5.0, "measured"), "d": Measure(20.0, "measured")}


def haul(key, **more):
    day = When(key.rpartition("-")[0][:10])
    words = {"net": "n1", "set_type": "straight", "landed": day, "condition": 1, "measures": MEASURES}
    return Haul(key, key.rpartition("/")[0], **{**words, **more})


def some(key, taxon, n, fate=Fate.RELEASED_ALIVE, **more):
    return Animals(key, taxon, n, fate, "back", When(key[:10]), **more)


def density_of(account, taxon="cunner", period="all", nets=None):
    found = densities(account, areas_of(account.hauls, nets or {}))
    return [row for row in found if row.taxon == taxon and row.period == period]


def test_a_haul_without_the_taxon_counts_as_none_from_its_first_year_on():
    hauls = (haul("2024-05-01-a/1"), haul("2025-05-01-a/1"), haul("2025-05-01-a/2"))
    account = Account(hauls, (some("2025-05-01-a/1", "cunner", 8), some("2024-05-01-a/1", "tautog", 1)))
    (row,) = density_of(account)
    assert (row.estimate.n_hauls, row.estimate.n_positive, row.animals, row.area_m2) == (2, 1, 8, 200.0)
    assert [left.label for left in row.estimate.left_out] == ["2024-05-01-a/1"]


def test_an_outing_that_did_not_look_for_a_taxon_says_nothing_of_it_not_even_what_it_caught():
    hauls = (haul("2025-05-01-a/1"), haul("2025-06-01-a/1"))
    account = Account(
        hauls,
        (some("2025-05-01-a/1", "cunner", 8), some("2025-06-01-a/1", "cunner", 4)),
        looked_for={"2025-05-01-a": ("tautog",), "2025-06-01-a": ("cunner",)},
    )
    (row,) = density_of(account, period="2025")
    assert (row.estimate.n_hauls, row.animals) == (1, 4)


def test_looking_for_a_family_is_looking_for_its_members():
    account = Account(
        (haul("2025-05-01-a/1"),),
        (some("2025-05-01-a/1", "grubby", 3),),
        looked_for={"2025-05-01-a": ("cottidae",)},
    )
    areas = areas_of(account.hauls, {})
    (row,) = densities(account, areas, lambda taxon, other: taxon == other or other == "cottidae")
    assert row.estimate.n_hauls == 1


def test_present_without_a_number_is_neither_none_nor_one():
    hauls = (haul("2025-05-01-a/1"), haul("2025-05-01-a/2"))
    account = Account(hauls, (some("2025-05-01-a/1", "cunner", 5),), present=(("2025-05-01-a/2", "cunner"),))
    (row,) = density_of(account, period="2025")
    assert row.estimate.n_hauls == 1


def test_escaped_animals_egg_masses_and_failed_hauls_do_not_enter():
    hauls = (
        haul("2025-05-01-a/1"),
        haul("2025-05-01-a/2", condition=4),
        haul("2025-05-01-a/3", condition=None),
    )
    account = Account(
        hauls,
        (
            some("2025-05-01-a/1", "cunner", 5),
            some("2025-05-01-a/1", "cunner", 7, Fate.SEEN_ESCAPED),
            some("2025-05-01-a/1", "cunner", 2, stage="egg mass", unit="egg_mass"),
            some("2025-05-01-a/2", "cunner", 90),
        ),
    )
    (row,) = density_of(account, period="2025")
    assert (row.animals, row.estimate.n_hauls) == (5, 1)
    assert {left.why for left in row.estimate.left_out} == {"condition 4, failed", "condition 9, not known"}


def test_no_area_no_density_and_none_is_borrowed():
    account = Account(
        (haul("2025-05-01-a/1", measures={}, set_type=None),), (some("2025-05-01-a/1", "cunner", 5),)
    )
    (row,) = density_of(account, period="2025")
    assert row.estimate.per_100_m2 is None
    assert row.estimate.left_out[0].why == "no area, no density"


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ({"set_type": None, "measures": {}}, "nothing was measured, so no area"),
        ({"set_type": None}, "nobody said how the net was set, so there is no area; name the set type"),
        (
            {"measures": {}},
            NO_WIDTH + "; set type straight needs the distance hauled (d), in m; it was not measured",
        ),
    ],
)
def test_why_a_haul_has_no_area_is_said_in_words(words, why):
    key = "2025-05-01-a/1"
    swept = areas_of([haul(key, **words)], {})[key]
    assert (swept.area, swept.why_not) == (None, why)


def test_a_haul_is_of_the_year_in_which_it_was_set_where_nobody_noted_the_landing():
    hauls = (
        haul("2024-05-01-a/1", landed=None, started=When("2024-05-01")),
        haul("2025-05-01-a/1"),
    )
    account = Account(hauls, tuple(some(one.key, "cunner", 4) for one in hauls))
    assert {row.period for row in densities(account, areas_of(hauls, {}))} == {"all", "2024", "2025"}


def test_a_haul_that_nobody_dated_may_have_been_made_when_the_taxon_was_looked_for():
    hauls = (haul("2025-05-01-a/1"), haul("2025-05-01-b/1", landed=None))
    account = Account(hauls, (some("2025-05-01-a/1", "cunner", 4),))
    found = densities(account, areas_of(hauls, {}))
    assert [(row.period, row.estimate.n_hauls, row.animals, row.area_m2) for row in found] == [
        ("all", 2, 4, 200.0),
        ("2025", 1, 4, 100.0),
    ], "one year is all years only where every haul has a date"


def test_searched_and_none_is_a_zero_whatever_the_outing_declared_and_the_years_say():
    hauls = (haul("2024-05-01-a/1"), haul("2025-05-01-a/1"), haul("2025-06-01-a/1"))
    account = Account(
        hauls,
        (some("2025-05-01-a/1", "cunner", 4),),
        none_found=(("2024-05-01-a/1", "cunner"), ("2025-06-01-a/1", "cunner")),
        looked_for={"2025-06-01-a": ("tautog",)},
    )
    (row,) = density_of(account)
    assert (row.estimate.n_hauls, row.estimate.n_positive, row.estimate.left_out) == (3, 1, ())


def test_hauls_carry_the_label_of_their_sheet():
    hauls = (haul("2025-05-01-a/1", label="6/Cove/1"), haul("2025-05-01-a/2"))
    account = Account(hauls, tuple(some(one.key, "cunner", 4) for one in hauls))
    (row,) = density_of(account, period="2025")
    assert [one.label for one in row.estimate.hauls] == ["6/Cove/1", "2025-05-01-a/2"]


def test_a_width_that_was_not_measured_comes_from_the_nets_ratio_and_is_said():
    net = Net("n1", 10.0, 1.5, 6.0, "stretch", 0.7)
    hauls = tuple(haul(f"2025-05-01-a/{i}", measures={"d": Measure(20.0, "measured")}) for i in (1, 2))
    account = Account(hauls, tuple(some(one.key, "cunner", 7) for one in hauls))
    (row,) = density_of(account, period="2025", nets={"n1": net})
    assert row.area_m2 == pytest.approx(2 * 0.7 * 10 * 20)
    assert any("assumed" in warning for warning in row.estimate.warnings)


def test_an_area_that_the_sheet_gives_is_taken_where_nothing_was_measured():
    account = Account(
        (haul("2025-05-01-a/1", measures={}, set_type="given", area_m2=150.0),),
        (some("2025-05-01-a/1", "cunner", 3),),
    )
    (row,) = density_of(account, period="2025")
    assert row.estimate.per_100_m2 == pytest.approx(2.0)


def test_nets_and_years_are_kept_apart():
    hauls = (haul("2024-05-01-a/1"), haul("2025-05-01-a/1"), haul("2025-05-01-a/2", net="n2"))
    account = Account(hauls, tuple(some(one.key, "cunner", 4) for one in hauls))
    found = densities(account, areas_of(hauls, {}))
    assert {(row.period, row.group.net) for row in found} == {
        ("all", "n1"), ("all", "n2"), ("2024", "n1"), ("2025", "n1"), ("2025", "n2"),
    }  # fmt: skip
