"""What a typed sheet says: a haul, its lines as numbers of taxa, and all that a person has to mend or answer."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from haulbook.office.read_sheet_head import Head
from haulbook.office.sheet_cells import How
from haulbook.office.typed_sheet import FATES
from haulbook.problems import Problem
from haulbook.taxa.names import Candidate, Match


@dataclass(frozen=True, slots=True)
class Line:
    """What one line of the sheet says.

    Attributes
    ----------
    number : int
        Among the lines of the sheet, from 1.
    name : str
        As written.
    taxon : str
        Key of the pack, or ``?`` and the name as written while it is open.
    stage : str or None
    doubt : bool
        The name carries a mark of doubt.
    counts : tuple of (fate, n)
        Animals that went somewhere, each n at least 1; empty where they were only seen, or none was found.
    how : How
    present : bool
        Seen, not counted.
    lengths : tuple of float
        Millimetres.
    length_type : str
        What was measured; empty without lengths.
    remark : str
    """

    number: int
    name: str
    taxon: str
    stage: str | None
    doubt: bool
    counts: tuple[tuple[str, int], ...]
    how: How
    present: bool = False
    lengths: tuple[float, ...] = ()
    length_type: str = ""
    remark: str = ""

    @property
    def n(self) -> int:
        """All animals of the line."""
        return sum(n for _, n in self.counts)


@dataclass(frozen=True, slots=True)
class AskedName:
    """A name that is not certain, the taxa it is likeliest to be, and the lines it stands in."""

    name: str
    candidates: tuple[Candidate, ...]
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class SumOff:
    """A sum that the sheet has written, and what its lines make."""

    column: str
    written: int
    made: int


@dataclass(frozen=True, slots=True)
class SheetRead:
    """What a sheet says.

    Attributes
    ----------
    head : Head
    lines : tuple of Line
        Those that can be read.
    none_of : tuple of str
        Taxa that were searched for and not found.
    names : mapping of name as written to Match
        How each was understood.
    asked : tuple of AskedName
        Names that somebody has to say.
    problems : tuple of Problem
        ``row`` is the number of the line, ``column`` the place. Kind ``asked`` has to be mended; ``note`` is worth
        knowing.
    sums_off : tuple of SumOff
    """

    head: Head
    lines: tuple[Line, ...]
    none_of: tuple[str, ...]
    names: Mapping[str, Match]
    asked: tuple[AskedName, ...]
    problems: tuple[Problem, ...]
    sums_off: tuple[SumOff, ...]

    @property
    def to_mend(self) -> tuple[Problem, ...]:
        """What stands in the way of entering the sheet."""
        return tuple(problem for problem in self.problems if problem.kind == "asked")

    @property
    def n(self) -> int:
        """All that the lines count."""
        return sum(line.n for line in self.lines)

    def by_fate(self) -> dict[str, int]:
        """Return what went where, in the order of the columns."""
        totals: Counter[str] = Counter()
        for line in self.lines:
            totals.update(dict(line.counts))
        return {fate: totals[fate] for fate in FATES if totals[fate]}
