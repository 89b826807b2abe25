"""What somebody may have meant by a name: certain where every rule that found it is exact, else a question.

Exact means: the key, the scientific or a common name, a synonym or a code, letter for letter once spelling
habits are taken off (case, punctuation, plural, order of words, words written together or apart, stage and
doubt marks). Likeness never decides: a likely name is a candidate, and a person answers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from haulbook.taxa.candidates import Candidate, candidate, candidates
from haulbook.taxa.index import Found, index_of
from haulbook.taxa.pack import Pack
from haulbook.taxa.words import Said, Words, abbreviates, bare, fold, spread_head, take_apart

__all__ = ["Candidate", "Match", "resolve"]


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
        Which rule decided, or why it is a question, in words.
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


@dataclass(frozen=True, slots=True)
class _Reading:
    """One taxon and the rule that found it, or no taxon, the reason, and the taxa that the name names."""

    how: str
    taxon: str | None = None
    named: tuple[str, ...] = ()


SALMON = "salmonidae"
"""Key, in both packs, of the only family with smolts."""
_UNKNOWN = _Reading("no such name")


def resolve(name: str, pack: Pack, codes: Mapping[str, str] | None = None) -> Match:
    """Return what a name means in a pack.

    Parameters
    ----------
    name : str
        As called, typed or printed.
    pack : Pack
    codes : mapping of code to name, optional
        A crew's own list; what a code stands for is looked up in its place, before the pack's own names.
    """
    said = take_apart(name)
    doubt = "doubt" in said.marks
    meant = _decoded(name, codes) or _decoded(bare(name), codes)
    if meant is not None:
        match = resolve(meant, pack)
        stage, doubt = match.stage or said.stage, match.doubt or doubt
        return replace(match, said=name, stage=stage, doubt=doubt, how=f"a code; {match.how}")
    reading = _read(said, pack)
    for aside in said.asides:
        reading = _with_aside(_decoded(aside, codes) or aside, reading, said, pack)
    if reading.taxon is not None:
        taken = (candidate(reading.taxon, pack),)
        return Match(name, True, reading.taxon, said.stage, doubt, reading.how, taken)
    words = (*(word for aside in said.asides for word in fold(aside)), *said.words)
    likely = candidates(words, pack, reading.named)
    return Match(name, False, None, said.stage, doubt, reading.how, likely)


def _decoded(text: str, codes: Mapping[str, str] | None) -> str | None:
    written = text.strip()
    if not codes or written in codes:
        return codes[written] if codes else None
    folded = written.casefold()
    return next((meant for code, meant in codes.items() if code.strip().casefold() == folded), None)


def _read(said: Said, pack: Pack) -> _Reading:
    """Read a name without what stands in brackets."""
    reading = _parted(said, pack) if said.joint else _alone(said, pack)
    if reading.taxon is not None and "other" in said.marks:
        return _Reading("'other' is whatever the list it stood on does not name", named=(reading.taxon,))
    if reading.taxon is not None and "akin" in said.marks:
        return _Reading("'aff.' says like that one, and not it", named=(reading.taxon,))
    if reading.taxon is not None and "salmon" in said.marks and not pack.is_within(reading.taxon, SALMON):
        return _Reading("smolt and parr are stages of salmon and trout", named=(reading.taxon, SALMON))
    return reading


def _alone(said: Said, pack: Pack) -> _Reading:
    index = index_of(pack)
    found = index.find(said, said.words, any_order=True)
    if found is None and len(said.words) == 1 and said.words[0].endswith("id"):  # a gadid is one of Gadidae
        found = index.find(said, (said.words[0] + "ae",), any_order=False)
    if found is not None:
        return _taken(found, "the name", pack)
    below = {
        reading.taxon: reading
        for cut in range(1, len(said.words))
        for head, name in ((said.words[:cut], said.words[cut:]), (said.words[cut:], said.words[:cut]))
        if (reading := _beside_its_group(said, head, name, pack)).taxon is not None
    }
    return next(iter(below.values())) if len(below) == 1 else _UNKNOWN


def _taken(found: Found, how: str, pack: Pack) -> _Reading:
    """Take the one taxon of a spelling; what is asked stays a question."""
    if len(found.taxa) > 1 or found.why:
        how = f"it may be {found.why}" if found.why else "several taxa go under this name"
        return _Reading(how, named=found.taxa)
    (taxon,) = found.taxa
    if found.undecided and pack[taxon].rank == "species":
        above = pack.lineage(taxon)[:1]
        return _Reading("the name stops above the species that it spells", named=(*above, taxon))
    return _Reading(how, taxon)


def _beside_its_group(said: Said, head: Words, name: Words, pack: Pack) -> _Reading:
    """Read a scientific name beside the name of a group that it belongs to, as in ``crab Pugettia gracilis``.

    Two common names beside each other can be two animals: ``flounder, fluke``.
    """
    index = index_of(pack)
    group, found = index.group(head), index.find(said, name, any_order=False)
    if group is None or found is None or not found.latin or len(group.taxa) + len(found.taxa) > 2:
        return _UNKNOWN
    if not pack.is_within(found.taxa[0], group.taxa[0]):
        return _UNKNOWN
    return _taken(found, "the scientific name beside its group", pack)


def _parted(said: Said, pack: Pack) -> _Reading:
    """Read a name that a slash, a comma or an "or" cuts: one name head first, or a question between several."""
    index = index_of(pack)
    if said.joint in ("slash", "or"):
        either = index.either(said)
        if either is not None:
            return _Reading("the row that the pack names for exactly these", either)
        each = [index.find(said, part, any_order=False) for part in said.parts]
        if each[0] is not None and all(found and found.taxa == each[0].taxa for found in each):
            return _taken(each[0], "two names of one animal", pack)
    if said.joint in ("slash", "comma") and len(said.parts) == 2:
        reading = _head_first(said, *said.parts, pack)
        if reading.taxon is not None:
            return reading
    parts = (
        index.find(said, whole, any_order=True) or index.find(said, part, any_order=True)
        for whole, part in zip(spread_head(said.parts), said.parts, strict=True)
    )
    named = tuple(dict.fromkeys(taxon for found in parts if found for taxon in found.taxa))
    return _Reading("more than one name", named=(*named, *_row_above(named, pack)))


def _row_above(taxa: tuple[str, ...], pack: Pack) -> tuple[str, ...]:
    """Return the genus or family that holds several taxa, which a person may leave it at."""
    if len(taxa) < 2 or any(pack.is_within(one, other) for one in taxa for other in taxa if one != other):
        return ()
    shared = (one for one in pack.lineage(taxa[0]) if all(pack.is_within(taxon, one) for taxon in taxa))
    return tuple(one for one in shared if pack[one].rank in ("genus", "family"))[:1]


def _head_first(said: Said, head: Words, rest: Words, pack: Pack) -> _Reading:
    """Read ``sole/english`` as English sole, unless the parts are names of two animals by themselves."""
    index = index_of(pack)
    whole = index.find(said, rest + head, any_order=False)
    group = index.group(head)
    alone = index.find(said, rest, any_order=False)
    if whole is None:
        return _beside_its_group(said, head, rest, pack)
    two_animals = alone is not None and (
        alone.taxa != whole.taxa or (group is not None and not pack.is_within(whole.taxa[0], group.taxa[0]))
    )
    return _UNKNOWN if two_animals else _taken(whole, "the name, head first", pack)


def _with_aside(aside: str, reading: _Reading, said: Said, pack: Pack) -> _Reading:
    """Hold what stands in brackets against the name: it may say the same again, or say it closer."""
    inner = take_apart(aside)
    if abbreviates(aside, said.words) or _part_of_its_name(inner.words, reading, pack):
        return reading
    other = _read(inner, pack)
    plain = not inner.stage and not inner.asides and inner.marks <= {"undecided"}
    if plain and other.taxon is None:  # "cod (Pacific)"
        whole = index_of(pack).find(said, inner.words + said.words, any_order=False)
        closer = _taken(whole, "the name, closer in brackets", pack) if whole else _UNKNOWN
        if closer.taxon and (
            _within(closer, reading, pack) or (reading is _UNKNOWN and len(said.words) == 1)
        ):
            return closer
    if plain and _within(other, reading, pack):
        return replace(other, how="both names agree")
    if plain and _within(reading, other, pack):
        return replace(reading, how="both names agree")
    named = [*(one.taxon for one in (reading, other) if one.taxon), *reading.named, *other.named]
    return _Reading("what stands in brackets says something else", named=tuple(dict.fromkeys(named)))


def _within(one: _Reading, other: _Reading, pack: Pack) -> bool:
    return bool(one.taxon and other.taxon) and pack.is_within(str(one.taxon), str(other.taxon))


def _part_of_its_name(words: Words, reading: _Reading, pack: Pack) -> bool:
    """Say whether words in brackets are of the scientific name itself, as a subgenus is."""
    return reading.taxon is not None and set(words) <= set(fold(pack[reading.taxon].scientific_name))
