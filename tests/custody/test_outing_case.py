"""The invented outing that Python and the phone both play: steps in, every balance, fate and basis out."""

from __future__ import annotations

import hashlib
import itertools
import json
from collections import Counter
from datetime import datetime
from pathlib import Path

import pytest
import rfc8785

from haulbook.custody.book import Book, merge
from haulbook.custody.closing import open_things, signoff_digest
from haulbook.custody.discrepancies import discrepancies
from haulbook.custody.entry import Draft, chain
from haulbook.custody.fates import Basis
from haulbook.custody.ledger import account_of, balances

CASE = json.loads((Path(__file__).parents[1] / "cases/outing-three-hauls.json").read_text(encoding="utf-8"))
EXPECTED = CASE["expected"]
OUTING = "2027-05-14-a"


def books():
    devices = {}
    for step in CASE["steps"]:
        devices.setdefault(step["device"], []).append(
            Draft(**{key: value for key, value in step.items() if key not in ("device", "what")})
        )
    return [Book.of(chain(drafts, device)) for device, drafts in devices.items()]


@pytest.fixture(scope="module")
def book():
    return merge(*books())


@pytest.fixture(scope="module")
def account(book):
    return account_of(book)


@pytest.mark.parametrize("expected", EXPECTED["balances"], ids=lambda one: one["at"] or "at the end")
def test_every_place_holds_what_it_should_at_each_instant(book, expected):
    at = expected["at"] and datetime.fromisoformat(expected["at"])
    rows = [
        {key: getattr(row, key) for key in ("outing", "place", "taxon", "stage", "unit", "haul", "n")}
        for row in balances(book, at).rows
    ]
    assert sorted(rows, key=str) == sorted(expected["rows"], key=str)
    assert sum(row["n"] for row in rows) == 0


def test_every_fate_has_its_number(account):
    found = Counter()
    for lot in account.animals:
        found[lot.fate.value] += lot.n
    assert found == EXPECTED["by_fate"]


def test_every_basis_has_its_number(account):
    found = {basis.value: sum(lot.n for lot in account.animals if basis in lot.bases) for basis in Basis}
    assert found.pop("sampled") == 0
    assert found == EXPECTED["bases"]
    later = Counter()
    for lot in account.animals:
        for event in lot.later:
            later[event.kind] += lot.n
    assert later == EXPECTED["later"]


def test_638_encountered_and_637_captured_are_625_released_8_retained_3_died_and_1_lost():
    bases, fates = EXPECTED["bases"], EXPECTED["by_fate"]
    assert bases["encountered"] == 638 == bases["captured"] + fates["seen_escaped"]
    assert (
        bases["captured"]
        == 637
        == bases["released"] + bases["retained"] + bases["died"] + fates["fate_unknown"]
    )
    assert (bases["released"], bases["retained"], bases["died"], fates["fate_unknown"]) == (625, 8, 3, 1)
    assert EXPECTED["later"] == {"died": 1}


def test_every_taxon_and_haul_has_its_number_after_redetermination(account):
    captured = [lot for lot in account.animals if Basis.CAPTURED in lot.bases]
    assert {lot.taxon for lot in account.animals} == set(EXPECTED["by_taxon"])
    assert {
        taxon: sum(lot.n for lot in captured if lot.taxon == taxon) for taxon in EXPECTED["by_taxon"]
    } == EXPECTED["by_taxon"]
    assert {
        haul: sum(lot.n for lot in captured if lot.haul == haul) for haul in EXPECTED["by_haul"]
    } == EXPECTED["by_haul"]


def test_the_redetermined_animal_has_its_past_though_the_second_phones_clock_was_behind(account):
    (sculpin,) = [lot for lot in account.animals if lot.taxon == "longhorn-sculpin"]
    assert (sculpin.said, sculpin.place, sculpin.doubt, len(sculpin.entries)) == (
        "three grubby",
        "back",
        None,
        3,
    )
    assert sculpin.called.text == "2027-05-14T06:50:00-04:00"


def test_the_scoops_are_still_known_of_the_animals_that_went_back(account):
    (shoal,) = [lot for lot in account.animals if lot.basis == "expanded"]
    assert (shoal.n, shoal.place, shoal.subsample.counted) == (600, "back", (52, 47, 51))


def test_nothing_is_open_but_the_zero_that_was_withdrawn(book, account):
    assert [list(pair) for pair in account.none_found] == EXPECTED["none_found"]
    assert [one.key for one in discrepancies(book)] == EXPECTED["discrepancies"]
    assert [(thing.key, thing.blocks) for thing in open_things(book, OUTING)] == [
        (EXPECTED["discrepancies"][0], False)
    ]
    assert account.short == ()


def test_before_the_cooler_was_emptied_the_outing_could_not_be_closed(book):
    early = Book.of(entry for entry in book.entries if entry.at < "2027-05-14T10:05")
    blocking = [thing.words for thing in open_things(early, OUTING) if thing.blocks]
    assert blocking == [
        "cooler 1 still holds 5 cunner (young): say where they went",
        "cooler 1 still holds 2 fourspine-stickleback: say where they went",
        "cooler 1 still holds 1 grubby: say where they went",
    ]


def test_the_sign_off_freezes_the_digest_and_the_later_death_does_not_touch_it(book):
    (signed,) = [entry for entry in book.entries if entry.kind == "outing-signed"]
    assert signoff_digest(book, OUTING, signed.body["covers"]) == signed.body["digest"]


def test_each_hash_is_the_sum_of_what_another_library_writes(book):
    for entry in book.entries:
        values = entry.as_json()
        said = values.pop("hash")
        assert hashlib.sha256(rfc8785.dumps(values)).hexdigest() == said
    last = {}
    for entry in book.entries:
        if entry.seq >= last.get(entry.device, {"seq": 0})["seq"]:
            last[entry.device] = {"seq": entry.seq, "hash": entry.hash}
    assert last == EXPECTED["last"]


def test_the_order_in_which_the_devices_come_in_changes_nothing(book, account):
    for order in itertools.permutations(books()):
        together = merge(*order, order[0])
        assert together == book
        assert account_of(together) == account
