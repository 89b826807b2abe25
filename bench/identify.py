"""The likelihood key on specimens drawn from its own table: questions needed, and whether its shares are true.

Specimens show a listed state of their taxon, any state where it is unscored; 0, 10 and 20 % of the looks are
answered wrongly. The peer asks the same specimens in the order of the table instead of by expected bits.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence

import numpy as np

from haulbook.identify import SLIP, SURE, Model, Observation, load_model, prior
from haulbook.identify.characters import BEACH, COSTS
from haulbook.identify.groups import leave_at
from haulbook.identify.likelihood import Floats
from haulbook.identify.question import Question, may_ask
from haulbook.identify.trial import Trial, trial

SEED, EACH = 20270514, 4
BINS = (0.0, 0.2, 0.4, 0.6, 0.8, 0.9, 1.0)


def table_order(
    model: Model,
    chances: Floats,
    observations: Sequence[Observation],
    skipped: tuple[str, ...],
    costs: tuple[str, ...],
) -> Question | None:
    """The peer: the first look of the table that may be asked and that some taxon is scored for."""
    seen = {each.character for each in observations}
    for each in model.matrix.characters.values():
        if each.key in seen or each.cost not in costs or not may_ask(each, observations):
            continue
        if chances.max() < SURE and any(each.key in model.matrix.cells[taxon] for taxon in model.taxa):
            return Question(each, each.state_keys, 0.0)
    return None


def brier(model: Model, trials: Iterable[Trial]) -> float:
    """Mean over specimens of the summed squared error over all taxa (Brier 1950): 0 is best, 2 worst."""
    return float(
        np.mean([((each.chances - (np.array(model.taxa) == each.taxon)) ** 2).sum() for each in trials])
    )


def reliability(stated: Sequence[float], right: Sequence[bool]) -> None:
    """Print stated probability against frequency, by bin."""
    edges = np.digitize(stated, BINS[1:-1])
    for i, (low, high) in enumerate(itertools.pairwise(BINS)):
        inside = edges == i
        if inside.any():
            said, held = np.asarray(stated)[inside].mean(), np.asarray(right)[inside].mean()
            print(f"      {low:.1f} to {high:.1f}   {inside.sum():5}   {said:.2f}     {held:.2f}")


def _needed(trials: Sequence[Trial]) -> str:
    after = [np.inf if each.decided_after is None else each.decided_after for each in trials]
    decided = [each for each in trials if each.decided_after is not None]
    held = np.mean([each.decided_right for each in decided])
    return (
        f"median {np.median(after):.0f} looks, within 5 {np.mean(np.array(after) <= 5):.0%}, "
        f"never {1 - len(decided) / len(trials):.0%}; right where decided {held:.1%}"
    )


def _group_right(model: Model, each: Trial) -> tuple[float, bool] | None:
    left = leave_at(model, each.chances)
    return left and (left.probability or 0.0, each.taxon in {left.taxon} | model.matrix.members(left.taxon))


def measure(pack: str, wrong: float) -> None:
    model = load_model(pack)
    before = prior(model.matrix)
    specimens = list(model.taxa) * EACH

    def run(**options) -> list[Trial]:
        rng = np.random.default_rng(SEED)
        return [trial(model, taxon, before, rng, wrong=wrong, **options) for taxon in specimens]

    print(f"\n{pack}, {wrong:.0%} of looks wrong, {len(specimens)} specimens of {len(model.taxa)} taxa")
    print(f"   decided, beach looks:       {_needed(run(costs=(BEACH,)))}")
    print(f"   decided, in table order:    {_needed(run(costs=(BEACH,), choose=table_order, most=40))}")
    full = run(costs=tuple(COSTS))
    first = [int(each.chances.argmax()) for each in full]
    right = [model.taxa[i] == each.taxon for i, each in zip(first, full, strict=True)]
    print(f"   all looks, {np.mean([each.looks for each in full]):.1f} on average: leader right "
          f"{np.mean(right):.1%}, Brier {brier(model, full):.3f}")  # fmt: skip
    print("      leader said   n     stated   true")
    reliability([each.chances[i] for i, each in zip(first, full, strict=True)], right)
    left = [found for each in full if (found := _group_right(model, each))]
    print(f"   left at a name that is sure: {len(left) / len(full):.0%} of specimens, stated "
          f"{np.mean([share for share, _ in left]):.2f}, true {np.mean([held for _, held in left]):.2f}")  # fmt: skip


def main() -> None:
    print(f"slips assumed by the key: {SLIP:.0%}; sure: {SURE}; seed {SEED}")
    for pack in ("nepacific", "nwatlantic"):
        for wrong in (0.0, 0.1, 0.2):
            measure(pack, wrong)
