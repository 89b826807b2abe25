"""Words of a name as people write them: spelling habits taken off; stage, doubt and lists read out.

Small pure helpers that know English and a little Latin, and nothing of any pack. The word lists are common
practice of field sheets, no source.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

Words = tuple[str, ...]
Joint = Literal["", "slash", "comma", "or", "and"]

STAGE_WORDS: dict[str, str] = {
    "juvenile": "young", "juv": "young", "juvie": "young", "yoy": "young", "young": "young", "baby": "young",
    "fry": "young", "smolt": "young", "parr": "young", "fingerling": "young", "immature": "young",
    "young of the year": "young", "young of year": "young", "adult": "adult", "mature": "adult",
    "larva": "larva", "larvae": "larva", "larval": "larva", "megalopa": "larva", "megalopae": "larva",
    "megalops": "larva", "zoea": "larva", "zoeae": "larva",
    "egg": "egg mass", "egg mass": "egg mass", "egg masses": "egg mass", "eggmass": "egg mass",
}  # fmt: skip
"""Words for a life stage inside a name, and the stage they mean; "eggs" only at the end of a name."""

_SALMON_STAGES = frozenset({"smolt", "parr"})
_BRACKETED_STAGE = {"j": "young", "a": "adult", "l": "larva", "ad": "adult"}
_MARK_WORDS = {
    "doubt": "cf maybe possibly poss possible probably prob probable perhaps likely",
    "akin": "aff affinis",
    "undecided": "unidentified unknown unk unid unident undetermined indet sp spp species",
    "other": "other misc",
}
_MARKS = {word: mark for mark, words in _MARK_WORDS.items() for word in words.split()}
_ONE_WORD = {"jellyfish": "jelly", "grey": "gray"}

_NUMERALS = ("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_SPINE = re.compile(rf"\b({'|'.join(_NUMERALS)}|[2-9]|10)[\s_-]*spine[ds]?\b")
_JOINTS = re.compile(r"\band\s*/\s*or\b|\bor\b|\band\b|[/,:;&+]")
_BRACKETS = re.compile(r"[(\[]([^()\[\]]*)[)\]]")
_RANK_LABEL = re.compile(
    r"^\s*(?:kingdom|phylum|class|order|suborder|infraorder|family|genus|species)\s*:", re.IGNORECASE
)
_AUTHORITY = re.compile(r"^(\s*[A-Z][a-z]+(?: [a-z]+)?),?\s+\(?[A-Z][^\d]*\b1[789]\d\d\)?\s*$")
_MOST_JOINED = 6


@dataclass(frozen=True, slots=True)
class Said:
    """A name taken apart.

    Attributes
    ----------
    words : tuple of str
        What is left of the name, folded and singular, with marks and brackets taken off.
    parts : tuple of tuple of str
        The same words, cut where a slash, a comma or an "or" stands.
    joint : {"", "slash", "comma", "or", "and"}
        What cuts them. Before a slash, comma or colon may stand the head of one name (``sole/english``), or
        one of two names; ``or`` and ``and`` stand between two names.
    stage : {"larva", "young", "adult", "egg mass"} or None
        None also where two stages are said.
    marks : frozenset of {"doubt", "akin", "undecided", "other", "salmon"}
        ``doubt``: ``?``, ``cf.``, maybe. ``akin``: ``aff.``, like that species and not it. ``undecided``:
        ``sp.``, unknown: stops above the species. ``other``: whatever the list it stood on does not name.
        ``salmon``: smolt, parr: a stage that only salmon and trout have.
    asides : tuple of str
        What stood in brackets and is no mark, as written.
    """

    words: Words
    parts: tuple[Words, ...]
    joint: Joint
    stage: str | None
    marks: frozenset[str]
    asides: tuple[str, ...]


def plain(text: str) -> str:
    """Return a text in lower case, without accents and possessives; ``4-spined`` becomes ``fourspine``."""
    straight = text.replace("’", "'").replace("`", "'")
    ascii_ = unicodedata.normalize("NFKD", straight).encode("ascii", "ignore").decode().casefold()
    return _SPINE.sub(_spine, re.sub(r"'s\b|'", "", ascii_))


def _spine(found: re.Match[str]) -> str:
    number = found[1]
    return f"{_NUMERALS[int(number) - 2] if number.isdigit() else number}spine"


def singular(word: str) -> str:
    """Return an English plural's singular; scientific endings in -us, -is and -ss stay."""
    if len(word) > 4 and word.endswith(("ies", "ie")):
        return word[: word.rindex("ie")] + "y"
    if len(word) > 4 and word.endswith(("ches", "shes", "xes", "sses", "uses")):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


def fold(text: str) -> list[str]:
    """Return the words of a text: lower case, no accents, no punctuation, plural made singular.

    A number glued to the end of a word (``stickleback010``, a slip of a spreadsheet's fill handle) is taken
    off.
    """
    words = re.findall(r"[a-z]+|\d+", re.sub(r"(?<=[a-z]{3})\d+\b", "", plain(text)))
    return [_ONE_WORD.get(word, word) for word in map(singular, words)]


def joined(words: Words) -> Iterator[Words]:
    """Yield a name in every way of writing neighbouring words together, first as it stands.

    ``("sand", "dab")`` gives itself and ``("sanddab",)``. A name of more than six words comes as it stands.
    """
    gaps = len(words) - 1
    for glued in range(1 << gaps if 0 < gaps < _MOST_JOINED else 1):
        whole = list(words[:1])
        for i, word in enumerate(words[1:]):
            if glued >> i & 1:
                whole[-1] += word
            else:
                whole.append(word)
        yield tuple(whole)


def bare(text: str) -> str:
    """Return a text as written, without what stands in brackets and without question marks."""
    return _BRACKETS.sub(" ", text).replace("?", " ").strip()


def abbreviates(code: str, words: Words) -> bool:
    """Say whether a code is the usual one: two letters of the first and of the last word, or four of one."""
    usual = words[0][:2] + words[-1][:2] if len(words) > 1 else "".join(words)[:4]
    return len(code) == 4 and code.casefold() == usual


_STAGES = {tuple(fold(said)): stage for said, stage in STAGE_WORDS.items()}
_LONGEST_STAGE = max(len(words) for words in _STAGES)


def take_apart(name: str) -> Said:
    """Read stage, marks, lists and asides out of a name as said or written."""
    marks, asides = {"doubt"} if "?" in name else set(), []

    def bracketed(found: re.Match[str]) -> str:
        inner = fold(found[1])
        kept, said = _sift(inner)
        if " ".join(inner) in _BRACKETED_STAGE:
            marks.add(_BRACKETED_STAGE[" ".join(inner)])
        elif kept:
            asides.append(found[1].strip())
        else:
            marks.update(said)
        return " "

    outside = plain(_BRACKETS.sub(bracketed, _AUTHORITY.sub(r"\1", _RANK_LABEL.sub("", name))))
    pieces = [fold(piece) for piece in _JOINTS.split(outside)]
    sifted = [_sift(piece) for piece in pieces]
    marks = marks.union(*(said for _, said in sifted))
    parts = tuple(kept for kept, _ in sifted if kept)
    if not parts and not marks & {"undecided", "other"}:  # nothing but a stage, as "smolt": that is the name
        parts = tuple(tuple(piece) for piece in pieces if piece)
    stages = marks & set(_STAGES.values())
    return Said(
        words=tuple(word for part in parts for word in part),
        parts=parts,
        joint=_joint(outside) if len(parts) > 1 else "",
        stage=next(iter(stages)) if len(stages) == 1 else None,
        marks=frozenset(marks - stages),
        asides=tuple(asides),
    )


def _joint(text: str) -> Joint:
    found = set(_JOINTS.findall(text))
    if found == {"/"}:
        return "slash"
    if found <= {",", ":"}:
        return "comma"
    return "and" if found & {"and", "&", "+", ";", ","} else "or"


def _sift(words: list[str]) -> tuple[Words, set[str]]:
    """Part the words of a name from its marks and stages."""
    kept: list[str] = []
    marks: set[str] = set()
    at = 0
    while at < len(words):
        length, stage = _stage_at(words, at)
        mark = stage or _MARKS.get(words[at])
        if mark:
            marks.add(mark)
            marks.update({"salmon"} if words[at] in _SALMON_STAGES else ())
        else:
            kept.append(words[at])
        at += length
    return tuple(kept), marks


def _stage_at(words: list[str], at: int) -> tuple[int, str | None]:
    for length in range(_LONGEST_STAGE, 0, -1):
        stage = _STAGES.get(tuple(words[at : at + length]))
        if stage and (words[at : at + length] != ["egg"] or at == len(words) - 1):
            return length, stage
    return 1, None


def spread_head(parts: Iterable[Words]) -> tuple[Words, ...]:
    """Return the names of a list with the head they share: "padded or smoothhead sculpin" is two sculpins."""
    parts = tuple(parts)
    head = parts[-1][-1:]
    return tuple(part if part[-1:] == head or part == parts[-1] else part + head for part in parts)
