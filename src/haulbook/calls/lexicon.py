"""Everything that can be said with one pack: the phrases of the grammar and the names, as one dictionary.

A phrase is found by its words run together, so that "sea perch" and "seaperch", "silver side" and "silverside"
are one. Built once for a pack.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache

from haulbook.calls.names import Words, plural_of
from haulbook.calls.slips import letters
from haulbook.calls.sound import sound_key
from haulbook.calls.wordbook import grammar, wordbook
from haulbook.taxa import Pack

SHORTENED = 0.3
"""What it costs to leave words out of a listed name."""


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a phrase stands for.

    Attributes
    ----------
    kind : str
        A kind of the grammar, or ``name``, or ``stranger`` (an animal that is not in the pack).
    value : str
        A meaning of that kind; of a name the taxon's key.
    stage : str or None
        Said within a name.
    cost : float
        0 for what is listed as said.
    """

    kind: str
    value: str
    stage: str | None = None
    cost: float = 0.0


@dataclass(frozen=True, slots=True)
class Form:
    """A spelling that a word may have.

    ``name``: a word of names; ``own``: of the grammar or of the pack's names, not of strangers only; ``shortens``: of
    common names of the pack, which tally shorthand stands for; ``bits``: its letters, see
    :func:`~haulbook.calls.slips.letters`; ``sound``: its key.
    """

    spelt: str
    word: str
    plural: bool
    name: bool
    own: bool
    shortens: bool
    bits: int
    sound: str


@dataclass(frozen=True, slots=True)
class Lexicon:
    """One pack's dictionary.

    Attributes
    ----------
    pack : Pack
    phrases : mapping of run-together words to meanings
    prefixes : frozenset of str
        Beginnings of phrases: what may still become one.
    forms : mapping of spelling to Form
    by_length : mapping of length to forms
    names : frozenset of tuple of str
        The names of the pack as listed, word by word.
    alike : tuple of (frozenset of str, frozenset of str)
        Pairs of letters of each listed name, and its taxa.
    ordinary : frozenset of str
        Words of English that are no slip of anything by themselves.
    remembered : dict
        What words were found near to, so that a call read twice is looked up once.
    """

    pack: Pack
    phrases: Mapping[str, tuple[Meaning, ...]]
    prefixes: frozenset[str]
    forms: Mapping[str, tuple[Form, ...]]
    by_length: Mapping[int, tuple[Form, ...]]
    names: frozenset[Words]
    alike: tuple[tuple[frozenset[str], frozenset[str]], ...]
    ordinary: frozenset[str]
    remembered: dict[tuple[str, bool], tuple[tuple[Form, float], ...]] = field(compare=False, repr=False)


@cache
def lexicon(pack: Pack) -> Lexicon:
    """Return the dictionary of a pack; it is made once."""
    said, book, making = grammar(), wordbook(pack), _Making()
    names = {name for one in book.names for name in (*one.spoken, *one.written)}
    for kind, value, phrases in said.phrases:
        for phrase in phrases:
            if (
                not {phrase, phrase.removesuffix("s")} & names
            ):  # "smolt" is a stage where no fish is listed so
                making.add(_words(phrase), Meaning(kind, value))
    bearers: dict[Words, set[str]] = {}
    for one in book.names:
        for name in (*one.spoken, *one.written):
            words = _words(name)
            bearers.setdefault(words, set()).add(one.taxon)
            meaning = Meaning("name", one.taxon, stage_in(words, said.stages))
            making.add(words, meaning, shortens=name in one.spoken)
    for one in book.names:
        for name in one.short:
            words = _words(name)
            making.add(words, Meaning("name", one.taxon, stage_in(words, said.stages), SHORTENED))
    for stranger in (*said.strangers, *book.strangers):
        words = _words(stranger)
        if "".join(words) not in making.phrases:
            making.add(words, Meaning("stranger", stranger))
    return making.done(pack, bearers, frozenset(said.english))


def _words(phrase: str) -> Words:
    return tuple(phrase.split())


def stage_in(words: Words, stages: Mapping[str, str]) -> str | None:
    """Return the life stage that a name says."""
    return next((stages[word] for word in words if word in stages), None)


def pairs_of(words: Iterable[str]) -> frozenset[str]:
    """Return the pairs of neighbouring letters of words, with their beginnings and ends."""
    return frozenset(f"^{word}$"[i : i + 2] for word in words for i in range(len(word) + 1))


class _Making:
    """A dictionary while it is made."""

    def __init__(self) -> None:
        self.phrases: dict[str, dict[tuple[str, str], Meaning]] = {}
        self.forms: dict[str, dict[str, Form]] = {}

    def add(self, words: Words, meaning: Meaning, *, shortens: bool = False) -> None:
        self.phrases.setdefault("".join(words), {}).setdefault((meaning.kind, meaning.value), meaning)
        name = meaning.kind in ("name", "stranger")
        for word in words:
            for spelt, plural in ((word, False), (plural_of(word), True))[: 2 if name else 1]:
                known = self.forms.setdefault(spelt, {})
                was = known.get(word)
                known[word] = Form(
                    spelt,
                    word,
                    plural,
                    name=name or (was is not None and was.name),
                    own=meaning.kind != "stranger" or (was is not None and was.own),
                    shortens=shortens or (was is not None and was.shortens),
                    bits=letters(spelt),
                    sound=sound_key(spelt),
                )

    def done(self, pack: Pack, names: Mapping[Words, set[str]], ordinary: frozenset[str]) -> Lexicon:
        forms = {spelt: tuple(found.values()) for spelt, found in self.forms.items()}
        by_length: dict[int, list[Form]] = {}
        for spelt, found in forms.items():
            by_length.setdefault(len(spelt), []).extend(found)
        return Lexicon(
            pack,
            {key: tuple(found.values()) for key, found in self.phrases.items()},
            frozenset(key[:cut] for key in self.phrases for cut in range(1, len(key) + 1)),
            forms,
            {length: tuple(found) for length, found in by_length.items()},
            frozenset(names),
            tuple((pairs_of(words), frozenset(taxa)) for words, taxa in names.items()),
            ordinary,
            {},
        )
