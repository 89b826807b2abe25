"""The answers file: what a person was asked about a sheet, and what they said.

``--questions C.toml`` writes every question with ``to = "?"``; a person writes the answer in its place;
``--confirm C.toml`` reads the file. The file repeats the words of the sheet, names in remarks included: it
belongs to the people whose sheet it is and is not for passing on.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from haulbook.exchange.toml_keys import OPEN, Keys, load_toml, refuse_problems
from haulbook.problems import Problem, Refusal

ABOUTS = ("fate", "name", "date-order", "haul-key", "repeat", "blank-count", "unit", "sum-row")
"""What a question can be about."""

HEAD = """\
Questions that only somebody who was there, or who knows the sheet, can answer.
Write the answer in the place of "?" and hand this file in with --confirm. What stays "?" stays a question.
The remarks are quoted from your sheet, names of people included: keep this file with the sheet.
"""

TOLD = """\
What the sheet also says. It is not asked, since the rows can stand as they are. To say something about it
all the same, take away the marks before its lines and answer it.
"""


@dataclass(frozen=True, slots=True)
class Answer:
    """One answered (or still open) question.

    Attributes
    ----------
    about : str
        One of ``ABOUTS``.
    key : str
        What the question is about, in words of the sheet: ``file|haul|taxon|remark`` for a fate.
    rows : tuple of int
        All rows the question covers, as a spreadsheet counts them.
    to : object
        The answer: a text, a number, a truth value, or a table such as ``{fate = "dead-back", n = 1}``.
    """

    about: str
    key: str
    rows: tuple[int, ...]
    to: Any

    @property
    def open(self) -> bool:
        """Whether the question, or any part of it, still has no answer."""
        if isinstance(self.to, Mapping):
            return OPEN in self.to.values()
        return bool(self.to == OPEN)


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to ask, as it is written to the answers file.

    Attributes
    ----------
    about, key, rows
        As in ``Answer``.
    ask : str
        The question, one or more lines; written as a comment above it.
    to : object
        ``"?"``, or a table whose values are ``"?"``. Never an answer: a suggestion belongs into ``ask``.
    """

    about: str
    key: str
    rows: tuple[int, ...]
    ask: str
    to: Any = OPEN

    def as_problem(self) -> Problem:
        """Return the question as one of kind ``asked``, at its first row."""
        return Problem("asked", " ".join(self.ask.split()), row=min(self.rows, default=None))


def read_answers(path: Path) -> tuple[Answer, ...]:
    """Read an answers file.

    Raises
    ------
    Refusal
        Where it is not TOML, or holds anything but ``[[answer]]`` tables of about, key, rows and to. All
        problems are reported together.
    """
    problems: list[Problem] = []
    top = Keys(load_toml(path), "", path.name, ("answer",), problems)
    answers = [(table, _answer(table)) for table in top.tables("answer", ("about", "key", "rows", "to"))]
    _note_said_twice(answers)
    refuse_problems(problems)
    return tuple(answer for _, answer in answers)


def write_questions(path: Path, questions: Iterable[Question], told: Iterable[Question] = ()) -> int:
    """Write an answers file with every question open; returns how many.

    Parameters
    ----------
    path : Path
        A new file.
    questions : iterable of Question
    told : iterable of Question
        What was noticed but need not be asked: written commented out, so that it can be answered.

    Raises
    ------
    Refusal
        Where ``path`` exists, since it may hold answers somebody gave, or can't be written.
    """
    if path.exists():
        raise Refusal(
            f"{path} exists and may hold answers; move it away or write the questions to another name"
        )
    asked = [_block(question) for question in questions]
    parts = [_commented(HEAD), *asked]
    beside = [_block(question) for question in told]
    if beside:
        parts += [_commented(TOLD), *(_commented(block) for block in beside)]
    try:
        path.write_text("\n".join(parts), encoding="utf-8", newline="\n")
    except OSError as error:
        raise Refusal(f"{path} could not be written ({error.strerror})") from None
    return len(asked)


def refuse_misfits(
    answers: Iterable[Answer], questions: Iterable[Question], file: str
) -> dict[tuple[str, str], Answer]:
    """Return the given answers by (about, key), after checking that each still fits what the file asks.

    Parameters
    ----------
    answers : iterable of Answer
        As read.
    questions : iterable of Question
        What the same files ask and tell today.
    file : str
        Name of the answers file, for the report.

    Raises
    ------
    Refusal
        Naming every answer whose question the files no longer ask, or ask about other rows. An answer
        left open is no misfit.
    """
    asked = {(question.about, question.key): question for question in questions}
    problems: list[Problem] = []
    given: dict[tuple[str, str], Answer] = {}
    for i, answer in enumerate(answers, start=1):
        question = asked.get((answer.about, answer.key))
        why = None
        if question is None:
            why = f"no longer fits: the file asks nothing about {answer.about} with the key {answer.key!r}"
        elif tuple(sorted(answer.rows)) != tuple(sorted(question.rows)):
            why = (
                f"no longer fits: {answer.key!r} stood on {_rows(answer.rows)}, "
                f"now on {_rows(question.rows)}; ask anew with --questions"
            )
        if why and not answer.open:
            problems.append(Problem("refused", why, file=file, column=f"answer.{i}"))
        elif not answer.open:
            given[answer.about, answer.key] = answer
    if problems:
        raise Refusal(problems)
    return given


def _answer(table: Keys) -> Answer:
    about, key = table.one_of("about", ABOUTS), table.text("key")
    rows = table.found.get("rows", [])
    if not isinstance(rows, list) or not all(type(row) is int and row >= 1 for row in rows):
        table.wrong("rows", "write the rows as whole numbers from 1 on, as [4109, 4110]")
        rows = []
    if "to" not in table.found:
        table.wrong("to", 'is needed: write the answer, or "?" while it is open')
    return Answer(about, key, tuple(rows), table.found.get("to", OPEN))


def _note_said_twice(answers: Iterable[tuple[Keys, Answer]]) -> None:
    seen: dict[tuple[str, str], int] = {}
    for i, (table, answer) in enumerate(answers, start=1):
        first = seen.setdefault((answer.about, answer.key), i)
        if first != i and answer.key:
            table.wrong("key", f"{answer.key!r} was answered before, by answer.{first}; keep one")


def _block(question: Question) -> str:
    import tomlkit

    table = tomlkit.table()
    table["about"], table["key"] = question.about, question.key
    table["rows"] = list(question.rows)
    table["to"] = question.to
    if isinstance(question.to, Mapping):
        table["to"] = tomlkit.inline_table()
        table["to"].update(question.to)
    return f"{_commented(question.ask)}[[answer]]\n{table.as_string()}"


def _commented(text: str) -> str:
    return "".join(f"# {line}\n" if line else "#\n" for line in text.splitlines())


def _rows(rows: tuple[int, ...]) -> str:
    if len(rows) == 1:
        return f"row {rows[0]}"
    shown = ", ".join(str(row) for row in rows[:6])
    return f"rows {shown}{f' and {len(rows) - 6} more' if len(rows) > 6 else ''}"
