"""The whole answer after some looks: who it may be, how sure, why, what to look at next, what to heed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from haulbook.identify.apart import undecided_with
from haulbook.identify.groups import LEAST_SHOWN, Support, groups, leave_at, told_by_body
from haulbook.identify.likelihood import Floats, Model
from haulbook.identify.notices import Notice, notices
from haulbook.identify.observations import Observation
from haulbook.identify.posterior import posterior
from haulbook.identify.question import SURE, Question, next_question
from haulbook.identify.reasons import Contradiction, Reason, body_of_nobody, contradictions, reasons


@dataclass(frozen=True, slots=True)
class Identification:
    """What is known about an animal after some looks.

    Attributes
    ----------
    model : Model
    weighed : bool
        False where the body seen is that of no ranked taxon: the ranking then says nothing.
    ranking : tuple of (taxon, probability)
        All ranked taxa, most probable first.
    groups : tuple of Support
    left_at : Support or None
        The finest name that is sure enough to be written down; None where none is.
    told_by_body : tuple of Support
        Taxa that fit the body seen and are known by nothing else; empty once a taxon is sure.
    undecided : tuple of str
        Ranked taxa that no beach look of the table parts from the leader, where all of them together are sure
        and the leader alone is not.
    question : Question or None
    contradictions : tuple of Contradiction
    notices : tuple of Notice
    reasons : tuple of Reason
        For the leader.
    """

    model: Model
    weighed: bool
    ranking: tuple[tuple[str, float], ...]
    groups: tuple[Support, ...]
    left_at: Support | None
    told_by_body: tuple[Support, ...]
    undecided: tuple[str, ...]
    question: Question | None
    contradictions: tuple[Contradiction, ...]
    notices: tuple[Notice, ...]
    reasons: tuple[Reason, ...]

    @property
    def sure(self) -> bool:
        """Whether one taxon is sure enough to be written down without doubt."""
        return self.ranking[0][1] >= SURE


def identify(
    model: Model, observations: Sequence[Observation], before: Floats, skipped: Iterable[str] = ()
) -> Identification:
    """Weigh the observations.

    Parameters
    ----------
    model : Model
    observations : sequence of Observation
    before : array, shape (ranked taxa,)
        From `posterior.prior`.
    skipped : iterable of str
        Characters that the observer can't tell; they are not asked again.
    """
    chances = posterior(model, observations, before)
    order = np.argsort(-chances, kind="stable")
    clashes = contradictions(model, observations, before)
    # A body that no ranked taxon has leaves the shares as they were: more looks would only dress that up.
    nobody = bool(body_of_nobody(model, observations))
    left = None if nobody or not observations else leave_at(model, chances)
    sure = bool(chances.max() >= SURE)
    by_body = () if sure else told_by_body(model.matrix, observations)
    leader = model.taxa[int(order[0])]
    return Identification(
        model=model,
        weighed=not nobody,
        ranking=tuple((model.taxa[i], float(chances[i])) for i in order),
        groups=() if nobody else groups(model, chances),
        left_at=left,
        told_by_body=by_body,
        undecided=() if sure else settled_set(model, chances),
        question=None if nobody else next_question(model, chances, observations, skipped),
        contradictions=clashes,
        notices=notices(model, np.zeros_like(chances) if nobody else chances, left, by_body)
        if observations
        else (),
        reasons=() if nobody else reasons(model, observations, before, leader),
    )


def settled_set(model: Model, chances: Floats) -> tuple[str, ...]:
    """Return the leader's undecidable set, likeliest first, where it holds `SURE`; else nothing.

    Members with less than `LEAST_SHOWN` are left out.
    """
    members = undecided_with(model.matrix, model.taxa[int(chances.argmax())])
    inside = [i for i in np.argsort(-chances, kind="stable") if model.taxa[i] in members]
    if chances[inside].sum() < SURE:
        return ()
    return tuple(model.taxa[i] for i in inside if chances[i] >= LEAST_SHOWN)


def as_json(found: Identification, top: int) -> dict[str, Any]:
    """Return the answer as plain values, with the ``top`` most probable taxa."""
    pack = found.model.matrix.pack
    question = found.question
    return {
        "ranking": [
            {
                "taxon": taxon,
                "scientific_name": pack[taxon].scientific_name,
                "probability": round(chance, 4),
            }
            for taxon, chance in found.ranking[:top]
        ],
        "groups": [_support_json(each) for each in found.groups],
        "next": question
        and {
            "character": question.character.key,
            "question": question.character.question,
            "states": list(question.states),
            "state_words": {
                state.key: state.words for state in question.character.states if state.key in question.states
            },
            "bits": round(question.bits, 4),
            "cost": question.character.cost,
            "between": list(question.between or ()),
        },
        "contradictions": [
            {"character": each.character, "taxon": each.taxon, "message": each.message}
            for each in found.contradictions
        ],
        "notices": [
            {
                "kind": each.kind,
                "taxon": each.taxon,
                "probability": None if each.probability is None else round(each.probability, 4),
                "message": each.message,
            }
            for each in found.notices
        ],
        "leave_at": found.left_at and _support_json(found.left_at),
        "told_by_body_only": [each.taxon for each in found.told_by_body],
        "undecided": list(found.undecided),
        "why": [
            {
                "taxon": each.taxon,
                "character": each.character,
                "seen": each.seen,
                "has": each.has,
                "stance": each.stance,
                "bits": round(each.bits, 2),
            }
            for each in found.reasons
        ],
    }


def _support_json(each: Support) -> dict[str, Any]:
    return {
        "taxon": each.taxon,
        "rank": each.rank,
        "probability": None if each.probability is None else round(each.probability, 4),
    }
