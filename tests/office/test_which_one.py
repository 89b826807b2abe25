"""The key and the species page in the office."""

from __future__ import annotations

import pytest

from haulbook.identify import load_matrix, load_model
from haulbook.office.species_page import found_in, species_page
from haulbook.office.which_one import Seen, key_page, look_alikes, seen_of
from haulbook.problems import Refusal
from haulbook.taxa import PACKS, load_pack

MODEL = load_model("nwatlantic")


def test_the_key_begins_with_the_body_in_groups_and_names_nobody():
    page = key_page(MODEL, Seen())
    assert [group for group, _options in page.options] == [
        "fish", "crabs and shrimps", "soft and shelled animals", "plants",
    ]  # fmt: skip
    assert page.ranking == () == page.answered
    assert page.found.question.character.key == "body_plan"


def test_an_answer_brings_the_next_look_and_is_said_back():
    page = key_page(MODEL, Seen().with_answer("body_plan", ["pipe"]))
    assert [one.character for one in page.answered] == ["body_plan"]
    assert page.ranking[0][0] == "northern-pipefish"  # the one pipefish of the coast's beds in the pack
    assert sum(chance for _taxon, chance in page.ranking) <= 1.0 + 1e-9


def test_a_later_answer_to_the_same_look_stands_and_a_skipped_one_is_not_asked_again():
    seen = seen_of(["body_plan=torpedo", "body_plan=bighead"], ["skin"])
    assert seen.saw == ("body_plan=bighead",)
    page = key_page(MODEL, Seen(("body_plan=bighead",)))
    asked = page.found.question.character.key
    again = key_page(MODEL, Seen(("body_plan=bighead",), (asked,)))
    assert again.found.question is None or again.found.question.character.key != asked
    assert [one.key for one in again.skipped] == [asked]
    assert Seen(("body_plan=bighead",), (asked,)).without(asked) == Seen(("body_plan=bighead",))


def test_past_finds_weigh_in():
    seen = Seen(("body_plan=bighead",))
    bare = dict(key_page(MODEL, seen).ranking)
    weighed = dict(key_page(MODEL, seen, {"grubby": 15}).ranking)
    assert weighed["grubby"] > bare["grubby"]


def test_an_address_that_names_no_look_is_refused_with_the_nearest():
    with pytest.raises(Refusal, match="body_plan"):
        key_page(MODEL, Seen(("body_plam=torpedo",)))


def test_look_alikes_are_kin_first():
    # cunner and tautog are the two wrasses of the coast (Bigelow & Schroeder 1953, p. 473-478)
    assert look_alikes(load_matrix("nwatlantic"), "cunner")[0] == "tautog"
    assert look_alikes(load_matrix("nwatlantic"), "no-such-taxon") == ()


@pytest.mark.parametrize("pack_key", PACKS)
def test_every_taxon_has_a_page(pack_key):
    pack = load_pack(pack_key)
    for taxon in pack.taxa:
        page = species_page(taxon, pack)
        assert page.taxon.key == taxon
        assert page.demand is None or page.demand.low > 0
        look_alikes(load_matrix(pack_key), taxon)


def test_company_of_a_species_names_the_other_classes():
    page = species_page("grubby", load_pack("nwatlantic"))
    assert {one.level for one in page.company} <= {"never", "no", "by size", "short", "ok"}
    assert page.company[0].level == "never"
    assert not page.alone


def test_where_it_was_found_counts_hauls_and_animals(desk):
    first = desk.haul("2024-06-04-a/1")
    second = desk.haul("2024-06-04-a/2")
    desk.move(first, 3, "grubby")
    desk.move(second, 2, "grubby", to="dead-back")
    desk.move(second, 9, "cunner")
    from haulbook.custody.ledger import account_of

    (found,) = found_in(account_of(desk.book), ["grubby"])
    assert (found.outing, found.day, found.site, found.n, found.hauls) == (
        "2024-06-04-a", "2024-06-04", "cove", 5, 2,
    )  # fmt: skip
