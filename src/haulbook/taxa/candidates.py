"""Who may be meant by a name that is not certain, likeliest first. Likeness sorts; it never decides."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from haulbook.taxa.index import index_of
from haulbook.taxa.pack import Pack
from haulbook.taxa.words import Words, abbreviates

MOST_CANDIDATES = 4
LEAST_SCORE = 55.0
"""Candidates less alike than this help nobody (percent of likeness, chosen on the real lists in the tests)."""
_WHOLE_WORDS, _PARTLY = 0.9, 0.8
"""What likeness is worth that rests on some of the words, or on a piece of the name."""
_LONG_ENOUGH = 6
"""Letters; shorter names are a piece of nearly everything."""
_SURE = 100.0
_ABBREVIATED = 80.0


@dataclass(frozen=True, slots=True)
class Candidate:
    """A taxon that may be meant; ``score`` is likeness in percent, and 100 where the name is listed for it."""

    taxon: str
    scientific_name: str
    score: float


def candidate(taxon: str, pack: Pack, score: float = _SURE) -> Candidate:
    """Return a taxon of a pack as a candidate."""
    return Candidate(taxon, pack[taxon].scientific_name, round(score, 1))


def candidates(words: Words, pack: Pack, named: Iterable[str] = ()) -> tuple[Candidate, ...]:
    """Return at most four taxa that may be meant.

    Parameters
    ----------
    words : tuple of str
        What was said, folded.
    pack : Pack
    named : iterable of str
        Taxa that the name itself names, as those of "this or that": they come first, and alone where there
        are several.
    """
    first = dict.fromkeys(named)
    if len(first) > 1:
        return tuple(candidate(taxon, pack) for taxon in first)[:MOST_CANDIDATES]
    best: dict[str, float] = {}
    if len(words) == 1:
        for spelt, taxa in index_of(pack).names.items():
            if abbreviates(words[0], tuple(spelt.split())):
                best.update(dict.fromkeys(taxa, _ABBREVIATED))
    for taxon, score in _alike(" ".join(words), pack):
        best[taxon] = max(best.get(taxon, 0.0), score)
    ranked = sorted(best.items(), key=lambda pair: (-pair[1], pair[0]))
    others = [candidate(taxon, pack, score) for taxon, score in ranked if taxon not in first]
    return tuple([candidate(taxon, pack) for taxon in first] + others)[:MOST_CANDIDATES]


def _alike(said: str, pack: Pack) -> Iterable[tuple[str, float]]:
    """Yield taxa with a name like what was said, or with whole words of it."""
    from rapidfuzz import fuzz, process  # only where a name is not certain

    names = index_of(pack).names
    scorers = ((fuzz.ratio, 1.0), (fuzz.token_set_ratio, _WHOLE_WORDS), (fuzz.partial_ratio, _PARTLY))
    for scorer, worth in scorers:
        cutoff = LEAST_SCORE / worth
        for spelt, score, _ in process.extract(
            said, list(names), scorer=scorer, score_cutoff=cutoff, limit=12
        ):
            if scorer is fuzz.partial_ratio and min(len(spelt), len(said)) < _LONG_ENOUGH:
                continue
            for taxon in names[spelt]:
                yield taxon, score * worth
