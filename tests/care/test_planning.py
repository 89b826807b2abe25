"""House values: each labelled, each in its range, each open to a station."""

from __future__ import annotations

from pathlib import Path

import pytest

from haulbook.care.planning import HOUSE, LABEL, PlanningDefaults, own_defaults
from haulbook.care.planning_groups import GROUPS, GroupDefault
from haulbook.problems import Refusal


def test_every_house_value_says_unit_range_reason_and_that_it_is_a_planning_default():
    rows = HOUSE.described()
    assert len(rows) > 25
    for row in rows:
        assert row["label"] == LABEL == "planning default"
        assert row["unit"], row
        assert row["why"], row
        assert row["low"] <= row["value"] <= row["high"]
        assert row["own"] is False


def test_a_station_puts_its_own_value_in_and_it_shows():
    own = own_defaults({"target_percent": 85})
    assert own.target_percent == 85
    assert [row["name"] for row in own.described() if row["own"]] == ["target_percent"]


def test_all_that_is_wrong_with_a_stations_values_is_said_together():
    with pytest.raises(Refusal) as refused:
        own_defaults({"target_procent": 85, "act_mg_l": "five"})
    said = str(refused.value)
    assert "nearest is 'target_percent'" in said
    assert "act_mg_l has to be a number" in said


def test_a_value_outside_its_range_is_refused_with_the_range():
    with pytest.raises(Refusal, match=r"quarantine_days 2 days is outside 7 to 180 days"):
        PlanningDefaults(quarantine_days=2)


def test_act_now_cannot_lie_above_the_target():
    with pytest.raises(Refusal, match="act_percent has to be target_percent or less"):
        own_defaults({"act_percent": 90})


def test_a_station_adds_what_it_knows_of_a_group():
    own = own_defaults({}, {"crab": GroupDefault("crab", 80.0, 0.1, 3.0)})
    assert own.groups["crab"].mass_g == 80.0
    assert own.groups["sculpin"] == GROUPS["sculpin"]


def test_no_group_weighs_nothing():
    assert min(group.mass_g for group in GROUPS.values()) > 0


def test_every_group_of_both_packs_has_a_default(pack_of):
    for key in ("nwatlantic", "nepacific"):
        groups = {taxon.group for taxon in pack_of(key).taxa.values()}
        assert groups <= set(GROUPS), groups - set(GROUPS)


@pytest.fixture
def pack_of():
    from haulbook.taxa import load_pack

    return load_pack


def test_the_reference_page_lists_every_house_value_and_every_group():
    page = (Path(__file__).resolve().parents[2] / "docs/reference/care.md").read_text(encoding="utf-8")
    for row in HOUSE.described():
        value = f"{row['value']:g}" if row["value"] < 1e5 else f"{row['value']:.0f}"
        assert f"| `{row['name']}` | {value} | {row['unit']} |" in page, row["name"]
    for name, group in GROUPS.items():
        assert f"| {name} | {group.uptake} | {group.mass_g:g} |" in page, name
