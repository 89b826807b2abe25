"""Try the key on specimens drawn from its own table, with a known share of wrong looks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from haulbook.identify.apart import undecided_with
from haulbook.identify.characters import BEACH, Character
from haulbook.identify.likelihood import Floats, Model
from haulbook.identify.observations import Observation
from haulbook.identify.posterior import posterior
from haulbook.identify.question import SURE, Question, next_question

Choose = Callable[[Model, Floats, Sequence[Observation], tuple[str, ...], tuple[str, ...]], Question | None]
"""What picks the next look: model, probabilities, observations, skipped characters, kinds of look to be had."""


@dataclass(frozen=True, slots=True, eq=False)
class Trial:
    """How the key fared with one specimen.

    Attributes
    ----------
    taxon : str
        What it was.
    chances : array, shape (ranked taxa,)
        At the end.
    looks : int
        Looks asked until the key stopped.
    decided_after : int or None
        Looks after which the leader and the taxa that no beach look parts from it first held `SURE` together:
        decided to species or to its undecidable set. None where that never came.
    decided_right : bool
        Whether the specimen was one of those.
    """

    taxon: str
    chances: Floats
    looks: int
    decided_after: int | None
    decided_right: bool


def trial(
    model: Model,
    taxon: str,
    before: Floats,
    rng: np.random.Generator,
    *,
    wrong: float = 0.0,
    costs: tuple[str, ...] = (BEACH,),
    most: int = 12,
    choose: Choose = next_question,
) -> Trial:
    """Let the key ask about one specimen of a taxon until it stops.

    A specimen shows one of the states listed for its taxon, each alike; where the taxon is unscored, any state.

    Parameters
    ----------
    model : Model
    taxon : str
        A ranked taxon.
    before : array, shape (ranked taxa,)
    rng : numpy.random.Generator
    wrong : float
        Share of looks that are answered by another state, 0 to 1.
    costs : tuple of str
        Kinds of look that can be had.
    most : int
        Looks at most.
    choose : callable
        What picks the next look.
    """
    seen: list[Observation] = []
    decided_after, right = None, False
    while True:
        chances = posterior(model, seen, before)
        if decided_after is None:
            held = undecided_with(model.matrix, model.taxa[int(chances.argmax())])
            if sum(chance for each, chance in zip(model.taxa, chances, strict=True) if each in held) >= SURE:
                decided_after, right = len(seen), taxon in held
        question = choose(model, chances, seen, (), costs) if len(seen) < most else None
        if question is None:
            return Trial(taxon, chances, len(seen), decided_after, right)
        state = _answer(model, taxon, question.character, wrong, rng)
        seen.append(Observation(question.character.key, frozenset({state})))


def _answer(model: Model, taxon: str, character: Character, wrong: float, rng: np.random.Generator) -> str:
    states = model.matrix.states(taxon, character.key)
    shown = str(rng.choice([key for key in character.state_keys if key in states]))
    if rng.random() >= wrong:
        return shown
    return str(rng.choice([key for key in character.state_keys if key != shown]))
