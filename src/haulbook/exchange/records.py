"""Rows of texts out of some file, before anybody knows what they mean."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from haulbook.problems import Problem


@dataclass(frozen=True, slots=True)
class Records:
    """All rows of one sheet, blank ones included, so that counting them gives a spreadsheet's row numbers.

    Attributes
    ----------
    file, sheet : str, str or None
    records : iterable of list of str
        Read once.
    digest : str
        SHA-256 of the whole file.
    squares : bool
        Whether a short row only lacks empty cells at its end (workbooks), not one in its middle.
    dates : frozenset of str
        Texts that stand for real date or time cells.
    encoding, delimiter : str or None
    problems : tuple of Problem
    """

    file: str
    sheet: str | None
    records: Iterable[list[str]]
    digest: str
    squares: bool = False
    dates: frozenset[str] = frozenset()
    encoding: str | None = None
    delimiter: str | None = None
    problems: tuple[Problem, ...] = ()
