"""The key as a page: what was seen so far, what to look at next, and every answer as a step of its own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from haulbook.identify import Identification, Model, identify, prior, read_observations
from haulbook.identify.characters import BODY_PLAN, PICTURE_GROUPS, Character
from haulbook.identify.matrix import Matrix
from haulbook.identify.notices import LEAST_NAMED, Notice
from haulbook.identify.observations import read_characters
from haulbook.identify.reasons import said as seen_words

MOST_LIKE = 4
"""Look-alikes named beside a species: with it as many as a card takes."""
LISTED = 8
"""Taxa of the ranking that are listed, where they are probable enough to be named."""


@dataclass(frozen=True, slots=True)
class Seen:
    """What an address says was seen: answers and looks that can't be had, in the order in which they came.

    Attributes
    ----------
    saw : tuple of str
        ``character=state``, ``character=state|state`` where the observer can't tell which.
    skipped : tuple of str
        Characters.
    """

    saw: tuple[str, ...] = ()
    skipped: tuple[str, ...] = ()

    def with_answer(self, character: str, states: Iterable[str]) -> Seen:
        """Return what is seen after one more answer; it takes the place of an earlier one to the same look."""
        kept = tuple(one for one in self.saw if one.partition("=")[0] != character)
        skipped = tuple(one for one in self.skipped if one != character)
        return Seen((*kept, f"{character}={'|'.join(states)}"), skipped)

    def without(self, character: str) -> Seen:
        """Return what is seen with a look taken back."""
        kept = tuple(one for one in self.saw if one.partition("=")[0] != character)
        return Seen(kept, tuple(one for one in self.skipped if one != character))

    def skipping(self, character: str) -> Seen:
        """Return what is seen where a look can't be had."""
        return replace(self, skipped=(*self.skipped, character))


@dataclass(frozen=True, slots=True)
class Answered:
    """A look that was had: its question and what was seen, in words."""

    character: str
    question: str
    words: str


@dataclass(frozen=True, slots=True)
class Option:
    """One answer that can be given now: its words, and a drawing for the body plans."""

    state: str
    words: str
    drawing: str


@dataclass(frozen=True, slots=True)
class KeyPage:
    """The key after some looks.

    Attributes
    ----------
    found : Identification
    answered : tuple of Answered
    skipped : tuple of Character
    options : tuple of (heading, options)
        Answers to the next look; the body plans in groups, others under one empty heading.
    ranking : tuple of (taxon, probability)
        Those probable enough to be named, at most ``LISTED``; none before the first look.
    notices : tuple of Notice
        Each kind and taxon once.
    """

    found: Identification
    answered: tuple[Answered, ...]
    skipped: tuple[Character, ...]
    options: tuple[tuple[str, tuple[Option, ...]], ...]
    ranking: tuple[tuple[str, float], ...]
    notices: tuple[Notice, ...]


def key_page(model: Model, seen: Seen, past: Mapping[str, int] | None = None) -> KeyPage:
    """Return the key after some looks.

    Parameters
    ----------
    model : Model
    seen : Seen
    past : mapping of taxon to number of past hauls, optional
        At the site and season.

    Raises
    ------
    Refusal
        An address that names looks or answers that are none.
    """
    characters = model.matrix.characters
    observed = read_observations(seen.saw, (), characters)
    skipped = read_characters(seen.skipped, characters)
    found = identify(model, observed, prior(model.matrix, past), skipped)
    ranked = [pair for pair in found.ranking if pair[1] >= LEAST_NAMED][:LISTED] if observed else []
    return KeyPage(
        found=found,
        answered=tuple(
            Answered(one.character, characters[one.character].question, seen_words(model, one))
            for one in observed
        ),
        skipped=tuple(characters[key] for key in skipped),
        options=_options(found),
        ranking=tuple(ranked) if found.weighed else (),
        notices=tuple({(one.kind, one.taxon): one for one in found.notices}.values()),
    )


def _options(found: Identification) -> tuple[tuple[str, tuple[Option, ...]], ...]:
    question = found.question
    if question is None:
        return ()
    words = {state.key: state.words for state in question.character.states}
    if question.character.key != BODY_PLAN:
        return (("", tuple(Option(key, words[key], "") for key in question.states)),)
    return tuple(
        (group, tuple(Option(key, words[key], key) for key in plans if key in question.states))
        for group, plans in PICTURE_GROUPS.items()
    )


def look_alikes(matrix: Matrix, taxon: str) -> tuple[str, ...]:
    """Return the ranked taxa of its body plan that are most like a taxon.

    Its nearest kin first, then those that share most of what is written down about both.
    """
    if taxon not in matrix.cells:
        return ()
    mine, above = matrix.cells[taxon], set(matrix.pack.lineage(taxon))

    def unlike(other: str) -> tuple[int, float]:
        both = mine.keys() & matrix.cells[other].keys()
        apart = sum(1 for key in both if not mine[key].states & matrix.cells[other][key].states)
        return -len(above & set(matrix.pack.lineage(other))), apart / len(both)

    body = matrix.states(taxon, BODY_PLAN)
    alike = (one for one in matrix.ranked if one != taxon and matrix.states(one, BODY_PLAN) & body)
    return tuple(
        sorted((one for one in alike if mine.keys() & matrix.cells[one].keys()), key=unlike)[:MOST_LIKE]
    )


def seen_of(saw: Sequence[str], skipped: Sequence[str]) -> Seen:
    """Return what an address says, each look once: the later answer stands."""
    seen = Seen()
    for one in saw:
        character, _, states = one.partition("=")
        seen = seen.with_answer(character, [states])
    return replace(seen, skipped=tuple(dict.fromkeys(skipped)))
