"""What somebody says they saw or did not see, checked against the list of characters."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from haulbook.identify.characters import Character
from haulbook.problems import Problem, Refusal, nearest


@dataclass(frozen=True, slots=True)
class Observation:
    """One character as it was looked at.

    Attributes
    ----------
    character : str
    states : frozenset of str
        What it may have been: one state where the observer is sure, several where not or where states were
        only ruled out.
    ruled_out : bool
        True where states were only ruled out: the look itself is still to be had.
    """

    character: str
    states: frozenset[str]
    ruled_out: bool = False


def read_observations(
    saw: Iterable[str], not_saw: Iterable[str], characters: Mapping[str, Character]
) -> tuple[Observation, ...]:
    """Read ``character=state`` words; ``character=state|state`` where the observer can't tell which.

    Parameters
    ----------
    saw, not_saw : iterable of str
        What was seen; what was looked for and is not there.
    characters : mapping of str to Character

    Raises
    ------
    Refusal
        All at once: no ``=``; unknown character or state (the nearest are named); a character answered twice;
        every state ruled out.
    """
    problems: list[str] = []
    seen: dict[str, frozenset[str]] = {}
    for character, states in _pairs(saw, characters, problems):
        if seen.get(character, states) != states:
            problems.append(
                f"{character} is answered twice; where you can't tell, say {character}="
                + "|".join(sorted(seen[character] | states))
            )
        seen[character] = states
    left: dict[str, frozenset[str]] = {}
    for character, states in _pairs(not_saw, characters, problems):
        known = seen.get(character) or frozenset(characters[character].state_keys)
        left[character] = left.get(character, known) - states
        if not left[character]:
            problems.append(f"{character} has no state left: all were ruled out, or seen and not seen")
    if problems:
        raise Refusal(Problem("refused", each) for each in dict.fromkeys(problems))
    order = dict.fromkeys((*seen, *left))
    return tuple(Observation(key, left.get(key) or seen[key], key not in seen) for key in order)


def read_characters(words: Sequence[str], characters: Mapping[str, Character]) -> tuple[str, ...]:
    """Return the keys of characters named by words.

    Raises
    ------
    Refusal
        All unknown ones at once, each with the nearest.
    """
    off = [word for word in words if _plain(word) not in characters]
    if off:
        raise Refusal(
            Problem("refused", f"there is no character {word.strip()!r}; {_near(_plain(word), characters)}")
            for word in off
        )
    return tuple(_plain(word) for word in words)


def _pairs(
    said: Iterable[str], characters: Mapping[str, Character], problems: list[str]
) -> Iterable[tuple[str, frozenset[str]]]:
    for text in said:
        word, equals, answer = text.partition("=")
        if not equals:
            problems.append(f"{text!r} is not character=state, as body_plan=torpedo")
            continue
        key = _plain(word)
        if key not in characters:
            problems.append(f"there is no character {word.strip()!r}; {_near(key, characters)}")
            continue
        known = characters[key].state_keys
        states = [_plain(part) for part in answer.split("|")]
        off = [state for state in states if state not in known]
        problems += [f"{key} has no state {state!r}; {_near(state, known)}" for state in off]
        if not off:
            yield key, frozenset(states)


def _plain(word: str) -> str:
    return word.strip().casefold().replace(" ", "_").replace("-", "_")


def _near(word: str, known: Iterable[str]) -> str:
    names = list(known)
    near = nearest(word, names, most=3)
    if near:
        return f"the nearest {'is' if len(near) == 1 else 'are'} {', '.join(near)}"
    return f"known are {', '.join(names)}" if len(names) <= 30 else "--list shows all"
