"""What somebody may have meant by a name: certain where every rule that found it is exact, else a question.

Exact means: the key, the scientific or a common name, a synonym or a code, letter for letter once spelling
habits are taken off (case, punctuation, plural, order of words, words written together or apart, stage and
doubt marks). Likeness never decides: a likely name is a candidate, and a person answers.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from itertools import permutations

from haulbook.taxa.pack import Pack, load_pack
from haulbook.taxa.words import Said, fold, take_apart

MOST_CANDIDATES = 4
LEAST_SCORE = 55.0
"""Candidates less alike than this help nobody (percent of likeness, chosen on the real lists in the tests)."""
AGREES_FROM = 80.0
"""A misspelt name agrees with a certain one beside it from this likeness on."""
_MOST_ORDERED = 5


@dataclass(frozen=True, slots=True)
class Candidate:
    """A taxon that may be meant; ``score`` is likeness in percent."""

    taxon: str
    scientific_name: str
    score: float


@dataclass(frozen=True, slots=True)
class Match:
    """What a name was understood as.

    Attributes
    ----------
    said : str
        As handed in.
    certain : bool
        Whether there is exactly one taxon it can be.
    taxon : str or None
        Its key; None while it is a question.
    stage : {"larva", "young", "adult", "egg mass"} or None
        Said within the name.
    doubt : bool
        The name carries a mark of doubt, which stays with the animals: the name is understood all the same.
    how : str
        Which rule decided, in words.
    candidates : tuple of Candidate
        Likeliest first; the one that was taken where certain.
    """

    said: str
    certain: bool
    taxon: str | None
    stage: str | None
    doubt: bool
    how: str
    candidates: tuple[Candidate, ...]


def resolve(name: str, pack: Pack, codes: Mapping[str, str] | None = None) -> Match:
    """Return what a name means in a pack.

    Parameters
    ----------
    name : str
        As called, typed or printed.
    pack : Pack
    codes : mapping of code to name, optional
        A crew's own list; what a code stands for is looked up in its place.
    """
    said = take_apart(_decoded(name, codes or {}))
    taxa, how = _found(said, pack)
    if len(taxa) == 1 and not _asides_fit(said, taxa, pack, codes or {}):
        how = f"{how}, but not what stands in brackets"
    elif len(taxa) == 1:
        (taxon,) = taxa
        if not (said.undecided and _is_species(taxon, pack)):
            return Match(name, True, taxon, said.stage, said.doubt, how, (_candidate(taxon, pack, 100.0),))
        how = "the name stops above the species that it spells"
    elif len(taxa) > 1:
        how = "several taxa go under this name"
    sure = [_candidate(taxon, pack, 100.0) for taxon in sorted(taxa)]
    sure += [one for one in _alternatives(name, pack) if one.taxon not in taxa]
    like = [one for one in _alike(said, pack) if one.taxon not in {other.taxon for other in sure}]
    candidates = tuple((sure + like)[:MOST_CANDIDATES])
    return Match(name, False, None, said.stage, said.doubt, how if taxa else "no such name", candidates)


def resolve_pair(common: str, scientific: str, pack: Pack) -> Match:
    """Return what a common and a scientific name mean together: certain only where they agree.

    One of them may be empty. A name that is only misspelt agrees with the other one, which is certain, when
    nothing in the pack is more like it than that animal.
    """
    by_common = resolve(common, pack) if common.strip() else None
    by_scientific = resolve(scientific, pack) if scientific.strip() else None
    if by_common is None or by_scientific is None:
        return by_common or by_scientific or resolve(common, pack)
    said = f"{common} / {scientific}"
    stage, doubt = by_common.stage or by_scientific.stage, by_common.doubt or by_scientific.doubt
    if by_common.certain and by_common.taxon == by_scientific.taxon:
        return replace(by_common, said=said, stage=stage, doubt=doubt, how="both names agree")
    for sure, other, which in (
        (by_common, by_scientific, "scientific"),
        (by_scientific, by_common, "common"),
    ):
        if sure.certain and not other.certain and _agrees(other, sure.taxon):
            return replace(sure, said=said, stage=stage, doubt=doubt, how=f"the {which} name is misspelt")
    both = {one.taxon: one for one in (*by_common.candidates, *by_scientific.candidates)}
    candidates = tuple(sorted(both.values(), key=lambda one: -one.score)[:MOST_CANDIDATES])
    return Match(said, False, None, stage, doubt, "the two names disagree", candidates)


def _agrees(question: Match, taxon: str | None) -> bool:
    nearest = question.candidates[:1]
    return bool(nearest) and nearest[0].taxon == taxon and nearest[0].score >= AGREES_FROM


def _decoded(name: str, codes: Mapping[str, str]) -> str:
    plain = name.strip()
    return codes.get(plain, codes.get(plain.casefold(), plain))


def _found(said: Said, pack: Pack) -> tuple[frozenset[str], str]:
    """Return the taxa that the words spell exactly, and by which rule."""
    index = _index(pack.key)
    spellings = [(said.whole, "the name"), (said.words, "the name, stage and doubt marks apart")]
    if said.undecided:
        spellings.append(((*said.words, "unidentified"), "the name of the group"))
    for words, how in spellings:
        taxa = index.get("".join(words))
        if taxa:
            return taxa, how
    for words in (said.whole, said.words):
        if 1 < len(words) <= _MOST_ORDERED:
            found = [index.get("".join(order), frozenset()) for order in permutations(words)]
            taxa = frozenset().union(*found)
            if taxa:
                return taxa, "the name, its words in another order"
    return _beside_its_group(said.words, pack), "the name beside its group"


def _beside_its_group(words: tuple[str, ...], pack: Pack) -> frozenset[str]:
    """Return what is spelt beside the name of a group that it belongs to, as in ``crab Pugettia gracilis``."""
    index = _index(pack.key)
    found: set[str] = set()
    for cut in range(1, len(words)):
        for group, name in ((words[:cut], words[cut:]), (words[cut:], words[:cut])):
            above = index.get("".join(group)) or index.get("".join((*group, "unidentified")), frozenset())
            found |= {
                taxon
                for taxon in index.get("".join(name), ())
                if any(taxon != one and pack.is_within(taxon, one) for one in above)
            }
    return frozenset(found)


def _asides_fit(said: Said, taxa: frozenset[str], pack: Pack, codes: Mapping[str, str]) -> bool:
    """Say whether what stands in brackets says the same again: a code, the other name, the family."""
    for aside in said.aside:
        inner, _ = _found(take_apart(_decoded(aside, codes)), pack)
        if not inner or not all(pack.is_within(taxon, one) for taxon in taxa for one in inner):
            return False
    return True


def _is_species(taxon: str, pack: Pack) -> bool:
    return pack[taxon].rank == "species"


def _alternatives(name: str, pack: Pack) -> Iterator[Candidate]:
    """Yield what each side of "this or that", "this/that", "this (or that)" spells by itself."""
    parts = [part for part in re.split(r"[/()]|\bor\b|\band\b", name.casefold()) if part.strip()]
    if len(parts) > 1:
        seen: set[str] = set()
        for part in parts:
            taxa, _ = _found(take_apart(part), pack)
            if len(taxa) == 1 and not taxa & seen:
                seen |= taxa
                yield _candidate(next(iter(taxa)), pack, 90.0)


def _alike(said: Said, pack: Pack) -> list[Candidate]:
    from rapidfuzz import fuzz, process  # only where a name is not exact

    index = _index(pack.key)
    words = said.words or said.whole
    best: dict[str, float] = {}
    for query in dict.fromkeys(("".join(words), "".join(reversed(words)))):
        for spelt, score, _ in process.extract(query, list(index), scorer=fuzz.ratio, limit=12):
            for taxon in index[spelt]:
                best[taxon] = max(best.get(taxon, 0.0), float(score))
    ranked = sorted(best.items(), key=lambda pair: (-pair[1], pair[0]))
    return [_candidate(taxon, pack, score) for taxon, score in ranked if score >= LEAST_SCORE]


def _candidate(taxon: str, pack: Pack, score: float) -> Candidate:
    return Candidate(taxon, pack[taxon].scientific_name, round(score, 1))


@cache
def _index(pack_key: str) -> Mapping[str, frozenset[str]]:
    """Return every spelling of a pack, words run together, with the taxa that go under it."""
    found: dict[str, set[str]] = {}
    for taxon in load_pack(pack_key).taxa.values():
        names = [
            taxon.key,
            *taxon.common_names,
            *taxon.synonyms,
            *_scientific(taxon.scientific_name, taxon.authority),
        ]
        for spelt in _spellings(names):
            found.setdefault(spelt, set()).add(taxon.key)
    return {spelt: frozenset(taxa) for spelt, taxa in found.items()}


def _scientific(name: str, authority: str) -> Iterator[str]:
    """Yield a scientific name bare, without its subgenus, and with its authority."""
    bare = re.sub(r"\([^()]*\)", " ", name)
    yield from (name, bare)
    if authority:
        yield f"{name} {authority}"


def _spellings(names: Iterable[str]) -> Iterator[str]:
    for name in names:
        words = fold(name)
        yield "".join(words)
        said = take_apart(name)
        if said.undecided and said.words:  # "flatfish unidentified" is also found as "flatfish sp."
            yield "".join((*said.words, "unidentified"))
