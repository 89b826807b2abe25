"""What reading finds on its way: problems by row, questions, and the answers somebody gave to them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from haulbook.exchange.answers import Answer, Question
from haulbook.exchange.table import Column, Table
from haulbook.exchange.toml_keys import OPEN
from haulbook.exchange.trouble import CellTrouble
from haulbook.problems import Kind, Problem, Refusal

WHOLE = "a whole number"
"""Among what an answer can be: a number of animals, 0 or more."""


class Placed(Protocol):
    """Anything that knows where it stands."""

    @property
    def file(self) -> str:
        """Name of the file."""

    @property
    def sheet(self) -> str | None:
        """Name of the sheet."""

    @property
    def row(self) -> int:
        """Row as a spreadsheet counts it."""


class Findings:
    """Gathers problems and questions while sheets are read.

    Parameters
    ----------
    answers : iterable of Answer
        What somebody said to earlier questions; open ones change nothing.
    """

    def __init__(self, answers: Iterable[Answer] = ()) -> None:
        self.problems: list[Problem] = []
        self.questions: list[Question] = []
        self._off: list[Problem] = []
        self._answers = {(answer.about, answer.key): answer.to for answer in answers if not answer.open}

    def tell(
        self, kind: Kind, message: str, table: Table, row: int | None = None, column: str | None = None
    ) -> None:
        """Note one problem in a table."""
        self.problems.append(Problem(kind, message, table.file, table.sheet, row, column))

    def tell_rows(
        self, kind: Kind, message: str, table: Table, at: NDArray[np.int64], column: str | None = None
    ) -> None:
        """Note the same problem in every data row of ``at``."""
        for row in table.rows[at].tolist():
            self.tell(kind, message, table, row, column)

    def tell_at(self, kind: Kind, message: str, place: Placed) -> None:
        """Note one problem where something stands that knows its file, sheet and row."""
        self.problems.append(Problem(kind, message, place.file, place.sheet, place.row))

    def refuse_cells(
        self, read: Sequence[Any], column: Column, table: Table, kind: Kind = "refused"
    ) -> NDArray[np.int64]:
        """Note every row of a column whose cell was read as a trouble; return which data rows those are.

        Parameters
        ----------
        read : sequence
            One result for each of the column's distinct texts.
        """
        bad = np.array([isinstance(value, CellTrouble) for value in read], np.bool_)
        at = np.flatnonzero(bad[column.codes]) if bad.any() else np.zeros(0, np.int64)
        for i in at.tolist():
            self.tell(kind, read[column.codes[i]].message, table, int(table.rows[i]), column.heading)
        return at

    def ask(
        self,
        about: str,
        key: str,
        rows: Sequence[int],
        ask: str,
        table: Table,
        column: str | None = None,
        to: Any = OPEN,
        takes: Collection[str] | None = None,
        told: str | None = None,
    ) -> Any:
        """Ask one question and return what was answered to it, None while it is open.

        An open question is also a problem of kind ``asked``, at its first row, in the words of ``told`` where
        ``ask`` quotes a remark: remarks name people, and problems travel on to pages and reports. An answer that
        is none of ``takes`` (words, and WHOLE for whole numbers) is kept for ``refuse_answers``.
        """
        self.questions.append(Question(about, key, tuple(rows), ask, to))
        answer = self._answers.get((about, key))
        if answer is not None and takes is not None and not _is_one_of(answer, takes):
            self.misfit(key, answer, " or ".join(repr(word) if word != WHOLE else word for word in takes))
            return None
        if answer is None:
            first = rows[0] if rows else None
            more = (
                f" (and on {len(rows) - 1} further row{'s' if len(rows) > 2 else ''})"
                if len(rows) > 1
                else ""
            )
            self.tell("asked", _one_line(told or ask) + more, table, first, column)
        return answer

    def misfit(self, key: str, answer: Any, wanted: str) -> None:
        """Keep an answer that can't be, for ``refuse_answers``."""
        self._off.append(Problem("refused", f"the answer to {key!r} is {answer!r}; it takes {wanted}"))

    def refuse_answers(self) -> None:
        """Raise every answer that was none of the answers there are."""
        if self._off:
            raise Refusal(self._off)


def _is_one_of(answer: Any, takes: Collection[str]) -> bool:
    if isinstance(answer, str):
        return answer in takes and answer != WHOLE
    return WHOLE in takes and type(answer) is int and answer >= 0


def _one_line(ask: str) -> str:
    lines = [line.strip() for line in ask.splitlines()]
    return " ".join(line if line.endswith((".", "?", ":")) else f"{line}." for line in lines if line)
