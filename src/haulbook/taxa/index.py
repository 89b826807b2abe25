"""Every spelling of a pack's names that counts as that name, and the taxa that go under it.

What counts as the same spelling: another case, plural, punctuation; neighbouring words written together or
apart; where the caller allows it, the words in another order.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

from haulbook.taxa.pack import Pack, Taxon
from haulbook.taxa.words import Said, Words, fold, joined, spread_head, take_apart

_Key = tuple[str | None, bool, Words]
_GROUP = Said((), (), "", None, frozenset({"undecided"}), ())


@dataclass(frozen=True, slots=True)
class Found:
    """The taxa that go under a spelling.

    Attributes
    ----------
    taxa : tuple of str
        Keys; several where one name is given to several animals.
    latin : bool
        Whether it is a scientific name, a synonym, or the name of a complex.
    undecided : bool
        The name as said stops above the species ("unknown"), the listed one does not. (The other way about,
        "crab" is what is listed as "crab unidentified".)
    why : str
        Of a name that has to be asked: what it may mean, in words.
    """

    taxa: tuple[str, ...]
    latin: bool = False
    undecided: bool = False
    why: str = ""


class Index:
    """The spellings of one pack.

    Attributes
    ----------
    names : dict of str to tuple of str
        Each listed name, its words apart, with its taxa: what likeness is measured against.
    """

    def __init__(self, pack: Pack) -> None:
        self._pack = pack
        self.names: dict[str, tuple[str, ...]] = {}
        self._as_listed: dict[_Key, Found] = {}
        self._any_order: dict[_Key, Found] = {}
        self._either: dict[tuple[str | None, frozenset[Words]], str] = {}
        for taxon in pack.taxa.values():
            for name, latin in _listed(taxon):
                self._add(name, taxon.key, latin=latin)
        self._ask()

    def find(self, said: Said, words: Words, *, any_order: bool) -> Found | None:
        """Return what ``words`` spell, or None; stage and "unknown" are those of ``said``."""
        undecided = "undecided" in said.marks
        for stage in dict.fromkeys((said.stage, None)):
            for listed_so in (undecided, not undecided):
                found = self._look(stage, listed_so, words, any_order=any_order)
                if found:
                    return replace(found, undecided=undecided and not listed_so)
        return None

    def group(self, words: Words) -> Found | None:
        """Return the group that ``words`` name, "crab unidentified" before what "crab" alone may spell."""
        return self.find(_GROUP, words, any_order=False)

    def either(self, said: Said) -> str | None:
        """Return the row that the pack names "this or that", for exactly these."""
        for stage in dict.fromkeys((said.stage, None)):
            for alternatives in (said.parts, spread_head(said.parts)):
                taxon = self._either.get((stage, frozenset(alternatives)))
                if taxon:
                    return taxon
            taxon = self._either.get((stage, frozenset(_without_head(said.parts))))
            group = self.group(said.parts[-1][-1:])
            if taxon and group and self._pack.is_within(taxon, group.taxa[0]):
                return taxon
        return None

    def _look(self, stage: str | None, undecided: bool, words: Words, *, any_order: bool) -> Found | None:
        for written in joined(words):
            found = self._as_listed.get((stage, undecided, written))
            if found:
                return found
        for written in joined(words) if any_order else ():
            found = self._any_order.get((stage, undecided, tuple(sorted(written))))
            if found:
                return found
        return None

    def _add(self, name: str, taxon: str, *, latin: bool) -> None:
        said = take_apart(name)
        spelt = " ".join(fold(name) if said.stage else said.words)
        self.names[spelt] = tuple(dict.fromkeys((*self.names.get(spelt, ()), taxon)))
        if said.joint:
            for alternatives in (said.parts, spread_head(said.parts), _without_head(said.parts)):
                self._either[said.stage, frozenset(alternatives)] = taxon
            return
        for spellings, key in self._keys(said.words, said.stage, undecided="undecided" in said.marks):
            before = spellings.get(key, Found((), latin=False))
            taxa = tuple(dict.fromkeys((*before.taxa, taxon)))
            spellings[key] = Found(taxa, (latin or before.latin) if len(taxa) == 1 else False)

    def _ask(self) -> None:
        """Let the words that mean several animals go before the names that the taxa themselves list."""
        for row in _asked_words():
            if row["pack"] == self._pack.key:
                said = take_apart(row["heard"])
                found = Found(tuple(row["may_be"].split("|")), why=row["why"])
                for stage in (None, said.stage):
                    for spellings, key in self._keys(said.words, stage, undecided=False):
                        spellings[key] = found

    def _keys(
        self, words: Words, stage: str | None, *, undecided: bool
    ) -> Iterator[tuple[dict[_Key, Found], _Key]]:
        for written in joined(words):
            yield self._as_listed, (stage, undecided, written)
            yield self._any_order, (stage, undecided, tuple(sorted(written)))


@cache
def index_of(pack: Pack) -> Index:
    """Return the spellings of a pack, made once."""
    return Index(pack)


def _listed(taxon: Taxon) -> Iterable[tuple[str, bool]]:
    """Yield each name of a taxon and whether it is Latin."""
    genus = taxon.scientific_name.split()[0].casefold()
    complex_ = taxon.rank == "complex"
    yield taxon.key, complex_
    if complex_:  # "black-yellowtail" is also written "black/yellowtail rockfish"
        yield taxon.key.replace("-", "/"), True
    yield taxon.scientific_name, True
    yield from ((name, True) for name in taxon.synonyms)
    yield from ((name, complex_ or name.casefold() == genus) for name in taxon.common_names)


def _without_head(parts: tuple[Words, ...]) -> tuple[Words, ...]:
    """Return a list of names without the head they share: "padded/smoothhead sculpin" as padded, smoothhead."""
    head = parts[-1][-1:]
    cut = tuple(part[:-1] if part[-1:] == head else part for part in parts)
    return cut if all(cut) else parts


def _asked_words() -> list[Mapping[str, str]]:
    text = files("haulbook.taxa").joinpath("packs/asked.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))
