"""What a common and a scientific name mean together: certain only where they agree."""

from __future__ import annotations

from dataclasses import replace

from haulbook.taxa.candidates import MOST_CANDIDATES
from haulbook.taxa.names import Match, resolve
from haulbook.taxa.pack import Pack
from haulbook.taxa.words import Words, take_apart

_LONG = 6
_SLIPS = 2
"""A word of six letters or more may hold two slips and still be that word, where the other name vouches."""


def resolve_pair(common: str, scientific: str, pack: Pack) -> Match:
    """Return what a common and a scientific name mean together.

    They agree where they mean one taxon, or one lies within the other: the lower one is taken. A name that
    is only misspelt (at most two slips in a long word), or a binomial whose genus has changed, agrees with
    the other one, which is certain, when nothing in the pack is more like it. One of the two may be empty.
    """
    by_common, by_scientific = resolve(common, pack), resolve(scientific, pack)
    if not common.strip() or not scientific.strip():
        return by_common if common.strip() else by_scientific
    taxon, how = _agreed(by_common, by_scientific, pack)
    said = f"{common} / {scientific}"
    stage, doubt = by_common.stage or by_scientific.stage, by_common.doubt or by_scientific.doubt
    if taxon is not None:
        taken = next(one for one in (by_scientific, by_common) if one.taxon == taxon)
        return replace(taken, said=said, stage=stage, doubt=doubt, how=how)
    both = {one.taxon: one for one in (*by_common.candidates, *by_scientific.candidates)}
    likely = tuple(sorted(both.values(), key=lambda one: -one.score)[:MOST_CANDIDATES])
    return Match(said, False, None, stage, doubt, how, likely)


def _agreed(one: Match, other: Match, pack: Pack) -> tuple[str | None, str]:
    if one.taxon and other.taxon:
        for lower, upper in ((one, other), (other, one)):
            if pack.is_within(str(lower.taxon), str(upper.taxon)):
                return lower.taxon, "both names agree"
    for sure, asked in ((one, other), (other, one)):
        if sure.taxon and not asked.taxon and _misspells(asked, sure.taxon, pack):
            return sure.taxon, f"{asked.said!r} is taken for a slip beside {sure.said!r}"
    return None, "the two names disagree"


def _misspells(asked: Match, taxon: str, pack: Pack) -> bool:
    """Say whether a name that is not certain is that taxon's own with slips, or has only its genus changed."""
    if not asked.candidates or asked.candidates[0].taxon != taxon:
        return False
    words = take_apart(asked.said).words
    known = pack[taxon]
    names = [take_apart(name).words for name in (known.scientific_name, *known.synonyms, *known.common_names)]
    epithets = {name[-1] for name in names[: 1 + len(known.synonyms)] if len(name) == 2}
    moved = len(words) == 2 and len(words[-1]) >= _LONG and words[-1] in epithets
    return moved or any(_alike(words, name) for name in names)


def _alike(words: Words, name: Words) -> bool:
    from rapidfuzz.distance import OSA

    return len(words) == len(name) and all(
        said == listed or (len(listed) >= _LONG and OSA.distance(said, listed) <= _SLIPS)
        for said, listed in zip(words, name, strict=True)
    )
