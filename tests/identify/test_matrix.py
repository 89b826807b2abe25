"""The table of characters and the matrices are what the reference says, and nothing else."""

from __future__ import annotations

import csv

import pytest

from haulbook.identify import load_matrix
from haulbook.identify import matrix as matrix_module
from haulbook.identify.characters import BODY_PLAN, COSTS, PICTURE_GROUPS, load_characters
from haulbook.problems import Refusal

PACKS = ("nepacific", "nwatlantic")


def rows_of(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_every_character_and_state_equals_the_reference_row_by_row(shared_reference):
    loaded = []
    for each in load_characters().values():
        gates = {condition.character: condition.states for condition in each.conditions}
        plan = gates.pop(BODY_PLAN, None)
        loaded += [
            (each.key, each.question, state.key, state.words, each.kind, each.cost, plan, gates)
            for state in each.states
        ]
    wanted = []
    for row in rows_of(shared_reference / "identification-characters.csv"):
        when = row["ask_when_body_plan"]
        plan = None if when == "always" else frozenset(when.split("|"))
        also = dict(part.strip().split("=") for part in row["ask_when_also"].split(";") if part.strip())
        gates = {key: frozenset(states.split("|")) for key, states in also.items()}
        wanted.append(
            (
                row["character"],
                row["question"],
                row["state"],
                row["state_explanation"],
                row["kind"],
                row["cost"],
                plan,
                gates,
            )
        )
    assert sorted(loaded, key=lambda row: (row[0], row[2])) == sorted(
        wanted, key=lambda row: (row[0], row[2])
    )


@pytest.mark.parametrize("pack", PACKS)
def test_every_cell_equals_the_reference_row_by_row(pack, shared_reference):
    loaded = [
        (taxon, character, cell.states, cell.confidence, cell.source)
        for taxon, cells in load_matrix(pack).cells.items()
        for character, cell in cells.items()
    ]
    wanted = [
        (
            row["taxon"],
            row["character"],
            frozenset(row["states"].split("|")),
            float(row["confidence"]),
            row["source"],
        )
        for row in rows_of(shared_reference / f"identification-{pack}.csv")
    ]
    assert len(loaded) == len(wanted)
    assert {row[:2]: row for row in loaded} == {row[:2]: row for row in wanted}


@pytest.mark.parametrize(("pack", "cells", "taxa"), [("nepacific", 942, 183), ("nwatlantic", 618, 157)])
def test_the_numbers_of_the_look_alike_pages_hold(pack, cells, taxa):
    matrix = load_matrix(pack)
    assert sum(map(len, matrix.cells.values())) == cells
    assert len(matrix.cells) == taxa
    assert len(matrix.characters) == 122
    assert sum(len(each.states) for each in matrix.characters.values()) == 387


@pytest.mark.parametrize("pack", PACKS)
def test_every_scored_cell_can_be_asked_of_its_taxon(pack):
    matrix = load_matrix(pack)
    stuck = [
        (taxon, key, condition.character)
        for taxon, cells in matrix.cells.items()
        for key in cells
        for condition in matrix.characters[key].conditions
        if not matrix.states(taxon, condition.character) & condition.states
    ]
    assert stuck == []


@pytest.mark.parametrize("pack", PACKS)
def test_only_taxa_told_by_more_than_their_body_are_ranked(pack):
    matrix = load_matrix(pack)
    assert all(set(matrix.cells[taxon]) - {BODY_PLAN} for taxon in matrix.ranked)
    assert all(set(matrix.cells[taxon]) == {BODY_PLAN} for taxon in matrix.by_body_only)


def test_body_plans_stand_in_four_picture_groups_and_every_cost_is_known():
    characters = load_characters()
    shown = [plan for plans in PICTURE_GROUPS.values() for plan in plans]
    assert sorted(shown) == sorted(characters[BODY_PLAN].state_keys)
    assert len(PICTURE_GROUPS) == 4
    assert {each.cost for each in characters.values()} <= set(COSTS)


def test_a_matrix_that_names_what_does_not_exist_is_refused_by_name(monkeypatch):
    rows = [
        {"taxon": "bay-pipefsh", "character": "snout", "states": "tube", "confidence": "1", "source": ""},
        {"taxon": "bay-pipefish", "character": "snoot", "states": "tube", "confidence": "1", "source": ""},
        {"taxon": "bay-pipefish", "character": "snout", "states": "tubes", "confidence": "1", "source": ""},
    ]
    monkeypatch.setattr(matrix_module, "read_table", lambda name: rows)
    with pytest.raises(Refusal) as refused:
        load_matrix.__wrapped__("nepacific")
    assert str(refused.value) == (
        "there is no taxon 'bay-pipefsh'; the nearest is 'bay-pipefish'; "
        "there is no character 'snoot'; the nearest is 'snout'; "
        "there is no state of snout 'tubes'; the nearest is 'tube'"
    )


@pytest.mark.parametrize(
    ("pack", "name", "members"),
    [
        ("nepacific", "artedius", {"artedius", "padded-sculpin", "scalyhead-sculpin", "smoothhead-sculpin"}),
        (
            "nepacific",
            "copper-quillback-brown",
            {"copper-quillback-brown", "copper-rockfish", "quillback-rockfish"},
        ),
        ("nepacific", "paralichthyidae", {"speckled-sanddab", "pacific-sanddab"}),
        ("nwatlantic", "gasterosteus", {"threespine-stickleback", "blackspotted-stickleback"}),
        ("nwatlantic", "cunner", {"cunner"}),
    ],
)
def test_a_name_gathers_what_it_can_stand_for(pack, name, members):
    assert load_matrix(pack).members(name) == members
