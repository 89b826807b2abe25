"""Propose the unit of a length, an area or a depth, and what a code for the haul's success means."""

from __future__ import annotations

from statistics import median

from haulbook.exchange.column_roles import known_words
from haulbook.exchange.headings import LENGTH_TYPES
from haulbook.exchange.propose_columns import Guess
from haulbook.exchange.propose_part import Making, Word
from haulbook.exchange.propose_words import CONDITION_WORDS
from haulbook.exchange.toml_keys import OPEN

LONGEST_LIKELY_CM = 30
"""Most animals of a small seine are shorter: a median above it is in mm. Common practice, no source."""

_UNITS_ASKED = {"length": ("mm", "cm"), "area": ("m2", "100m2", "ha"), "depth": ("m", "ft")}


def propose_length(making: Making, guess: Guess) -> None:
    """Say in which unit lengths are, where the heading or the lengths themselves leave no doubt."""
    if "length_mm" not in known_words(making.role.role):
        making.leave_out(guess.heading, "a length, but not of an animal")
        return
    unit, why, numbers = guess.unit, guess.why, making.profile(guess).numbers
    if unit is None and numbers:
        if median(numbers) <= LONGEST_LIKELY_CM:
            _unit_unsaid(making, guess)
            return
        why = f"no unit said; half of them are above {median(numbers):g}, so they can only be mm"
        making.note(
            f"has no unit; read as mm, since half of them are above {median(numbers):g}", guess.heading
        )
    making.column(guess.heading, f"length_{unit or 'mm'}", why)
    if guess.said in LENGTH_TYPES and "length_type" not in making.draft.words:
        making.say("length_type", LENGTH_TYPES[guess.said], f"the heading {guess.heading!r} says so")


def propose_quantity(making: Making, guess: Guess) -> None:
    """Say in which unit an area or a depth is."""
    known = known_words(making.role.role)
    word = f"{guess.word}_{guess.unit}"
    if word in known:
        making.column(guess.heading, word, guess.why)
    elif guess.unit is None and f"{guess.word}_{_UNITS_ASKED[guess.word][0]}" in known:
        _leave_until_said(making, guess)
    else:
        making.leave_out(guess.heading, f"{guess.why}, but not for a file of {making.role.role}")


def propose_of_set(making: Making, guess: Guess) -> None:
    """Say what a column of one of several sets is, where sets stand side by side in a row."""
    words = making.sets.setdefault(guess.set_no or "", [])
    word = f"{guess.word}_{guess.unit}" if guess.unit else guess.word
    if word in known_words(making.role.role):
        words.append(Word(guess.heading, word, guess.why))
    elif guess.word in ("area", "depth"):
        _leave_until_said(making, guess)
    else:
        making.leave_out(guess.heading, "of one set, but not known what")


def propose_condition(making: Making, guess: Guess) -> None:
    """Take codes 1 2 3 4 5 9 of a condition column as ours; ask what any other code means."""
    values = sorted(making.profile(guess).values)
    if "condition" not in known_words(making.role.role):
        making.leave_out(guess.heading, "how the set went, but not for a file of this kind")
    elif guess.word == "condition" and set(values) <= set("123459"):
        making.column(guess.heading, "condition", guess.why)
    else:
        ours = ", ".join(f"{code} {words}" for code, words in CONDITION_WORDS.items())
        said = ", ".join(values[:8])
        where = f"move it to columns as condition and say under conditions what it is of {ours}"
        making.leave_out(guess.heading, f"what do {said} mean? To have it read, {where}")
        making.ask(f"how did the set go where {said} stands? To have it read, {where}", guess.heading)


def _unit_unsaid(making: Making, guess: Guess) -> None:
    """Leave out lengths without a unit where numbers stand apart; else nothing is read until it is said."""
    if "n" in making.draft.words and making.role.role == "catch":
        _leave_until_said(making, guess)
        return
    choices = _choices(guess)
    making.column(guess.heading, OPEN, f"in which unit? {choices}")
    making.ask(f"in which unit are its lengths? Say {choices}", guess.heading)


def _leave_until_said(making: Making, guess: Guess) -> None:
    choices = _choices(guess)
    where = f"the columns of set {guess.set_no}" if guess.set_no else "columns"
    making.leave_out(guess.heading, f"in which unit? Move it to {where} as {choices}")
    making.ask(
        f"in which unit is the {guess.word}? Move it from ignore to {where} as {choices}", guess.heading
    )


def _choices(guess: Guess) -> str:
    return " or ".join(f"{guess.word}_{unit}" for unit in _UNITS_ASKED[guess.word])
