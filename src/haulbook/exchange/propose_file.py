"""From what the columns of one file seem to be to its part of the map, line by line, each with its reason."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from haulbook.exchange.column_roles import known_words
from haulbook.exchange.profile import MISSING_WORDS, NOTHING_WORDS, TOTAL_WORDS
from haulbook.exchange.propose_columns import IGNORE, TAXON, Draft, Guess
from haulbook.exchange.propose_days import propose_day, propose_day_part, propose_time
from haulbook.exchange.propose_joins import HAUL, HAUL_NO, Key, headings_of
from haulbook.exchange.propose_measures import (
    propose_condition,
    propose_length,
    propose_of_set,
    propose_quantity,
)
from haulbook.exchange.propose_part import DATED, FileProposal, Line, Making, Word
from haulbook.exchange.propose_roles import RoleGuess
from haulbook.exchange.propose_words import fate_words, stage_words
from haulbook.exchange.toml_keys import OPEN

_UNCODED = frozenset({IGNORE, "name", "person", "remark"})
"""Columns in which a word for "no value" says nothing about the map."""


def file_proposal(draft: Draft, role: RoleGuess, key: Key, zone: str | None) -> FileProposal:
    """Return the part of the map for one file."""
    making = Making(draft, role)
    if role.role != "skip":
        propose_day(making)
        propose_time(making, zone)
        key_here = _key(making, key)
        for guess in draft.guesses:
            _column(making, guess, key_here)
        _blanks(making)
        if making.ignore:
            making.say("ignore", making.ignore)
    return FileProposal(
        draft,
        role,
        tuple(making.lines),
        tuple((name, tuple(words)) for name, words in making.tables.items() if words),
        tuple((no, tuple(words)) for no, words in making.sets.items()),
        tuple(making.asked),
    )


def _key(making: Making, key: Key) -> frozenset[str]:
    """Say what the haul's key is made of; return the headings in it."""
    role = making.role.role
    headings = headings_of(making.draft, key) if role in DATED and key else None
    if headings is None:
        return frozenset()
    if key != (HAUL,):
        making.say("haul_from", list(headings), "together they name a haul, here and in the files beside it")
        if not {HAUL, HAUL_NO} & set(key):
            said = " and ".join(part.removeprefix("=") for part in key)
            making.note(f"no column numbers the hauls: everything of one {said} is read as one haul")
    return frozenset(headings)


def _column(making: Making, guess: Guess, key: frozenset[str]) -> None:
    """Say what one column is, as far as a file of this role can have it."""
    role, word = making.role.role, guess.word
    if word in _PROPOSERS:
        _PROPOSERS[word](making, guess)
    elif guess.set_no:
        propose_of_set(making, guess)
    elif word in ("area", "depth"):
        propose_quantity(making, guess)
    elif word == TAXON:
        making.lines.append(Line("taxa", guess.heading, guess.why))
    elif word == HAUL and guess.heading in key and making.line("haul_from"):
        if HAUL_NO not in making.draft.words:
            _take(making, guess, HAUL_NO)
    elif word == "scientific" and "name" not in making.draft.words:
        _take(making, guess, "name")
    elif word == "estimated" and "n" not in making.draft.words and role == "catch":
        _take(making, guess, "n")
        making.say("basis", "judged", f"the only numbers are headed {guess.heading!r}")
    elif word != IGNORE and word in known_words(role):
        _take(making, guess, word)
    elif guess.heading not in key:
        why = guess.why if word == IGNORE else f"{guess.why}, but not for a file of {role}"
        making.leave_out(guess.heading, why)


_PROPOSERS: Mapping[str, Callable[[Making, Guess], None]] = {
    **dict.fromkeys(("date", "time", "year", "month", "day"), propose_day_part),
    **dict.fromkeys(("success", "condition"), propose_condition),
    "length": propose_length,
}


def _take(making: Making, guess: Guess, word: str) -> None:
    making.column(guess.heading, word, guess.why)
    profile = making.profile(guess)
    if word == "stage":
        _words(making, guess, "stages", stage_words(profile.values))
    elif word == "fate":
        _words(making, guess, "fates", fate_words(profile.values))
    elif word == "lon" and profile.numbers and profile.numbers[0] > 0:
        choices = ('["lon"]  # west of Greenwich', "[]  # east of it")
        making.say("negate", [OPEN], "all longitudes are positive", choices)
        making.ask(
            f"all longitudes are positive, as {profile.numbers[0]:g}: east of Greenwich, or west and written "
            "without the sign? Say negate in the map",
            guess.heading,
        )
    elif word == "name" and making.role.role != "names":
        _nothing(making, guess)
        _sums(making, guess)
    elif word == "person":
        making.note("names people; it stays unread and is never passed on", guess.heading)


def _words(making: Making, guess: Guess, table: str, words: Iterable[tuple[str, Any, str]]) -> None:
    found = [Word(*word) for word in words]
    making.tables.setdefault(table, []).extend(found)
    if unsaid := [word.said for word in found if word.ours == OPEN]:
        shown = ", ".join(map(repr, unsaid[:8])) + (" ..." if len(unsaid) > 8 else "")
        making.ask(f"what do {shown} mean? Say it under {table} in the map", guess.heading)


def _nothing(making: Making, guess: Guess) -> None:
    said = (text.strip() for text in making.profile(guess).column.values)
    nothing = [text for text in said if text.casefold() in NOTHING_WORDS]
    if nothing:
        making.say("nothing", nothing, "stands where a haul held nothing")


def _sums(making: Making, guess: Guess) -> None:
    column = making.profile(guess).column
    for code, text in enumerate(column.values):
        if text.strip().casefold().rstrip(":") in TOTAL_WORDS:
            row = int(making.draft.table.rows[int(np.argmax(column.codes == code))])
            making.ask(
                f"{text.strip()!r} looks like a sum; reading asks whether it is one", guess.heading, row
            )


def _blanks(making: Making) -> None:
    """Say which words stand for "no value", and what a row without a number means."""
    used = [making.profile(guess) for guess in making.draft.guesses if guess.word not in _UNCODED]
    words = dict.fromkeys(word for profile in used for word in profile.missing_words)
    if words and making.role.role != "names":
        making.say("missing", ["", *words], "stand where a number or word is missing")
    number = making.draft.of("n")
    if making.role.role == "catch" and number is not None:
        _blank_numbers(making, number)


def _blank_numbers(making: Making, number: Guess) -> None:
    blank = _blank_rows(making, number)
    if not blank.any():
        return
    length = making.draft.of("length")
    if length is not None and not (blank & _blank_rows(making, length)).any():
        making.say("blank_n", "one-if-length", "every row without a number has a length: one measured animal")
        return
    choices = ('"present"  # seen, not counted', '"zero"', '"one-if-length"', '"estimate"')
    rows = int(blank.sum())
    making.say("blank_n", "ask", f"rows without a number: {rows}; each is asked on reading", choices)
    making.ask(
        f"rows without a number: {rows}, this is the first. Seen and not counted, one, or none? "
        "Say blank_n in the map, or answer each on reading",
        number.heading,
        int(making.draft.table.rows[int(np.argmax(blank))]),
    )


def _blank_rows(making: Making, guess: Guess) -> NDArray[np.bool_]:
    column = making.draft.table.columns[guess.heading]
    blank = [not text.strip() or text.strip().casefold() in MISSING_WORDS for text in column.values]
    return np.array(blank, dtype=np.bool_)[column.codes]
