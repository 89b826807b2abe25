"""Which words of the dictionary a typed or heard word may be, and at what cost."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain

from haulbook.calls.lexicon import Form, Lexicon
from haulbook.calls.shorthand import shorthand_cost
from haulbook.calls.slips import SHORT, SOUNDS_ALIKE, least_cost, letters, slip_cost
from haulbook.calls.sound import sound_key

ORDINARY = 1.0
"""Added where what stands there is a word of English: then it is seldom a slip."""
SPLIT, GLUED = 0.6, 0.2
_MOST_COST = (0.0, 0.0, 0.0, 0.71, 1.01, 1.21, 1.71, 1.81, 2.11, 2.21, 2.61)
"""By the letters of the word that is meant; the last one for all longer ones."""
WELL_READ = 0.8
"""A word that can be read as one at this cost is not cut in two."""
MOST_REMEMBERED = 5000
_MOST_KEPT = 8
_LEAST_PIECE, _SHORT_PIECES = 3, ("no", "of", "on")


@dataclass(frozen=True, slots=True)
class Spelling:
    """A stretch of a run read as one word of the dictionary.

    ``start`` and ``end`` count the letters of the run, spaces left out; ``slip`` is the part of the cost that letters
    make.
    """

    start: int
    end: int
    word: str
    plural: bool
    cost: float
    slip: float = 0.0


def most_cost(length: int) -> float:
    """Return the dearest slip that a word of that length may have suffered."""
    return _MOST_COST[min(length, len(_MOST_COST) - 1)]


def spellings(words: tuple[str, ...], lexicon: Lexicon, *, shorthand: bool) -> dict[int, list[Spelling]]:
    """Return every reading of every word of a run, by where it starts."""
    found: dict[int, list[Spelling]] = {}
    start = 0
    for i, word in enumerate(words):
        end = start + len(word)
        for one in _readings(word, start, lexicon, shorthand):
            found.setdefault(one.start, []).append(one)
        if i + 1 < len(words):
            pair, both_end = word + words[i + 1], end + len(words[i + 1])
            for form in lexicon.forms.get(pair, ()):
                found.setdefault(start, []).append(Spelling(start, both_end, form.word, form.plural, GLUED))
        start = end
    return found


def near(word: str, lexicon: Lexicon, *, shorthand: bool = False) -> tuple[tuple[Form, float], ...]:
    """Return the forms that a word may be a slip or shorthand of, cheapest first; none for one that is a form."""
    key = (word, shorthand)
    if len(lexicon.remembered) > MOST_REMEMBERED:
        lexicon.remembered.clear()
    if key not in lexicon.remembered:
        lexicon.remembered[key] = _near(word, lexicon, shorthand)
    return lexicon.remembered[key]


def _near(word: str, lexicon: Lexicon, shorthand: bool) -> tuple[tuple[Form, float], ...]:
    extra = ORDINARY if word in lexicon.ordinary else 0.0
    best: dict[str, tuple[Form, float]] = {}
    found = chain(_slips(word, lexicon), _short_for(word, lexicon) if shorthand else ())
    for form, cost in found:
        if cost + extra < best.get(form.word, (form, float("inf")))[1]:
            best[form.word] = form, cost + extra
    ranked = sorted(best.values(), key=lambda pair: (pair[1], pair[0].word))
    return tuple(ranked[: _MOST_KEPT * (2 if shorthand else 1)])


def _slips(word: str, lexicon: Lexicon) -> Iterator[tuple[Form, float]]:
    bits, sound = letters(word), sound_key(word)
    for length in range(max(3, len(word) - 2), len(word) + 3):
        most = most_cost(length)
        for form in lexicon.by_length.get(length, ()):
            alike = sound != "" and sound == form.sound and min(len(word), length) > SHORT
            if least_cost(bits, form.bits) <= (most / SOUNDS_ALIKE if alike else most):
                yield form, slip_cost(word, form.spelt, most, alike=alike)


def _short_for(word: str, lexicon: Lexicon) -> Iterator[tuple[Form, float]]:
    for form in chain.from_iterable(lexicon.by_length.values()):
        if form.shortens and not form.plural and form.spelt[0] == word[0]:
            yield form, min(shorthand_cost(one, form.spelt) for one in (word, word.removesuffix("s")))


def _readings(word: str, start: int, lexicon: Lexicon, shorthand: bool) -> Iterator[Spelling]:
    end = start + len(word)
    if not word.isalpha():
        return
    exact = lexicon.forms.get(word, ())
    yield from (Spelling(start, end, form.word, form.plural, 0.0) for form in exact)
    if any(form.own for form in exact):
        return
    whole = near(word, lexicon, shorthand=shorthand)
    yield from (Spelling(start, end, form.word, form.plural, cost, cost) for form, cost in whole)
    if word not in lexicon.ordinary and len(word) > _LEAST_PIECE and (not whole or whole[0][1] > WELL_READ):
        yield from _split(word, start, lexicon, thorough=not whole)


def _split(word: str, start: int, lexicon: Lexicon, *, thorough: bool) -> Iterator[Spelling]:
    """Yield two words that may have run together: both as they are listed, or, where nothing else fits, with slips."""
    for cut in range(_LEAST_PIECE, len(word) - 1):
        if len(word) - cut < _LEAST_PIECE and word[cut:] not in _SHORT_PIECES:
            continue
        left, right = word[:cut], word[cut:]
        lefts = [(form, 0.0) for form in lexicon.forms.get(left, ())]
        rights = [(form, 0.0) for form in lexicon.forms.get(right, ())]
        if not lefts and len(left) > 2 and (rights or (thorough and min(len(left), len(right)) > 3)):
            lefts = list(near(left, lexicon)[:3])
        if lefts and not rights and len(right) > 2:
            rights = list(near(right, lexicon)[:3])
        if lefts and rights:
            middle, end = start + cut, start + len(word)
            yield from (
                Spelling(start, middle, one.word, one.plural, cost + SPLIT, cost) for one, cost in lefts
            )
            yield from (Spelling(middle, end, one.word, one.plural, cost, cost) for one, cost in rights)
