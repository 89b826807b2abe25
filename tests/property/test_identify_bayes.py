"""The key against independent arithmetic: a Bayes table by loops, and scipy's entropy."""

from __future__ import annotations

import csv
from fractions import Fraction
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import entropy

from haulbook.identify import POSSIBLE, Observation, identify, load_model, prior
from haulbook.identify.notices import kinds_of
from haulbook.identify.posterior import posterior
from haulbook.identify.question import information, may_ask

PACKS = ("nepacific", "nwatlantic")


@st.composite
def looks(draw, most=6):
    """Some looks at different characters, each of one or more states."""
    pack = draw(st.sampled_from(PACKS))
    characters = load_model(pack).matrix.characters
    keys = draw(st.lists(st.sampled_from(sorted(characters)), unique=True, max_size=most))
    seen = []
    for key in keys:
        states = characters[key].state_keys
        few = draw(st.sets(st.sampled_from(states), min_size=1, max_size=min(3, len(states))))
        seen.append(Observation(key, frozenset(few)))
    return pack, tuple(seen)


def brute_force(pack, seen, before):
    """Bayes' rule over the packaged file in exact fractions, cell by cell."""
    slip = Fraction(8, 100)
    text = files("haulbook.identify").joinpath(f"data/{pack}.csv").read_text(encoding="utf-8")
    rows = {(row["taxon"], row["character"]): row for row in csv.DictReader(text.splitlines())}
    characters = load_model(pack).matrix.characters
    weights = []
    for taxon, chance in zip(load_model(pack).taxa, before, strict=True):
        weight = Fraction(chance)
        for each in seen:
            states = characters[each.character].state_keys
            row = rows.get((taxon, each.character))
            told = Fraction(0)
            for state in each.states:
                if row is None:
                    told += Fraction(1, len(states))
                    continue
                listed, sure = row["states"].split("|"), Fraction(row["confidence"])
                shown = sure * Fraction(state in listed, len(listed)) + (1 - sure) / len(states)
                told += (1 - slip) * shown + slip / (len(states) - 1) * (1 - shown)
            weight *= told
        weights.append(weight)
    return [float(weight / sum(weights)) for weight in weights]


@settings(max_examples=40, deadline=None)
@given(looks(), st.integers(0, 2**32 - 1))
def test_the_posterior_equals_a_brute_force_bayes_table(look, seed):
    pack, seen = look
    model = load_model(pack)
    before = np.random.default_rng(seed).dirichlet(np.ones(len(model.taxa)))
    np.testing.assert_allclose(posterior(model, seen, before), brute_force(pack, seen, before), rtol=1e-9)


@settings(max_examples=200, deadline=None)
@given(st.integers(1, 30), st.integers(2, 9), st.integers(0, 2**32 - 1))
def test_information_equals_scipys_entropy_on_random_matrices(taxa, states, seed):
    rng = np.random.default_rng(seed)
    weights = rng.dirichlet(np.full(taxa, 0.5))
    answers = rng.dirichlet(np.full(states, 0.4), size=taxa)
    told = weights @ answers
    by_difference = entropy(told, base=2) - weights @ entropy(answers, axis=1, base=2)
    assert information(weights, answers) == pytest.approx(max(0, by_difference), abs=1e-10)
    # The other way round: expected divergence of posterior from prior.
    after = [weights * answers[:, s] / told[s] for s in range(states) if told[s] > 0]
    by_divergence = sum(
        p * entropy(post, weights, base=2) for p, post in zip(told[told > 0], after, strict=True)
    )
    assert information(weights, answers) == pytest.approx(by_divergence, abs=1e-8)


@settings(max_examples=30, deadline=None)
@given(looks(), st.randoms(use_true_random=False))
def test_the_order_of_looks_does_not_matter(look, random):
    pack, seen = look
    model = load_model(pack)
    shuffled = list(seen)
    random.shuffle(shuffled)
    before = prior(model.matrix)
    np.testing.assert_allclose(posterior(model, seen, before), posterior(model, shuffled, before), rtol=1e-9)


@settings(max_examples=30, deadline=None)
@given(looks())
def test_a_look_for_which_two_taxa_are_unscored_leaves_their_ratio_alone(look):
    pack, seen = look
    model = load_model(pack)
    before = prior(model.matrix)
    after = posterior(model, seen, before)
    blank = [
        i
        for i, taxon in enumerate(model.taxa)
        if not any(each.character in model.matrix.cells[taxon] for each in seen)
    ]
    np.testing.assert_allclose(after[blank], after[blank][:1].repeat(len(blank)), rtol=1e-9)


@settings(max_examples=40, deadline=None)
@given(looks(most=4))
def test_every_kind_that_is_possible_is_named(look):
    pack, seen = look
    model = load_model(pack)
    found = identify(model, seen, prior(model.matrix))
    for kind in ("hazardous", "protected", "invasive", "introduced") if seen and found.weighed else ():
        together = sum(
            chance for taxon, chance in found.ranking if kind in kinds_of(model.matrix.pack[taxon])
        )
        named = [each for each in found.notices if each.kind == kind and each.probability is not None]
        assert bool(named) == (together >= POSSIBLE)


@settings(max_examples=40, deadline=None)
@given(looks(most=4))
def test_the_next_look_applies_was_not_had_and_can_tell_something(look):
    pack, seen = look
    model = load_model(pack)
    found = identify(model, seen, prior(model.matrix))
    assert sum(chance for _, chance in found.ranking) == pytest.approx(1)
    if found.question:
        assert found.question.character.key not in {each.character for each in seen}
        assert may_ask(found.question.character, seen)
        assert found.question.bits > 0
