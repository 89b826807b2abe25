"""Prior times likelihood: how probable each taxon is after what was seen."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from haulbook.identify.likelihood import Floats, Model
from haulbook.identify.matrix import Matrix
from haulbook.identify.observations import Observation

MOST_FROM_PAST = 20.0
"""However often a taxon was found here, it starts at most this much likelier than one never found: a newcomer
must stay nameable. House value (common practice, no source)."""


def prior(matrix: Matrix, found: Mapping[str, int] | None = None) -> Floats:
    """Return the probability of each ranked taxon before anything is seen, shape (ranked taxa,), sum 1.

    The pack says who may be here: each ranked taxon counts once. Each past haul in which a taxon was found
    adds one, at most `MOST_FROM_PAST` in all; a find known only to a family or group is shared among its
    ranked members. Hauls, not animals, are counted: one school says no more than one pipefish.

    Parameters
    ----------
    matrix : Matrix
    found : mapping of str to int, optional
        Taxon to number of past hauls at this site and season in which it was found. Names that the pack does
        not know are passed over.
    """
    place = {taxon: i for i, taxon in enumerate(matrix.ranked)}
    weights = np.ones(len(matrix.ranked))
    for taxon, hauls in (found or {}).items():
        members = (taxon,) if taxon in place else _members(matrix, taxon)
        for member in members:
            weights[place[member]] += hauls / len(members)
    weights = np.minimum(weights, MOST_FROM_PAST)
    return np.asarray(weights / weights.sum())


def _members(matrix: Matrix, taxon: str) -> tuple[str, ...]:
    return tuple(sorted(matrix.members(taxon))) if taxon in matrix.pack.taxa else ()


def chance_of(model: Model, seen: Observation) -> Floats:
    """Return the probability of one observation for each ranked taxon, shape (ranked taxa,)."""
    keys = model.matrix.characters[seen.character].state_keys
    return np.asarray(model.answers[seen.character][:, [key in seen.states for key in keys]].sum(axis=1))


def log_likelihood(model: Model, observations: Iterable[Observation]) -> Floats:
    """Return the natural log of the likelihood of each ranked taxon: one number added per observation."""
    total = np.zeros(len(model.taxa))
    for seen in observations:
        total += np.log(chance_of(model, seen))
    return total


def posterior(model: Model, observations: Iterable[Observation], before: Floats) -> Floats:
    """Return the probability of each ranked taxon after the observations, shape (ranked taxa,), sum 1.

    Source: Bayes' rule, with observations independent given the taxon.
    """
    score = np.log(before) + log_likelihood(model, observations)
    weights = np.exp(score - score.max())
    return np.asarray(weights / weights.sum())
