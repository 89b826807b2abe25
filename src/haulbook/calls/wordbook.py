"""The words of calls as plain data, which is all that the dictionary is made of, here and on the phone.

What is the same for every pack goes to the page's folder, ``page_module``, since it belongs to the rules there; the
names of a pack go with the kit, under ``words`` (``docs/reference/kit.md``). So each is written down once.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import takewhile

from haulbook.calls.names import STAGE_IN_NAME, common, listed, name_words, of_other_packs, shortened
from haulbook.taxa import Pack

_HEADER = """/**
 * What people say around the names, strangers to every pack, and words of English, each behind a capital for the
 * letters that it shares with the one before (A none, B one ...). Made by tools/make_page_words.py: change the words
 * in haulbook/calls/data.
 *
{notice}
 */
"""


@dataclass(frozen=True, slots=True)
class Grammar:
    """What is the same for every pack.

    Attributes
    ----------
    phrases : tuple of (kind, meaning, phrases)
        In their order: of two readings that cost the same the earlier one is taken.
    strangers : tuple of str
        Animals that no pack has.
    stages : mapping of str to str
        Words of names that are a life stage.
    english : tuple of str
        Words of English that are no slip of anything by themselves, in the order of the alphabet.
    """

    phrases: tuple[tuple[str, str, tuple[str, ...]], ...]
    strangers: tuple[str, ...]
    stages: Mapping[str, str]
    english: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Names:
    """What one taxon is called: plain lower-case words with one space between them.

    Attributes
    ----------
    taxon : str
    group : bool
        Not a species: several animals go by these names.
    spoken, written : tuple of str
        Common names, and the others that are listed.
    short : tuple of str
        What is left of longer names, where it can mean this taxon only.
    """

    taxon: str
    group: bool
    spoken: tuple[str, ...]
    written: tuple[str, ...]
    short: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Wordbook:
    """The names of a pack, and those that only other packs have."""

    names: tuple[Names, ...]
    strangers: tuple[str, ...]


@cache
def grammar() -> Grammar:
    """Return what is the same for every pack; it is read once."""
    table = json.loads(_data("words.json"))
    return Grammar(
        phrases=tuple(
            (kind, meaning, tuple(phrases))
            for kind, meanings in table.items()
            if kind != "about"
            for meaning, phrases in meanings.items()
        ),
        strangers=tuple(dict.fromkeys(" ".join(name_words(name)) for name in _lines("strangers.txt"))),
        stages=STAGE_IN_NAME,
        english=tuple(sorted(word for line in _lines("ordinary.txt") for word in line.split())),
    )


@cache
def wordbook(pack: Pack) -> Wordbook:
    """Return the names of a pack, in its order; they are gathered once."""
    return Wordbook(tuple(_names(pack)), tuple(dict.fromkeys(map(" ".join, of_other_packs(pack)))))


def page_module() -> str:
    """Return the grammar as a module of the shore page."""
    said = grammar()
    notice = "\n".join(
        line.replace("#", " *", 1) for line in _data("ordinary.txt").splitlines() if line.startswith("#")
    )
    content = {
        "PHRASES": said.phrases,
        "STRANGERS": said.strangers,
        "STAGES": said.stages,
        "ENGLISH": "".join(_front_coded(said.english)),
    }
    lines = (f"export const {key} = {json.dumps(value)};\n" for key, value in content.items())
    return _HEADER.format(notice=notice) + "".join(lines)


def _front_coded(words: Iterable[str]) -> Iterator[str]:
    before = ""
    for word in words:
        alike = (one == other for one, other in zip(before, word, strict=False))
        shared = sum(1 for _ in takewhile(bool, alike))
        yield chr(ord("A") + shared) + word[shared:]
        before = word


def _names(pack: Pack) -> Iterator[Names]:
    spoken = common(pack)
    said: dict[str, tuple[list[str], list[str], list[str]]] = {key: ([], [], []) for key in pack.taxa}
    for words, taxa in listed(pack).items():
        for taxon in taxa:
            said[taxon][0 if words in spoken else 1].append(" ".join(words))
    for words, taxon in shortened(pack, frozenset(grammar().english)):
        said[taxon][2].append(" ".join(words))
    for taxon, lists in said.items():
        if any(lists):
            yield Names(taxon, pack[taxon].rank != "species", *map(tuple, lists))


def _data(name: str) -> str:
    return files("haulbook.calls").joinpath(f"data/{name}").read_text(encoding="utf-8")


def _lines(name: str) -> list[str]:
    return [line for line in _data(name).splitlines() if line and not line.startswith("#")]
