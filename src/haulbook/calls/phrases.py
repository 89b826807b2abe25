"""Every phrase that may stand somewhere in a run, with what it costs to read it there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from haulbook.calls.lexicon import Lexicon, Meaning
from haulbook.calls.names import Words
from haulbook.calls.spelling import GLUED, Spelling, spellings
from haulbook.calls.tokens import Run

LEFT_OVER, LEFT_OVER_ORDINARY = 2.6, 2.2
"""What a word costs that is read as nothing: one that means something to us or is no English, and any other."""
LONG_WORD, PER_LETTER = 8, 0.1
"""A long word that is no English is hardly left over: each letter beyond the eighth costs more."""
SWALLOWED = 0.6
"""Added where a name that is not said as listed takes in a word that is a fate, stage or place ("stick back")."""
SLIP_IN_A_SMALL_WORD = 0.8
"""Added to a slip in words that count nothing or undo something: they must not swallow what was meant to count."""
_COUNTING = frozenset(
    {
        "name",
        "stranger",
        "number",
        "times",
        "vague",
        "zero",
        "fate",
        "stage",
        "place",
        "unit",
        "doubt",
        "kinds",
    }
)
MOST_RUN_TOGETHER = 3
"""Words that may be one name with other spaces."""
MOST_IN_A_NUMBER, MOST_IN_A_SHORT_NUMBER = 1.21, 0.65
"""The dearest slip in a number word, or in one that makes a true zero of a name; short: up to three letters."""
_NUMBERS = ("number", "times", "zero")


@dataclass(frozen=True, slots=True)
class Mark:
    """A stretch of a run and what it may stand for.

    Attributes
    ----------
    kind, value : str
        As in :class:`~haulbook.calls.lexicon.Meaning`; also ``digits``; ``ordinary`` and ``unknown`` are left over.
    said : str
    start, end : int
        Letters of the run, spaces left out.
    stage : str or None
        Said within a name.
    plural : bool
        The last word of a name.
    cost : float
    sure : bool
    rivals : tuple of str
        Taxa that a name may stand for as well.
    """

    kind: str
    value: str
    said: str
    start: int
    end: int
    stage: str | None = None
    plural: bool = False
    cost: float = 0.0
    sure: bool = True
    rivals: tuple[str, ...] = ()


def phrases(run: Run, lexicon: Lexicon, *, shorthand: bool) -> dict[int, list[Mark]]:
    """Return the marks that may stand in a run, by where they start."""
    found: dict[int, list[Mark]] = {}
    starts = [sum(map(len, run.words[:i])) for i in range(len(run.words))]
    for start, word in zip(starts, run.words, strict=True):
        found.setdefault(start, []).append(_alone(word, start, lexicon))
    words = spellings(run.words, lexicon, shorthand=shorthand)
    for start in words:
        for mark, path in _spelt(start, start, (), 0.0, words, lexicon):
            inside = [
                word[max(0, mark.start - at) : mark.end - at]
                for at, word in zip(starts, run.words, strict=True)
                if at < mark.end and mark.start < at + len(word)
            ]
            swallows = mark.kind == "name" and _say_something(
                _loose_words(mark, path, inside, lexicon), lexicon
            )
            cost = mark.cost + (SWALLOWED if swallows else 0.0)
            found.setdefault(start, []).append(replace(mark, said=" ".join(inside), cost=cost))
    for at, start in enumerate(starts):
        found[start] += _run_together(run.words[at : at + MOST_RUN_TOGETHER], start, lexicon)
    return found


def _run_together(words: Words, start: int, lexicon: Lexicon) -> Iterator[Mark]:
    """Yield the names that are spelt by the same letters with other spaces: "co sole", "moonjelly"."""
    for count in range(1, len(words) + 1):
        said, key = " ".join(words[:count]), "".join(words[:count])
        for meaning in lexicon.phrases.get(key, ()):
            if meaning.kind == "name":
                end, cost = start + len(key), meaning.cost + GLUED
                yield Mark("name", meaning.value, said, start, end, meaning.stage, cost=cost)


def _alone(word: str, start: int, lexicon: Lexicon) -> Mark:
    """Return a word as a number in digits, or as left over."""
    end = start + len(word)
    if not word.isalpha():
        return Mark("digits", word, word, start, end)
    forms = lexicon.forms.get(word, ())
    if any(form.name for form in forms) or not (forms or word in lexicon.ordinary):
        cost = LEFT_OVER + PER_LETTER * max(0, len(word) - LONG_WORD)
        return Mark("unknown", word, word, start, end, cost=cost)
    return Mark("ordinary", word, word, start, end, cost=LEFT_OVER_ORDINARY)


def _spelt(
    begin: int, at: int, before: Words, cost: float, words: dict[int, list[Spelling]], lexicon: Lexicon
) -> Iterator[tuple[Mark, Words]]:
    """Follow the words from one place on as long as they may become a phrase; yield what they stand for then."""
    for word in words.get(at, ()):
        path, total = (*before, word.word), cost + word.cost
        key = "".join(path)
        if key not in lexicon.prefixes:
            continue
        for meaning in lexicon.phrases.get(key, ()):
            if meaning.kind not in _NUMBERS or word.slip <= _most_in_a_number(word.word):
                yield _mark(meaning, begin, word, total), path
        yield from _spelt(begin, word.end, path, total, words, lexicon)


def _most_in_a_number(word: str) -> float:
    return MOST_IN_A_NUMBER if len(word) > 3 else MOST_IN_A_SHORT_NUMBER


def _mark(meaning: Meaning, begin: int, last: Spelling, cost: float) -> Mark:
    if cost and meaning.kind not in _COUNTING:
        cost += SLIP_IN_A_SMALL_WORD
    cost += meaning.cost
    return Mark(meaning.kind, meaning.value, "", begin, last.end, meaning.stage, last.plural, cost)


def _loose_words(mark: Mark, path: Words, inside: list[str], lexicon: Lexicon) -> Sequence[str]:
    """Return the words of a name that may be no part of it: none where it is said as listed."""
    if path in lexicon.names:
        return inside if mark.cost else ()
    return (*inside, *path)


def _say_something(words: Sequence[str], lexicon: Lexicon) -> bool:
    """Say whether one of the words is a fate, a stage, a place or a "no" by itself."""
    return any(
        meaning.kind in ("fate", "stage", "place", "zero")
        for word in words
        for meaning in lexicon.phrases.get(word, ())
    )
