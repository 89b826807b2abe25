"""What can be wrong with what somebody gave us, said so that they can mend it.

Every room refuses in the same words and the same shape: what happened, where, how to mend it. Several
problems are reported together, so a reader collects them and raises once.

    Refusal(Exception)      nothing was done; carries one or more Problem
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Kind = Literal["refused", "altered", "asked", "note"]


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is not as it should be, and where.

    Attributes
    ----------
    kind : {"refused", "altered", "asked", "note"}
        ``refused``: not taken in. ``altered``: taken in, but not as written. ``asked``: a person has to
        say. ``note``: taken as written, worth knowing.
    message : str
        What happened and how to mend it, in one or two sentences.
    file, sheet, column : str or None
        Where. ``column`` is the heading as written in the file, or a dotted key of a TOML file.
    row : int or None
        Row as a spreadsheet counts it: the first line of the file is row 1.
    """

    kind: Kind
    message: str
    file: str | None = None
    sheet: str | None = None
    row: int | None = None
    column: str | None = None

    def __str__(self) -> str:
        where = [
            part
            for part in (
                self.file,
                f"sheet {self.sheet}" if self.sheet else None,
                f"row {self.row}" if self.row is not None else None,
                f"column {self.column}" if self.column else None,
            )
            if part
        ]
        return f"{', '.join(where)}: {self.message}" if where else self.message

    def as_json(self) -> dict[str, str | int | None]:
        """Return the one JSON shape in which every problem travels."""
        return {
            "file": self.file,
            "sheet": self.sheet,
            "row": self.row,
            "column": self.column,
            "kind": self.kind,
            "message": self.message,
        }


class Refusal(Exception):
    """Something was asked that can't be done as asked; nothing was changed.

    Parameters
    ----------
    problems : str or iterable of Problem
        A sentence, or several problems found together.
    """

    def __init__(self, problems: str | Problem | Iterable[Problem]) -> None:
        if isinstance(problems, str):
            problems = (Problem("refused", problems),)
        elif isinstance(problems, Problem):
            problems = (problems,)
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


def nearest(word: str, known: Iterable[str], *, most: int = 1) -> list[str]:
    """Return the known words most like ``word``, likest first; empty when nothing is near."""
    by_fold = {name.casefold(): name for name in known}
    return [
        by_fold[fold]
        for fold in difflib.get_close_matches(word.casefold(), list(by_fold), n=most, cutoff=0.5)
    ]


def unknown(what: str, word: str, known: Iterable[str]) -> str:
    """Return the sentence that refuses ``word`` and names the nearest known one, or all when they are few."""
    names = sorted(known)
    near = nearest(word, names)
    if near:
        return f"there is no {what} {word!r}; the nearest is {near[0]!r}"
    if len(names) <= 12:
        return f"there is no {what} {word!r}; known are {', '.join(names)}"
    return f"there is no {what} {word!r}, and none is spelt like it"
