"""Who may be meant by words that were not understood: the names that are most like them. Likeness never decides."""

from __future__ import annotations

from collections.abc import Iterable

from haulbook.calls.lexicon import Lexicon, pairs_of

LEAST = 0.2
"""Names less alike than this help nobody."""
MOST = 4


def candidates(said: str, lexicon: Lexicon) -> tuple[str, ...]:
    """Return at most four taxa, likeliest first.

    Likeness is Dice's coefficient (Dice 1945) over pairs of letters, where a word's beginning and end count as
    letters too.
    """
    pairs = pairs_of(said.split())
    best: dict[str, float] = {}
    for others, taxa in lexicon.alike:
        score = 2 * len(pairs & others) / (len(pairs) + len(others))
        if score >= LEAST:
            best.update((taxon, score) for taxon in taxa if score > best.get(taxon, 0.0))
    return _likeliest(best.items())


def _likeliest(scores: Iterable[tuple[str, float]]) -> tuple[str, ...]:
    ranked = sorted(scores, key=lambda pair: (-pair[1], pair[0]))
    return tuple(taxon for taxon, _ in ranked[:MOST])
