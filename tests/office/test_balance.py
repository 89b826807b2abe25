"""The balance is read from two sides that know nothing of each other. All data here are invented."""

from __future__ import annotations

import pytest

from haulbook.custody.facts import Account, Animals, Haul, Later
from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.office.balance import balance_lines, by_taxon, captured, died_later
from haulbook.publish.account_view import MOST_COLUMNS
from haulbook.taxa import load_pack

PACK = load_pack("nwatlantic")
DAY = When("2025-05-01")
HAUL = Haul("2025-05-01-a/1", "2025-05-01-a", label="one")


def some(taxon, n, fate, **more):
    return Animals(HAUL.key, taxon, n, fate, "back", DAY, **more)


def test_a_difference_shows_what_came_up_and_has_no_fate():
    account = Account((HAUL,), (some("cunner", 7, Fate.RELEASED_ALIVE), some("cunner", 2, Fate.UNACCOUNTED)))
    (line,) = balance_lines(account, {("cunner", None, "individual"): 9}, PACK)
    assert (line.out_of_sea, line.accounted, line.difference) == (9, 7, 2)


def test_more_fates_than_animals_is_a_difference_too():
    account = Account((HAUL,), (some("cunner", 7, Fate.RELEASED_ALIVE),))
    (line,) = balance_lines(account, {("cunner", None, "individual"): 5}, PACK)
    assert line.difference == -2


def test_captured_leaves_out_what_escaped_before_landing_and_other_units():
    animals = (
        some("cunner", 7, Fate.RELEASED_ALIVE),
        some("cunner", 3, Fate.SEEN_ESCAPED),
        some("cunner", 1, Fate.UNACCOUNTED),
        some("naticidae", 4, Fate.RELEASED_ALIVE, stage="egg mass", unit="egg_mass"),
    )
    assert captured(animals) == 8
    assert by_taxon(animals) == {"cunner": 8}
    assert captured(animals, "egg_mass") == 4


def test_open_names_stand_as_written_and_stages_apart():
    account = Account(
        (HAUL,),
        (
            some("?glimmer fish", 1, Fate.RELEASED_ALIVE),
            some("cunner", 2, Fate.RELEASED_ALIVE, stage="young"),
        ),
    )
    out = {("?glimmer fish", None, "individual"): 1, ("cunner", "young", "individual"): 2}
    young, opened = balance_lines(account, out, PACK)
    assert (young.name, young.scientific) == ("cunner, young", "Tautogolabrus adspersus")
    assert (opened.name, opened.name_open, opened.scientific) == ("glimmer fish", True, None)


def test_a_later_death_is_said_beside_the_fate_it_does_not_change():
    later = (Later("died", When("2025-05-03"), "e1"),)
    account = Account((HAUL,), (some("palaemon", 1, Fate.RETAINED_ALIVE, later=later),))
    (line,) = balance_lines(account, {("palaemon", None, "individual"): 1}, PACK)
    assert line.by_fate == {Fate.RETAINED_ALIVE: 1}
    assert line.remarks == ("1 died later",)
    assert died_later(account.animals) == 1


def test_searched_and_none_is_0_and_not_looked_for_is_empty_in_its_haul():
    account = Account(
        (HAUL, Haul("2025-05-01-a/2", "2025-05-01-a", label="two")),
        (some("cunner", 2, Fate.RELEASED_ALIVE),),
        none_found=(("2025-05-01-a/2", "cunner"),),
        looked_for={"2025-05-01-a": ("cunner",)},
    )
    (line,) = balance_lines(account, {("cunner", None, "individual"): 2}, PACK)
    assert line.by_haul == {"one": 2, "two": 0}


def test_what_was_estimated_is_told_apart_by_how_it_was():
    account = Account(
        (HAUL,),
        (
            some("cunner", 2, Fate.RELEASED_ALIVE),
            some("cunner", 30, Fate.RELEASED_ALIVE, basis="expanded"),
            some("cunner", 500, Fate.RELEASED_ALIVE, basis="judged"),
        ),
    )
    (line,) = balance_lines(account, {("cunner", None, "individual"): 532}, PACK)
    assert (line.out_of_sea, line.expanded, line.judged) == (532, 30, 500)


def test_a_zero_belongs_to_its_taxon_and_a_haul_without_a_label_goes_by_its_key():
    hauls = (HAUL, Haul("2025-05-01-a/2", "2025-05-01-a"), Haul("2025-05-02-a/1", "2025-05-02-a"))
    account = Account(
        hauls,
        (some("cunner", 2, Fate.RELEASED_ALIVE), some("tautog", 1, Fate.RELEASED_ALIVE)),
        none_found=(("2025-05-01-a/2", "cunner"),),
        looked_for={"2025-05-01-a": ("cunner", "tautog"), "2025-05-02-a": ("tautog",)},
    )
    out = {(taxon, None, "individual"): n for taxon, n in (("cunner", 2), ("tautog", 1))}
    cunner, tautog = balance_lines(account, out, PACK)
    assert cunner.by_haul == {"one": 2, "2025-05-01-a/2": 0, "2025-05-02-a/1": None}
    assert tautog.by_haul == {"one": 1}, "it was looked for and none was written down: nothing is said"


@pytest.mark.parametrize(("hauls", "cells"), [(MOST_COLUMNS, 1), (MOST_COLUMNS + 1, 0)])
def test_beyond_the_columns_of_a_page_no_haul_has_a_cell(hauls, cells):
    more = tuple(Haul(f"2025-05-01-b/{i}", "2025-05-01-b") for i in range(1, hauls))
    account = Account((HAUL, *more), (some("cunner", 2, Fate.RELEASED_ALIVE),))
    (line,) = balance_lines(account, {("cunner", None, "individual"): 2}, PACK)
    assert len(line.by_haul) == cells
