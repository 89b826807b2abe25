"""One file's part of a proposed map, and what gathers it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from haulbook.exchange.profile import Profile
from haulbook.exchange.propose_columns import Draft, Guess
from haulbook.exchange.propose_roles import RoleGuess
from haulbook.problems import Kind, Problem

DATED = ("hauls", "effort", "catch", "lengths", "environment")
"""Roles of files whose rows have a day."""


@dataclass(frozen=True, slots=True)
class Line:
    """One setting of a file's part: key, value and reason, and other values to choose from as comments."""

    key: str
    value: Any
    why: str = ""
    choices: tuple[str, ...] = ()
    off: bool = False


@dataclass(frozen=True, slots=True)
class Word:
    """One word of the sheet and what it is for us; ``"?"`` where that has to be said."""

    said: str
    ours: Any
    why: str = ""


@dataclass(frozen=True)
class FileProposal:
    """One ``[[file]]`` of the map.

    Attributes
    ----------
    draft : Draft
    role : RoleGuess
    lines : tuple of Line
    tables : tuple of (name, words)
        ``columns``, ``stages``, ``fates``, ``conditions``.
    sets : tuple of (number, words)
    asked : tuple of Problem
    """

    draft: Draft
    role: RoleGuess
    lines: tuple[Line, ...]
    tables: tuple[tuple[str, tuple[Word, ...]], ...]
    sets: tuple[tuple[str, tuple[Word, ...]], ...]
    asked: tuple[Problem, ...]

    def line(self, key: str) -> Line | None:
        """Return the setting with this key, unless it is only offered."""
        return next((line for line in self.lines if line.key == key and not line.off), None)


class Making:
    """Gathers one file's lines, words and questions."""

    def __init__(self, draft: Draft, role: RoleGuess) -> None:
        self.draft, self.role = draft, role
        self.lines: list[Line] = []
        self.tables: dict[str, list[Word]] = {}
        self.sets: dict[str, list[Word]] = {}
        self.ignore: list[Word] = []
        self.asked: list[Problem] = []

    def say(
        self, key: str, value: Any, why: str = "", choices: Iterable[str] = (), *, off: bool = False
    ) -> None:
        """Write a setting; ``off`` only offers it."""
        self.lines.append(Line(key, value, why, tuple(choices), off))

    def line(self, key: str) -> Line | None:
        """Return the setting with this key, offered or not."""
        return next((line for line in self.lines if line.key == key), None)

    def column(self, heading: str, word: str, why: str) -> None:
        """Say what a column is."""
        self.tables.setdefault("columns", []).append(Word(heading, word, why))

    def leave_out(self, heading: str, why: str) -> None:
        """Say that a column is not read."""
        self.ignore.append(Word(heading, None, why))

    def ask(
        self, message: str, column: str | None = None, row: int | None = None, kind: Kind = "asked"
    ) -> None:
        """Ask something of a person, or note it."""
        table = self.draft.table
        self.asked.append(Problem(kind, message, table.file, table.sheet, row, column))

    def note(self, message: str, column: str | None = None) -> None:
        """Say what is worth knowing and asks for nothing."""
        self.ask(message, column, kind="note")

    def profile(self, guess: Guess) -> Profile:
        """Return what stands in the column of a guess."""
        return self.draft.profiles[guess.heading]
