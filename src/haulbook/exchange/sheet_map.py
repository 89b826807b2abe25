"""What the columns of somebody's tally sheets are: the sheet map, as plain values.

``map_toml.read_sheet_map`` reads one; its keys are explained one by one in ``docs/reference/sheet-map.md``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from typing import Literal
from zoneinfo import ZoneInfo

from haulbook.exchange.column_roles import WORDS

Role = Literal["hauls", "effort", "catch", "lengths", "environment", "sites", "names", "skip"]
Rows = Literal["taxa", "animals", "wide"]
BlankN = Literal["ask", "one-if-length", "present", "estimate", "zero"]
Basis = Literal["counted", "judged"]

ROLES: tuple[str, ...] = tuple(WORDS)
ROWS = ("taxa", "animals", "wide")
BLANK_N = ("ask", "one-if-length", "present", "estimate", "zero")
STAGES = ("larva", "young", "adult", "egg mass", "")
FATES = (
    "back", "back-in-net", "escaped", "kept", "given", "killed-kept", "killed-back", "dead-kept", "dead-back",
    "lost", "net",
)  # fmt: skip
"""Places that animals of a sheet can have gone to; ``kept`` is alive in a bucket to keep."""
CONDITIONS = (1, 2, 3, 4, 5, 9)
MISSING = ("n/a", "na")
"""Words for "no value" where the map names none; an empty cell always is one."""

DATE, SET = "date", "set"
"""Words of ``haul_from`` for the day as read (where the map has a date) and the ``no`` of a set block (where it
has sets); else they are headings as any other."""


@dataclass(frozen=True, slots=True)
class DateMap:
    """Where the day stands: one column and its form, or two or three columns (year, month, day)."""

    columns: tuple[str, ...]
    form: str | None


@dataclass(frozen=True, slots=True)
class TimeMap:
    """Where the clock time of landing stands, its form, and the zone of the clock."""

    column: str
    form: str
    zone: ZoneInfo


@dataclass(frozen=True, slots=True)
class SetMap:
    """One of several sets that stand side by side in one row: its number and what its columns are."""

    no: str
    columns: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class FileMap:
    """What one file (or sheet of a workbook) holds.

    Attributes
    ----------
    name : str
        Name or glob of the file.
    role, rows
        What it holds, and what a row of a catch is.
    sheet, header, encoding, delimiter
        How to read it.
    columns : mapping of heading to word
        See ``column_roles``.
    ignore : tuple of str
        Headings that are not read at all.
    taxa : tuple of str
        Headings or globs of the columns that are taxa, where ``rows`` is ``wide``.
    haul_from : tuple of str
        Headings (or ``date``, ``set``) whose cells together, joined by ``/``, are the haul's key.
    sets : tuple of SetMap
    date, time
    stages, fates : mapping of the sheet's word to ours
    conditions : mapping of the sheet's code to 1 2 3 4 5 9
    missing : tuple of str
    nothing : tuple of str
        Names that say that the haul held nothing (``-``, ``No fish``).
    blank_n : str
        What a blank number means.
    basis : {"counted", "judged"}
        How the numbers of this file came about, where no ``estimated`` column says more.
    negate : tuple of {"lat", "lon"}
    length_type : str or None
        Of all lengths of the file.
    set_type : str or None
        Geometry of all sets of the file, as in ``haulbook.gear``.
    instrument : str
        Key of what the readings were taken with.
    carry_remarks : bool
        Whether remarks go into the book. They name people, so not unless somebody says so.
    """

    name: str
    role: Role
    rows: Rows = "taxa"
    sheet: str | None = None
    header: int = 1
    encoding: str | None = None
    delimiter: str | None = None
    columns: Mapping[str, str] = field(default_factory=dict)
    ignore: tuple[str, ...] = ()
    taxa: tuple[str, ...] = ()
    haul_from: tuple[str, ...] = ()
    sets: tuple[SetMap, ...] = ()
    date: DateMap | None = None
    time: TimeMap | None = None
    stages: Mapping[str, str] = field(default_factory=dict)
    fates: Mapping[str, str] = field(default_factory=dict)
    conditions: Mapping[str, int] = field(default_factory=dict)
    missing: tuple[str, ...] = MISSING
    nothing: tuple[str, ...] = ()
    blank_n: BlankN = "ask"
    basis: Basis = "counted"
    negate: tuple[str, ...] = ()
    length_type: str | None = None
    set_type: str | None = None
    instrument: str = "not stated"
    carry_remarks: bool = False

    def heading_of(self, word: str) -> str | None:
        """Return the heading of the column that is ``word``, or None."""
        return next((heading for heading, said in self.columns.items() if said == word), None)

    @property
    def unread(self) -> tuple[str, ...]:
        """Headings that need not be read: those to ignore, and people."""
        return (*self.ignore, *(heading for heading, word in self.columns.items() if word == "person"))

    @property
    def named(self) -> frozenset[str]:
        """Every heading that the map names or ignores, globs of ``taxa`` apart."""
        return frozenset(
            (
                *self.columns,
                *self.ignore,
                *(self.date.columns if self.date else ()),
                *((self.time.column,) if self.time else ()),
                *(heading for heading in self.haul_from if not self.is_word(heading)),
                *(heading for block in self.sets for heading in block.columns),
            )
        )

    def is_word(self, piece: str) -> bool:
        """Return whether a piece of ``haul_from`` is the day as read or the number of a set, not a heading."""
        return (piece == DATE and self.date is not None) or (piece == SET and bool(self.sets))

    def is_taxon(self, heading: str) -> bool:
        """Return whether a column is a taxon of a wide sheet."""
        return heading not in self.named and any(fnmatchcase(heading, glob) for glob in self.taxa)


@dataclass(frozen=True, slots=True)
class SheetMap:
    """The whole map: pack, fate of animals of which the sheet says nothing, and one part a file."""

    pack: str
    files: tuple[FileMap, ...]
    default_fate: str | None = None
    name: str = "the sheet map"

    def of_file(self, name: str) -> tuple[FileMap, ...]:
        """Return the parts that name a file; several only for a workbook, one a sheet."""
        return tuple(part for part in self.files if fnmatchcase(name, part.name))
