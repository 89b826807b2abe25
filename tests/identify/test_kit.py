"""The table of the kit: adding its whole numbers gives the same answer, without numpy."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from haulbook.identify import kit_table, load_model, prior, read_observations
from haulbook.identify.likelihood import SLIP
from haulbook.identify.posterior import posterior
from haulbook.identify.question import next_question


def add_up(kit, answers):
    """What a phone does: integers added, one exponential each."""
    sums = [taxon["start"] for taxon in kit["taxa"]]
    by_key = {character["key"]: character for character in kit["characters"]}
    for key, state in answers.items():
        character = by_key[key]
        at = [name for name, _ in character["states"]].index(state)
        cells = {i: (hit if at in listed else miss) for i, listed, hit, miss in character["cells"]}
        sums = [total + cells.get(i, character["chance"]) for i, total in enumerate(sums)]
    top = max(sums)
    weights = [math.exp((total - top) / 1000) for total in sums]
    return [weight / sum(weights) for weight in weights]


def bits(kit, key, chances):
    """The expected bits of a question, from the same numbers."""
    (character,) = [each for each in kit["characters"] if each["key"] == key]
    cells = {i: cell for i, *cell in character["cells"]}
    total, told = 0.0, [0.0] * len(character["states"])
    for i, chance in enumerate(chances):
        listed, hit, miss = cells.get(i, ([], 0, character["chance"]))
        row = [math.exp((hit if at in listed else miss) / 1000) for at in range(len(told))]
        total -= chance * -sum(p * math.log2(p) for p in row)
        told = [sum_ + chance * p for sum_, p in zip(told, row, strict=True)]
    return total - sum(p * math.log2(p) for p in told)


@pytest.fixture(scope="module", params=["nepacific", "nwatlantic"])
def model(request):
    return load_model(request.param)


def test_adding_whole_numbers_gives_the_probabilities_and_the_next_question(model):
    before = prior(model.matrix, {model.taxa[3]: 4})
    kit = json.loads(json.dumps(kit_table(model, before)))
    rng = np.random.default_rng(5)
    for _ in range(25):
        answers = {}
        for key in rng.choice([each["key"] for each in kit["characters"]], size=6, replace=False):
            answers[str(key)] = str(rng.choice(model.matrix.characters[str(key)].state_keys))
        seen = read_observations(
            [f"{key}={state}" for key, state in answers.items()], (), model.matrix.characters
        )
        wanted = posterior(model, seen, before)
        np.testing.assert_allclose(add_up(kit, answers), wanted, rtol=0.008, atol=1e-12)


def test_the_bits_of_the_question_follow_from_the_same_numbers(model):
    before = prior(model.matrix)
    kit = kit_table(model, before)
    question = next_question(model, before, ())
    assert bits(kit, question.character.key, add_up(kit, {})) == pytest.approx(question.bits, abs=0.01)


def test_the_table_is_small_enough_to_carry_and_names_its_pack_and_slip(model):
    kit = kit_table(model, prior(model.matrix))
    assert len(json.dumps(kit, separators=(",", ":"))) < 70_000
    assert (kit["pack"], kit["version"], kit["slip"]) == (
        model.matrix.pack.key,
        model.matrix.pack.version,
        SLIP,
    )


def test_gates_costs_groups_and_bodies_are_in_the_table():
    model = load_model("nepacific")
    kit = kit_table(model, prior(model.matrix))
    by_key = {each["key"]: each for each in kit["characters"]}
    assert by_key["parr"]["ask_when"] == [["body_plan", ["torpedo"]], ["adipose", ["clipped", "present"]]]
    assert by_key["body_plan"]["ask_when"] == []
    assert by_key["anal_rays"]["cost"] == 3
    assert all(len(members) > 1 for members in kit["groups"].values())
    assert not set(kit["body_only"]) & {each["key"] for each in kit["taxa"]}
