"""How likely each answer is for each taxon: the one table that everything else adds up.

For a taxon scored ``k`` of ``K`` states with confidence ``q``, its animals show a listed state with
probability ``q/k + (1 - q)/K`` and any other with ``(1 - q)/K``: if the row is wrong, nothing is known, so the
chance share 1/K stands in. An unscored cell is a row with ``q = 0``. The observer names the state that is
there with probability ``1 - slip``, else one of the other ``K - 1`` alike. Both are the plain model of a
likelihood key: a finite mixture with known error (Bayes' rule; the slip of 8 % is the rate of the trial
described in ``docs/reference/identify.md``).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

from haulbook.identify.matrix import Cell, Matrix, load_matrix
from haulbook.problems import Refusal

SLIP = 0.08
"""Share of looks that are misread; open to change by who measures it."""

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """The table of a pack at one rate of slips.

    Attributes
    ----------
    matrix : Matrix
    slip : float
    answers : mapping of character key to array, shape (ranked taxa, states)
        Probability of each answer for each taxon; rows sum to 1.
    """

    matrix: Matrix
    slip: float
    answers: Mapping[str, Floats]

    @property
    def taxa(self) -> tuple[str, ...]:
        """Keys of the ranked taxa: the rows of every array."""
        return self.matrix.ranked


def answer_chances(cell: Cell | None, states: Sequence[str], slip: float) -> Floats:
    """Return the probability of each answer for one taxon, shape (states,), sum 1.

    Parameters
    ----------
    cell : Cell or None
        None where the taxon is unscored: every answer has the chance share.
    states : sequence of str
        All states of the character, at least two.
    slip : float
        Above 0, at most 0.5.
    """
    many = len(states)
    if cell is None:
        return np.full(many, 1 / many)
    listed = np.array([state in cell.states for state in states], dtype=float)
    shown = cell.confidence * listed / listed.sum() + (1 - cell.confidence) / many
    return np.asarray((1 - slip) * shown + slip * (1 - shown) / (many - 1))


@cache
def load_model(pack_key: str, slip: float = SLIP) -> Model:
    """Return the table of a pack.

    Raises
    ------
    Refusal
        Unknown pack, or a slip that is not above 0 and at most 0.5.
    """
    return model_of(load_matrix(pack_key), slip)


def model_of(matrix: Matrix, slip: float = SLIP) -> Model:
    """Return the table of a matrix at a rate of slips (see `load_model`)."""
    if not 0 < slip <= 0.5:
        raise Refusal(f"a slip of {slip:g} is no share of looks: it must be above 0 and at most 0.5")
    answers = {
        character.key: np.array(
            [
                answer_chances(matrix.cells[taxon].get(character.key), character.state_keys, slip)
                for taxon in matrix.ranked
            ]
        )
        for character in matrix.characters.values()
    }
    return Model(matrix, slip, answers)
