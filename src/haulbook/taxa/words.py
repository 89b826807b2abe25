"""Words of a name as people write them: spelling habits taken off, stage and doubt read out."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

STAGE_WORDS: dict[str, str] = {
    "juvenile": "young", "juv": "young", "juvie": "young", "yoy": "young", "young": "young", "baby": "young",
    "fry": "young", "smolt": "young", "parr": "young", "fingerling": "young", "young of the year": "young",
    "adult": "adult", "larva": "larva", "larvae": "larva", "larval": "larva", "megalopa": "larva",
    "megalops": "larva", "egg mass": "egg mass", "egg masses": "egg mass", "eggmass": "egg mass",
}  # fmt: skip
"""Words for a life stage inside a name, and the stage they mean."""

_BRACKETED_STAGE = {"j": "young", "a": "adult", "l": "larva", "ad": "adult"}
_DOUBT_WORDS = frozenset({"cf", "aff", "maybe", "possibly", "poss", "probably", "prob", "perhaps"})
_UNDECIDED = frozenset(
    {"unidentified", "unknown", "unid", "unident", "indet", "sp", "spp", "species", "undetermined"}
)
_NUMERALS = {"2": "two", "3": "three", "4": "four", "9": "nine", "10": "ten"}


@dataclass(frozen=True, slots=True)
class Said:
    """A name taken apart.

    Attributes
    ----------
    words : tuple of str
        What is left of the name, folded and singular.
    stage : str or None
    doubt : bool
        Carries a mark of doubt: ``?``, ``cf.``, maybe.
    undecided : bool
        Says of itself that it stops above the species: ``sp.``, unknown.
    aside : tuple of str
        What stood in brackets and is no stage.
    whole : tuple of str
        All words, stage included: some names of a pack hold one.
    """

    words: tuple[str, ...]
    stage: str | None
    doubt: bool
    undecided: bool
    aside: tuple[str, ...]
    whole: tuple[str, ...]


def fold(text: str) -> list[str]:
    """Return the words of a text: lower case, no accents, no punctuation, plural made singular.

    A number glued to the end of a word (``stickleback010``, a slip of a spreadsheet's fill handle) is taken
    off; ``4-spine`` is read as ``four spine``.
    """
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().casefold()
    plain = re.sub(r"['`]", "", plain)
    found = re.findall(r"[a-z]+|\d+", re.sub(r"(?<=[a-z])\d+\b", "", plain))
    return [singular(_NUMERALS.get(word, word)) for word in found]


def singular(word: str) -> str:
    """Return an English plural's singular; scientific endings in -us, -is and -ss stay."""
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("ches", "shes", "xes", "sses")):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


_STAGES = {tuple(fold(said)): stage for said, stage in STAGE_WORDS.items()}
_LONGEST_STAGE = max(len(words) for words in _STAGES)


def take_apart(name: str) -> Said:
    """Read stage, doubt and asides out of a name.

    Parameters
    ----------
    name : str
        As said or written.
    """
    stage: str | None = None
    aside: list[str] = []

    def bracketed(match: re.Match[str]) -> str:
        nonlocal stage
        inner = match[1].strip()
        if inner.casefold() in _BRACKETED_STAGE:
            stage = _BRACKETED_STAGE[inner.casefold()]
        elif tuple(fold(inner)) in _STAGES:
            stage = _STAGES[tuple(fold(inner))]
        elif fold(inner):
            aside.append(inner)
        return " "

    doubt = "?" in name
    words = fold(re.sub(r"\(([^()]*)\)", bracketed, name))
    whole = tuple(words)
    words, spoken_stage = _without_stage(words)
    doubt = doubt or any(word in _DOUBT_WORDS for word in words)
    undecided = any(word in _UNDECIDED for word in words)
    kept = tuple(word for word in words if word not in _DOUBT_WORDS and word not in _UNDECIDED)
    return Said(kept, stage or spoken_stage, doubt, undecided, tuple(aside), whole)


def _without_stage(words: list[str]) -> tuple[list[str], str | None]:
    for length in range(_LONGEST_STAGE, 0, -1):
        for start in range(len(words) - length + 1):
            stage = _STAGES.get(tuple(words[start : start + length]))
            if stage and len(words) > length:
                return words[:start] + words[start + length :], stage
    return words, None
