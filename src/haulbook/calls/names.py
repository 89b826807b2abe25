"""What the taxa of a pack are called: as listed, and with words left out where only one taxon is left."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from haulbook.taxa import PACKS, Pack, Taxon, load_pack
from haulbook.taxa.index import index_of
from haulbook.taxa.words import take_apart

Words = tuple[str, ...]
_GROUP_WORDS = frozenset({"unidentified", "family"})
STAGE_IN_NAME = {"juvenile": "young", "yoy": "young", "young": "young", "larval": "larva", "eggs": "egg mass"}
"""Words of listed names that are a life stage."""


def name_words(name: str) -> Words:
    """Return the words of a listed name as they are looked up: plain letters, apostrophes and hyphens taken off."""
    plain = name.casefold().replace("'", "").replace("-", " ").replace("/", " ")
    return tuple(word for word in plain.split() if word.isalpha() and word not in _GROUP_WORDS)


def plural_of(word: str) -> str:
    """Return the plural of an English noun, as far as names need it."""
    if word.endswith(("ch", "sh", "x", "ss")):
        return word + "es"
    if word.endswith("y") and word[-2:-1] not in "aeiou":
        return word[:-1] + "ies"
    return word + "s"


def listed(pack: Pack) -> dict[Words, frozenset[str]]:
    """Return every listed name of an animal with the taxa that bear it.

    "Silverside unidentified" gives "silverside" to the family only where no other taxon is called so, and
    "juvenile salmon" gives "salmon".
    """
    names: dict[Words, set[str]] = {}
    groups: dict[Words, set[str]] = {}
    grown: dict[Words, set[str]] = {}
    for taxon, name in _names(pack):
        words = name_words(name)
        (groups if set(name.casefold().split()) & _GROUP_WORDS else names).setdefault(words, set()).add(
            taxon.key
        )
        if words[0] in STAGE_IN_NAME and len(words) > 1:
            grown.setdefault(words[1:], set()).add(taxon.key)
    return {words: frozenset(taxa) for words, taxa in {**grown, **groups, **names}.items()}


def common(pack: Pack) -> frozenset[Words]:
    """Return the listed names that are no scientific ones."""
    return frozenset(name_words(name) for taxon in pack.taxa.values() for name in taxon.common_names)


def shortened(pack: Pack, ordinary: frozenset[str]) -> Iterator[tuple[Words, str]]:
    """Yield what is left of a name without some words behind its first, where one taxon only can be meant.

    "Shorthorn" for the shorthorn sculpin; not "graceful", which three crabs are, nor "ocean", which is a word of
    English.
    """
    known = listed(pack)
    rests: dict[Words, set[str]] = {}
    for taxon, name in _names(pack):
        first, *others = name_words(name)
        for count in range(len(others)):
            for rest in combinations(others, count):
                rests.setdefault((first, *rest), set()).add(taxon.key)
    for words, taxa in rests.items():
        plain_english = len(words) == 1 and words[0] in ordinary
        if len(taxa) == 1 and words not in known and not plain_english and not _asked(words, pack):
            yield words, next(iter(taxa))


def _asked(words: Words, pack: Pack) -> bool:
    """Say whether the taxa know the words as a name of several animals."""
    said = take_apart(" ".join(words))
    found = index_of(pack).find(said, said.words, any_order=False)
    return found is not None and len(found.taxa) > 1


def of_other_packs(pack: Pack) -> Iterator[Words]:
    """Yield the common names of animals that only other packs have."""
    for key in PACKS:
        if key != pack.key:
            for taxon, name in _names(load_pack(key)):
                if taxon.key not in pack.taxa and name in taxon.common_names:
                    yield name_words(name)


def _names(pack: Pack) -> Iterator[tuple[Taxon, str]]:
    """Yield the names of what is counted: no grass, no weed, no kingdom."""
    for taxon in pack.taxa.values():
        if not taxon.group.startswith("cover") and taxon.rank != "kingdom":
            for name in (*taxon.common_names, taxon.scientific_name, *taxon.synonyms):
                yield taxon, name
