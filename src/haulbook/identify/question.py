"""Which look to ask for next: the one that is expected to tell most for what it costs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from haulbook.identify.apart import shared_path
from haulbook.identify.characters import COSTS, Character
from haulbook.identify.likelihood import Floats, Model
from haulbook.identify.observations import Observation

SURE = 0.8
"""A taxon or group this probable is said without doubt; ``bench/identify.py`` shows how often that is right.
House value (common practice, no source)."""

LEAST_BITS = 0.05
"""A look expected to tell less than this is not asked for. House value (common practice, no source)."""

CLOSE = 3.0
"""Two leaders are close where the first is less than this many times as probable as the second ..."""

CLOSE_SHARE = 0.6
"""... and the two together hold at least this much. House values (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Question:
    """The next look.

    Attributes
    ----------
    character : Character
    states : tuple of str
        Answers still open, in the order of the table.
    bits : float
        Information about the taxon that the answer is expected to bring.
    between : pair of taxa or None
        The close leaders that it was chosen to tell apart.
    """

    character: Character
    states: tuple[str, ...]
    bits: float
    between: tuple[str, str] | None = None


def information(weights: Floats, answers: Floats) -> float:
    """Return the bits that an answer is expected to tell about the taxon.

    Mutual information of taxon and answer: entropy of the answer less its mean entropy given the taxon
    (Shannon 1948, sections 6 and 12).

    Parameters
    ----------
    weights : array, shape (taxa,), sum 1
    answers : array, shape (taxa, states), rows sum to 1
    """
    return max(0.0, float(_entropy(weights @ answers) - weights @ _entropy(answers)))


def may_ask(character: Character, observations: Iterable[Observation]) -> bool:
    """Whether every condition of a character has been answered so that it holds."""
    seen = {each.character: each.states for each in observations}
    return all(
        condition.character in seen and seen[condition.character] <= condition.states
        for condition in character.conditions
    )


def close_leaders(model: Model, chances: Floats) -> tuple[str, str] | None:
    """Return the two leading taxa where they are too close to leave it at that, else None."""
    if len(chances) < 2:
        return None
    second, first = np.argsort(chances, kind="stable")[-2:]
    together = chances[first] + chances[second]
    if together < CLOSE_SHARE or chances[first] >= CLOSE * chances[second]:
        return None
    return model.taxa[first], model.taxa[second]


def next_question(
    model: Model,
    chances: Floats,
    observations: Sequence[Observation],
    skipped: Iterable[str] = (),
    costs: Iterable[str] = tuple(COSTS),
) -> Question | None:
    """Return the look with the most expected bits per cost, None where none is worth asking.

    Nothing is asked once a taxon is at least `SURE`. Two close leaders bring one more question: the look that
    tells those two apart. What can't apply to the animal is never asked, nor what was answered.

    Parameters
    ----------
    model : Model
    chances : array, shape (ranked taxa,)
        From `posterior.posterior` for these observations.
    observations : sequence of Observation
    skipped : iterable of str
        Characters that the observer can't tell.
    costs : iterable of str
        Kinds of look that can be had here.
    """
    if chances.max() >= SURE:
        return None
    barred = {*skipped, *(each.character for each in observations if not each.ruled_out)}
    can = [
        each
        for each in model.matrix.characters.values()
        if each.key not in barred and each.cost in set(costs) and may_ask(each, observations)
    ]
    pair = close_leaders(model, chances)
    return (pair and _between(model, chances, observations, can, pair)) or _best(
        model, chances, observations, can
    )


def _between(
    model: Model,
    chances: Floats,
    observations: Sequence[Observation],
    can: Iterable[Character],
    pair: tuple[str, str],
) -> Question | None:
    """Return the look that best tells two leaders apart; its bits are those about all taxa."""
    places = [model.taxa.index(taxon) for taxon in pair]
    of_pair = np.zeros_like(chances)
    of_pair[places] = chances[places] / chances[places].sum()
    both = [each for each in can if shared_path(model.matrix, *pair, each)]
    found = _best(model, of_pair, observations, both)
    if found is None:
        return None
    return Question(found.character, found.states, _bits(model, chances, observations, found.character), pair)


def _best(
    model: Model, weights: Floats, observations: Sequence[Observation], can: Iterable[Character]
) -> Question | None:
    asked = [(_bits(model, weights, observations, each), each) for each in can]
    worth = [(bits / COSTS[each.cost], bits, each) for bits, each in asked if bits >= LEAST_BITS]
    if not worth:
        return None
    _, bits, character = max(worth, key=lambda row: row[0])
    return Question(character, _open_states(character, observations), bits)


def _bits(model: Model, weights: Floats, observations: Sequence[Observation], character: Character) -> float:
    states = _open_states(character, observations)
    answers = model.answers[character.key][:, [key in states for key in character.state_keys]]
    return information(weights, answers / answers.sum(axis=1, keepdims=True))


def _open_states(character: Character, observations: Iterable[Observation]) -> tuple[str, ...]:
    left = next((each.states for each in observations if each.character == character.key), None)
    return tuple(key for key in character.state_keys if left is None or key in left)


def _entropy(chances: Floats) -> Floats:
    logs = np.log2(chances, out=np.zeros_like(chances), where=chances > 0)
    return np.asarray(-(chances * logs).sum(axis=-1))
