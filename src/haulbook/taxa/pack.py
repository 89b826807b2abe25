"""Packs: the taxa of one coast, in a tree with several roots, as packaged tables.

A pack is a CSV file of ours under ``packs/``; ``docs/reference/taxa.md`` explains its columns. Body groups
(``group``) stand apart from the tree: they say what an animal looks like in a bucket, not whom it descends from.
"""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from haulbook.problems import Refusal, unknown

PACKS = ("nepacific", "nwatlantic")
"""Keys of the packs: north-east Pacific, north-west Atlantic."""

_LISTS = ("common_names", "synonyms", "memory_fields")
_NUMBERS = ("max_length_mm", "lw_a", "lw_b")


@dataclass(frozen=True, slots=True)
class Taxon:
    """One row of a pack. Empty text: nothing is known, or nothing was verified.

    Attributes
    ----------
    key : str
        Ours, stable for ever.
    scientific_name, authority, rank : str
    parent : str or None
        Key of the nearest taxon above that has a row; None for a root.
    common_names : tuple of str
        The one that is printed first.
    synonyms : tuple of str
        Scientific names that the animal went under.
    aphia_id : int or None
        Identifier in the World Register of Marine Species; None where unverified.
    aphia_source : str
        Where and when that identifier was checked.
    group : str
        Body group: sculpin, flatfish, crab ...
    max_length_mm : float or None
    length_type : str
        What ``max_length_mm`` measures.
    typical_juvenile_mm : str or None
        Usual length of young on the beach, one number or a range, as ``22-68``.
    lw_a, lw_b : float or None
        Length-weight relation W = a L^b in ``lw_units``, from ``lw_source``.
    hazards, handling : str
        Shown wherever the animal is.
    status_note : str
        Protection, introduction, management: what to think of before keeping it.
    verified : str
        yes, partly or no; ``memory_fields`` names what is from memory.
    """

    key: str
    scientific_name: str
    authority: str
    rank: str
    parent: str | None
    common_names: tuple[str, ...]
    synonyms: tuple[str, ...]
    aphia_id: int | None
    aphia_source: str
    group: str
    max_length_mm: float | None
    length_type: str
    typical_juvenile_mm: str | None
    typical_source: str
    lw_a: float | None
    lw_b: float | None
    lw_units: str
    lw_source: str
    hazards: str
    handling: str
    status_note: str
    habitat_note: str
    source: str
    verified: str
    memory_fields: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Pack:
    """The taxa of one coast. A pack equals only itself, so that what is made from it can be kept.

    Attributes
    ----------
    key : str
    version : str
        First 12 digits of the SHA-256 of the table: another table, another version.
    taxa : mapping of key to Taxon
        In the order of the table.
    """

    key: str
    version: str
    taxa: Mapping[str, Taxon]
    _above: Mapping[str, tuple[str, ...]] = field(repr=False)
    _below: Mapping[str, frozenset[str]] = field(repr=False)
    _members: Mapping[str, frozenset[str]] = field(repr=False)

    def __getitem__(self, key: str) -> Taxon:
        if key not in self.taxa:
            raise Refusal(unknown(f"taxon of the pack {self.key}", key, self.taxa))
        return self.taxa[key]

    def lineage(self, key: str) -> tuple[str, ...]:
        """Return the keys above a taxon, parent first, root last."""
        return self._above[self[key].key]

    def is_within(self, key: str, ancestor: str) -> bool:
        """Say whether a taxon is another or lies under it; a name outside the pack lies under nothing."""
        return key == ancestor or ancestor in self._above.get(key, ())

    def below(self, key: str) -> frozenset[str]:
        """Return a taxon's key and all keys under it."""
        return self._below[self[key].key]

    def species_of(self, key: str) -> frozenset[str]:
        """Return what a name can stand for: the lowest taxa at or under it.

        A complex ("black-yellowtail") stands for its members, and for itself too where one of them has no
        row; larval fish can be any fish.
        """
        return frozenset().union(
            *(self._members.get(one, {one}) for one in _lowest(self.below(key), self._below))
        )


@cache
def load_pack(key: str) -> Pack:
    """Return a packaged pack.

    Raises
    ------
    Refusal
        Where there is no such pack.
    """
    if key not in PACKS:
        raise Refusal(unknown("pack", key, PACKS))
    text = files("haulbook.taxa").joinpath(f"packs/{key}.csv").read_text(encoding="utf-8")
    return pack_of(key, text)


def pack_of(key: str, text: str) -> Pack:
    """Return the pack that a table spells out.

    Parameters
    ----------
    key : str
        What to call the pack.
    text : str
        CSV with the columns of `Taxon`, one row a taxon, in which every parent has a row and none stands
        above itself.
    """
    rows = [_taxon(row) for row in csv.DictReader(text.splitlines())]
    taxa = {taxon.key: taxon for taxon in _under_their_genus(rows)}
    above = {one: _ancestors(one, taxa) for one in taxa}
    below: dict[str, set[str]] = {one: {one} for one in taxa}
    for one, ancestors in above.items():
        for ancestor in ancestors:
            below[ancestor].add(one)
    version = hashlib.sha256(text.encode()).hexdigest()[:12]
    return Pack(
        key,
        version,
        MappingProxyType(taxa),
        above,
        {one: frozenset(under) for one, under in below.items()},
        _members(taxa, below),
    )


def _under_their_genus(rows: list[Taxon]) -> Iterator[Taxon]:
    """Yield the rows, each species below its genus where the pack has that: *Artedius* was added later."""
    genera = {taxon.scientific_name: taxon.key for taxon in rows if taxon.rank == "genus"}
    for taxon in rows:
        genus = genera.get(taxon.scientific_name.split()[0]) if taxon.rank in ("species", "complex") else None
        yield replace(taxon, parent=genus or taxon.parent)


def _ancestors(key: str, taxa: Mapping[str, Taxon]) -> tuple[str, ...]:
    found: list[str] = []
    parent = taxa[key].parent
    while parent is not None:
        found.append(parent)
        parent = taxa[parent].parent
    return tuple(found)


def _lowest(keys: Iterable[str], below: Mapping[str, Collection[str]]) -> frozenset[str]:
    return frozenset(one for one in keys if len(below[one]) == 1)


def _members(taxa: Mapping[str, Taxon], below: Mapping[str, Collection[str]]) -> dict[str, frozenset[str]]:
    """Return what the rows stand for that are no branch of the tree: complexes, and "larval fish"."""
    found = {one: _of_complex(taxon, taxa) for one, taxon in taxa.items() if taxon.rank == "complex"}
    for one, taxon in taxa.items():
        if taxon.rank == "informal" and taxon.parent is not None:
            others = _lowest(below[taxon.parent], below) - {one}
            found[one] = frozenset().union(*(found.get(other, {other}) for other in others))
    return found


def _of_complex(taxon: Taxon, taxa: Mapping[str, Taxon]) -> frozenset[str]:
    """Return the members that ``Sebastes melanops/flavidus`` names; with itself where one has no row."""
    genus, _, epithets = taxon.scientific_name.partition(" ")
    keys = {name: one for one, other in taxa.items() for name in (other.scientific_name, *other.synonyms)}
    return frozenset(keys.get(f"{genus} {epithet}", taxon.key) for epithet in epithets.split("/"))


def _taxon(row: Mapping[str, str]) -> Taxon:
    return Taxon(**{column.name: _value(column.name, row[column.name]) for column in fields(Taxon)})


def _value(column: str, text: str) -> Any:
    if column in _LISTS:
        return tuple(part for part in text.split("|") if part)
    if column == "aphia_id":
        return int(text) if text else None
    if column in _NUMBERS:
        return float(text) if text else None
    return (text or None) if column in ("parent", "typical_juvenile_mm") else text
