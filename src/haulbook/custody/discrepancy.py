"""One thing in a book that can't be, or that somebody has to say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal[
    "below-zero",
    "count-differs",
    "double-count",
    "started-twice",
    "zero-and-count",
    "late-line",
    "gap",
    "fork",
    "clock",
    "name-open",
]


@dataclass(frozen=True, slots=True)
class Discrepancy:
    """One thing that can't be, or that somebody has to say.

    Attributes
    ----------
    kind, subject : str
        Together the key under which it is settled.
    words : str
        What was expected, what was found, by how much and in which direction, and how to mend it.
    outing : str or None
        Whose lead has to see it.
    entries : tuple of str
        Ids of the entries behind it.
    expected, found : int or None
        Where it is about numbers.
    settled : str or None
        The answer of the ``settled`` entry, where there is one.
    """

    kind: Kind
    subject: str
    words: str
    outing: str | None = None
    entries: tuple[str, ...] = ()
    expected: int | None = None
    found: int | None = None
    settled: str | None = None

    @property
    def key(self) -> str:
        """Kind and subject, joined by a colon."""
        return f"{self.kind}:{self.subject}"
