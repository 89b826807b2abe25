"""Does a clause mean these animals: certainly, possibly, or not.

A name stands for a set of taxa. Wholly inside what the clause means: certain; overlapping: possible;
disjoint: not meant. What the clause asks for and nobody noted (stage, sex, origin, size) makes it possible.
Source: A4.3 rule 7 (``docs/reference/permit.md``).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from enum import IntEnum
from fractions import Fraction

from haulbook.custody.facts import Animals, Haul
from haulbook.permit.measure import exact
from haulbook.permit.model import Scope, Sizes
from haulbook.permit.names import Names, is_open


class Meant(IntEnum):
    """How surely a clause means an animal; the least of several answers is the answer."""

    NOT = 0
    POSSIBLY = 1
    CERTAINLY = 2


class Scoper:
    """Judges animals against scopes with one taxon pack; remembers what it has worked out.

    Parameters
    ----------
    names : Names
        The pack.
    purposes : mapping of outing to purpose
        For permits that split by it; an outing that is not in it is *possible*.
    """

    def __init__(self, names: Names, purposes: Mapping[str, str] | None = None) -> None:
        self._names = names
        self._purposes = purposes or {}
        self._reach: dict[tuple[str, ...], frozenset[str]] = {}
        # By identity, since hashing a scope for every line of a long book costs more than the answer; the
        # scope is kept beside its answers so that the identity stays its own.
        self._taxon: dict[int, tuple[Scope, dict[str, Meant]]] = {}

    def meant(self, scope: Scope, animals: Animals, haul: Haul | None) -> Meant:
        """Return how surely ``scope`` means ``animals`` of ``haul``."""
        if animals.unit != scope.unit:
            return Meant.NOT
        answer = self.named(scope, animals)
        if answer is Meant.NOT:
            return answer
        checks = (
            _listed(animals.stage, scope.life_stage),
            _worded(animals, scope.stage_words),
            _listed(animals.origin, scope.origin),
            _listed(animals.sex, scope.sex),
            _sized(animals, scope.size),
            _listed(haul.site if haul else None, scope.area),
            _listed(haul.net if haul else None, scope.gear),
            _listed(
                self._purposes.get(haul.outing) if haul else None, (scope.purpose,) if scope.purpose else ()
            ),
        )
        return min((answer, *checks))

    def named(self, scope: Scope, animals: Animals) -> Meant:
        """Return how surely a scope's taxa include these by their lowest certain name alone."""
        return self.by_taxon(scope, self._said_surely(animals))

    def by_taxon(self, scope: Scope, taxon: str | None) -> Meant:
        """Return how surely a scope's taxa include a name; None or an open name can be any taxon."""
        if taxon is None or is_open(taxon) or taxon not in self._names.taxa:
            return Meant.CERTAINLY if scope.everything and not scope.exclude else Meant.POSSIBLY
        _, answers = self._taxon.setdefault(id(scope), (scope, {}))
        if taxon not in answers:
            answers[taxon] = self._compare(scope, self.reach((taxon,)))
        return answers[taxon]

    def reach(self, taxa: tuple[str, ...]) -> frozenset[str]:
        """Return all that several names can stand for together."""
        if taxa not in self._reach:
            sets = (
                self._names.species_of(key) if key in self._names.taxa else frozenset({key}) for key in taxa
            )
            self._reach[taxa] = frozenset().union(*sets)
        return self._reach[taxa]

    def _compare(self, scope: Scope, stands_for: frozenset[str]) -> Meant:
        excluded = self.reach(scope.exclude)
        if scope.everything:
            inside, outside = stands_for - excluded, stands_for & excluded
        else:
            members = self.reach(scope.taxa) - excluded
            inside, outside = stands_for & members, stands_for - members
        if not inside:
            return Meant.NOT
        return Meant.POSSIBLY if outside else Meant.CERTAINLY

    def _said_surely(self, animals: Animals) -> str | None:
        """Return the lowest certain name: a doubtful one counts as what stands above it in the tree."""
        if animals.doubt != "name" or is_open(animals.taxon) or animals.taxon not in self._names.taxa:
            return animals.taxon
        above = self._names.lineage(animals.taxon)
        return above[0] if above else None


def _listed(value: str | None, wanted: tuple[str, ...]) -> Meant:
    if not wanted or value in wanted:
        return Meant.CERTAINLY
    return Meant.POSSIBLY if value is None else Meant.NOT


def _worded(animals: Animals, words: tuple[str, ...]) -> Meant:
    if not words:
        return Meant.CERTAINLY
    said = animals.said or ""
    heard = any(re.search(rf"\b{re.escape(word)}s?\b", said, re.IGNORECASE) for word in words)
    return Meant.CERTAINLY if heard else Meant.POSSIBLY


def _sized(animals: Animals, sizes: Sizes | None) -> Meant:
    if sizes is None:
        return Meant.CERTAINLY
    if animals.length_mm is None or (sizes.type and animals.length_type != sizes.type):
        return Meant.POSSIBLY
    length: Fraction = exact(animals.length_mm)
    low, high = sizes.min_mm, sizes.max_mm
    fits = (low is None or low <= length) and (high is None or length < high)
    return Meant.CERTAINLY if fits else Meant.NOT
