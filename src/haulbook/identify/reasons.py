"""Why a taxon stands where it stands, and what does not fit together, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from haulbook.identify.characters import BODY_PLAN, Condition
from haulbook.identify.likelihood import Floats, Model
from haulbook.identify.observations import Observation
from haulbook.identify.posterior import chance_of, posterior
from haulbook.identify.words import short_name

Stance = Literal["for", "against", "neither"]

ODD = 0.5
"""An observation less than this many times as probable as chance, given all others, is named as the one that
may be a slip. House value (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Reason:
    """What one observation says about one taxon.

    Attributes
    ----------
    taxon, character : str
    seen, has : str
        What was seen and what the taxon has, in plain words; ``has`` is empty where that is not known.
    stance : {"for", "against", "neither"}
    bits : float
        Weight of evidence against the average of the other ranked taxa: log2 of the likelihood ratio
        (Good 1950, *Probability and the Weighing of Evidence*).
    """

    taxon: str
    character: str
    seen: str
    has: str
    stance: Stance
    bits: float


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Something that does not fit.

    Attributes
    ----------
    character : str
    taxon : str or None
        The leader that does not show it; None where observations clash among themselves.
    message : str
    """

    character: str
    taxon: str | None
    message: str


def reasons(
    model: Model, observations: Sequence[Observation], before: Floats, taxon: str
) -> tuple[Reason, ...]:
    """Return what each observation says about a ranked taxon, weightiest first."""
    place = model.taxa.index(taxon)
    others = np.delete(before, place)
    found = []
    for seen in observations:
        chances = chance_of(model, seen)
        rest = (
            float(np.delete(chances, place) @ others / others.sum())
            if others.sum()
            else float(chances[place])
        )
        bits = math.log2(chances[place] / rest)
        cell = model.matrix.cells[taxon].get(seen.character)
        character = model.matrix.characters[seen.character]
        if cell is None:
            stance: Stance = "neither"
        elif not cell.states & seen.states:
            stance = "against"
        else:
            stance = "for" if bits > 0 else "neither"
        has = character.words(cell.states) if cell else ""
        found.append(Reason(taxon, character.key, said(model, seen), has, stance, bits))
    return tuple(sorted(found, key=lambda each: -abs(each.bits)))


def said(model: Model, seen: Observation) -> str:
    """Return an observation in plain words."""
    character = model.matrix.characters[seen.character]
    if seen.ruled_out and len(seen.states) > 1:
        return "not " + character.words(frozenset(character.state_keys) - seen.states)
    return character.words(seen.states)


def contradictions(
    model: Model, observations: Sequence[Observation], before: Floats
) -> tuple[Contradiction, ...]:
    """Return what does not fit: answers that exclude each other, bodies nobody has, the leader's misfits."""
    if not observations:
        return ()
    nobody = body_of_nobody(model, observations)
    found = [*_clashes(model, observations), *nobody]
    if not nobody:
        found += _misfits(model, observations, before)
        found += _slip(model, observations, before)
    return tuple(found)


def _clashes(model: Model, observations: Sequence[Observation]) -> list[Contradiction]:
    """Name each look that is never asked of an animal that was answered so."""
    seen = {each.character: each for each in observations}
    return [
        Contradiction(
            each.character,
            None,
            f"{model.matrix.characters[each.character].question} is asked where "
            f"{_condition_words(model, condition)}, but the answer there was "
            f'"{said(model, seen[condition.character])}": one of the two needs another look.',
        )
        for each in observations
        for condition in model.matrix.characters[each.character].conditions
        if condition.character in seen and not seen[condition.character].states & condition.states
    ]


def _condition_words(model: Model, condition: Condition) -> str:
    character = model.matrix.characters[condition.character]
    return f'"{character.question}" is answered by {character.words(condition.states)}'


def body_of_nobody(model: Model, observations: Sequence[Observation]) -> list[Contradiction]:
    """Say so where no taxon that can be weighed has the body that was seen; empty otherwise."""
    body = next((each for each in observations if each.character == BODY_PLAN), None)
    if body is None or any(model.matrix.states(taxon, BODY_PLAN) & body.states for taxon in model.taxa):
        return []
    words = f'No taxon that can be weighed here has this body: "{said(model, body)}".'
    return [Contradiction(BODY_PLAN, None, words)]


def _misfits(model: Model, observations: Sequence[Observation], before: Floats) -> list[Contradiction]:
    """Name what the leader does not show."""
    leader = model.taxa[int(posterior(model, observations, before).argmax())]
    name = short_name(model.matrix.pack[leader])
    return [
        Contradiction(
            each.character,
            leader,
            f'"{model.matrix.characters[each.character].question}" was answered by "{each.seen}"; '
            f"the leader, {name}, has: {each.has}.",
        )
        for each in reasons(model, observations, before, leader)
        if each.stance == "against"
    ]


def _slip(model: Model, observations: Sequence[Observation], before: Floats) -> list[Contradiction]:
    """Name the observation that the others make least probable, where no taxon shows them all."""
    if len(observations) < 3 or any(_shows_all(model, taxon, observations) for taxon in model.taxa):
        return []
    odd = {}
    for seen in observations:
        rest = posterior(model, [each for each in observations if each != seen], before)
        chance = len(seen.states) / len(model.matrix.characters[seen.character].states)
        odd[seen] = float(rest @ chance_of(model, seen)) / chance
    worst = min(odd, key=lambda seen: odd[seen])
    if odd[worst] >= ODD:
        return []
    question = model.matrix.characters[worst.character].question
    words = f'Nothing ranked here shows all of this. "{question}" fits the rest least: look once more.'
    return [Contradiction(worst.character, None, words)]


def _shows_all(model: Model, taxon: str, observations: Sequence[Observation]) -> bool:
    return all(model.matrix.states(taxon, each.character) & each.states for each in observations)
