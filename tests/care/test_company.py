"""Who may stand with whom (common practice; no published table)."""

from __future__ import annotations

import pytest

from haulbook.care.company import Filled, Guest, best_bucket, class_of, empty_first, verdict
from haulbook.care.company_table import BY_GROUP, VERDICTS
from haulbook.care.kit import company_rules, mg_h
from haulbook.taxa import load_pack

SILVERSIDE = Guest("atlantic-silverside", "soft pelagics, salmonids", 90, 110)
SCULPIN = Guest("grubby", "sculpins, rockfish", 120, 120)
SMALL_SCULPIN = Guest("grubby", "sculpins, rockfish", 50, 50)
CRAB = Guest("blue-crab", "large crabs", 120, 120)
SHRIMP = Guest("sand-shrimp", "shrimp, mysids", 30, 40)
PIPEFISH = Guest("northern-pipefish", "pipefish, sticklebacks", 150, 150)


def test_the_table_has_a_verdict_for_every_pair_and_the_same_both_ways():
    classes = {each for pair in VERDICTS for each in pair}
    assert set(BY_GROUP.values()) <= classes
    for one in classes:
        for other in classes:
            assert frozenset((one, other)) in VERDICTS


@pytest.mark.parametrize(
    ("one", "other", "level"),
    [
        (SILVERSIDE, SHRIMP, "ok"),
        (SILVERSIDE, PIPEFISH, "no"),
        (SILVERSIDE, CRAB, "never"),
        (PIPEFISH, SHRIMP, "no"),
        (SCULPIN, SHRIMP, "no"),
        (CRAB, CRAB, "never"),
    ],
)
def test_verdicts_are_those_of_the_table(one, other, level):
    assert verdict(one, other).level == level
    assert verdict(other, one).level == level


def test_a_twelve_centimetre_sculpin_swallows_a_five_centimetre_fish():
    said = verdict(SCULPIN, SMALL_SCULPIN)
    assert said.level == "no"
    assert "shorter than 0.5 of the other" in said.why


def test_sculpins_of_a_size_get_on_and_unmeasured_ones_do_not():
    assert verdict(SCULPIN, SCULPIN).level == "ok"
    unknown = Guest("grubby", "sculpins, rockfish")
    assert verdict(unknown, unknown).level == "no"
    assert "nobody measured" in verdict(unknown, unknown).why


def test_a_crab_nobody_measured_is_a_large_crab():
    assert class_of("crab") == "large crabs"
    assert class_of("crab", length_mm=30) == "small crabs"


def test_what_sheds_toxin_or_hunts_travels_alone():
    pack = load_pack("nwatlantic")
    for key in ("longfin-squid", "forbes-sea-star", "nudibranchia", "horseshoe-crab"):
        lineage = (key, *pack.lineage(key))
        assert class_of(pack[key].group, lineage) == "alone", key


def test_like_goes_to_like_then_to_an_empty_bucket():
    buckets = {"bucket 1": [SCULPIN], "bucket 2": [SILVERSIDE], "bucket 3": []}
    assert best_bucket(SILVERSIDE, buckets).place == "bucket 2"
    assert best_bucket(PIPEFISH, buckets).place == "bucket 3"


def test_a_bucket_that_has_run_out_takes_nobody():
    buckets = {"bucket 1": [SILVERSIDE], "bucket 2": []}
    assert best_bucket(SILVERSIDE, buckets, {"bucket 1": 0.0, "bucket 2": None}).place == "bucket 2"


def test_where_no_bucket_will_do_the_animal_goes_back():
    choice = best_bucket(CRAB, {"bucket 1": [SCULPIN]})
    assert choice.place is None
    assert "put it back" in choice.why


def test_the_failing_bucket_goes_first_then_the_pelagics():
    order = empty_first(
        [
            Filled("bucket 1", (SCULPIN,), 12.0),
            Filled("bucket 2", (SILVERSIDE,), 40.0),
            Filled("bucket 3", (SHRIMP,), 5.0),
            Filled("bucket 4", (), None),
            Filled("bucket 5", (SCULPIN,), 0.0),
        ]
    )
    assert order == ("bucket 5", "bucket 2", "bucket 3", "bucket 1")


def test_the_kit_carries_the_table_and_a_demand_for_every_taxon():
    rules = company_rules()
    assert len(rules["pairs"]) == len(VERDICTS)
    for taxon in load_pack("nwatlantic").taxa.values():
        demand = mg_h(taxon, 14)
        assert 0 < demand["low"] < demand["mid"] < demand["high"]
