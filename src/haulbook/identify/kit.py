"""The identification table of an outing kit: whole numbers that a phone scores by adding.

Scores are natural logs of likelihoods in thousandths, rounded. For each ranked taxon start at ``start``; for
each answer add the character's ``chance`` where the taxon is unscored there, else the cell's ``hit`` where the
state is listed and its ``miss`` where it is not. The highest sum leads; ``exp(sum / 1000)`` over its total is
the probability. The same numbers give the bits of the next question. Answers are single states: what the
observer can't tell is skipped.
"""

from __future__ import annotations

import math
from typing import Any

from haulbook.identify.characters import COSTS, Character
from haulbook.identify.groups import gathering
from haulbook.identify.likelihood import Floats, Model
from haulbook.identify.notices import LEAST_NAMED, POSSIBLE, kinds_of
from haulbook.identify.question import CLOSE, CLOSE_SHARE, LEAST_BITS, SURE

SCALE = 1000


def kit_table(model: Model, before: Floats) -> dict[str, Any]:
    """Return the table as plain JSON values.

    Parameters
    ----------
    model : Model
    before : array, shape (ranked taxa,)
        From `posterior.prior`, for the site and season of the outing.

    Returns
    -------
    dict
        ``pack``, ``version``, ``slip``; ``rules`` (the thresholds); ``taxa`` [{key, start, notices}];
        ``groups`` {taxon: indices into taxa}; ``body_only`` {taxon: body plans}; ``characters`` [{key, question,
        cost, ask_when, chance, states [[key, words]], cells [[taxon index, [state indices], hit, miss]]}].
    """
    matrix, taxa = model.matrix, model.taxa
    place = {taxon: i for i, taxon in enumerate(taxa)}
    return {
        "pack": matrix.pack.key,
        "version": matrix.pack.version,
        "slip": model.slip,
        "rules": {
            "sure": SURE,
            "least_bits": LEAST_BITS,
            "close": CLOSE,
            "close_share": CLOSE_SHARE,
            "possible": POSSIBLE,
            "least_named": LEAST_NAMED,
        },
        "taxa": [
            {"key": taxon, "start": _log(chance), "notices": sorted(kinds_of(matrix.pack[taxon]))}
            for taxon, chance in zip(taxa, before, strict=True)
        ],
        "groups": {
            taxon: sorted(place[member] for member in members) for taxon, members in gathering(matrix).items()
        },
        "body_only": {
            taxon: sorted(matrix.cells[taxon]["body_plan"].states)
            for taxon in matrix.by_body_only
            if not matrix.members(taxon)
        },
        "characters": [_character(model, each) for each in matrix.characters.values() if _used(model, each)],
    }


def _character(model: Model, character: Character) -> dict[str, Any]:
    keys, answers = character.state_keys, model.answers[character.key]
    cells = []
    for i, taxon in enumerate(model.taxa):
        cell = model.matrix.cells[taxon].get(character.key)
        if cell is None:
            continue
        hits = [j for j, key in enumerate(keys) if key in cell.states]
        misses = [j for j, key in enumerate(keys) if key not in cell.states]
        miss = _log(answers[i, misses[0]]) if misses else 0
        cells.append([i, hits, _log(answers[i, hits[0]]), miss])
    return {
        "key": character.key,
        "question": character.question,
        "cost": COSTS[character.cost],
        "ask_when": [[each.character, sorted(each.states)] for each in character.conditions],
        "chance": _log(1 / len(keys)),
        "states": [[state.key, state.words] for state in character.states],
        "cells": cells,
    }


def _used(model: Model, character: Character) -> bool:
    return any(character.key in model.matrix.cells[taxon] for taxon in model.taxa)


def _log(chance: float) -> int:
    return round(SCALE * math.log(chance))
