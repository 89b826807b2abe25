"""The blank tally sheet of an outing: one leaf a haul, to be filled in with a pencil and typed in afterwards.

The front has the haul's head and a line a taxon; the back has the same line numbers again, for lengths, scoops and
remarks. The places stand in the order in which they are typed in.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from haulbook.gear import CONDITIONS, SET_TYPES
from haulbook.gear.shapes import LETTERS
from haulbook.problems import Refusal, unknown

PAPERS = {"a4": "a4", "letter": "us-letter"}
LINES = {"a4": 16, "letter": 14}
"""Lines that a page of each paper has, wide enough for a wet pencil."""
MISSING = "the tally sheet on paper needs the extra 'reports': pip install 'haulbook[reports]'"
COLUMN_WORDS = {
    "back": "back", "kept": "kept", "dead-back": "dead, put back", "dead-kept": "dead, kept",
    "killed-kept": "killed, kept", "killed-back": "killed, back", "back-in-net": "let go in the net",
    "escaped": "escaped", "given": "given", "lost": "lost", "net": "no fate",
}  # fmt: skip
"""Head of each column that a sheet can have for what became of animals."""
MOST_COLUMNS = 6
_UNDRAWN = ("polygon", "rectangle_half_disc")
"""Set types that need more than a pencil on a sheet; they are written by hand."""

_HELP = (
    "how: leave blank where each animal was counted; E by eye; scoops on the back.",
    "Scoops: 12: 52 47 51 says that of 12, three were counted.",
    "0: searched for and none. x: seen, not counted. A slip: strike it with one line and write beside it.",
    "Dead, kept and protected animals are taken out and counted one by one, first.",
    "More lines: another sheet with the same haul number.",
)
_CAUTION = "The permit and the agency decide. Back to the water before anything is written."


@dataclass(frozen=True, slots=True)
class TallySheet:
    """What is printed on the sheets of an outing.

    Attributes
    ----------
    station, outing, day, site : str
        As they stand at the top; empty ones are left to be filled in.
    hauls : int
        One leaf each.
    nets : tuple of str
        Keys, to ring one.
    columns : tuple of str
        Keys of ``COLUMN_WORDS``; at most six, ``other`` always stands beside them.
    buckets : tuple of str
        As ``bucket 1, to keep``.
    looked_for : tuple of str
        Names, each with a box for ``searched, none found``.
    zone : str
        Of the clock.
    invented : bool
    """

    station: str
    outing: str = ""
    day: str = ""
    site: str = ""
    hauls: int = 1
    nets: tuple[str, ...] = ()
    columns: tuple[str, ...] = ("back", "kept", "dead-back", "dead-kept")
    buckets: tuple[str, ...] = ()
    looked_for: tuple[str, ...] = ()
    zone: str = ""
    invented: bool = False


def tally_sheet(sheet: TallySheet, *, paper: str = "a4") -> bytes:
    """Return the sheets as PDF.

    Parameters
    ----------
    sheet : TallySheet
    paper : {"a4", "letter"}

    Raises
    ------
    Refusal
        Another paper, columns that no sheet has or too many of them, or the extra ``reports`` is not installed.
    """
    if paper not in PAPERS:
        raise Refusal(unknown("paper", paper, PAPERS))
    _refuse_columns(sheet.columns)
    try:
        import typst
    except ImportError:
        raise Refusal(MISSING) from None
    template = files("haulbook.publish").joinpath("templates/tally-sheet.typ").read_bytes()
    content = {**sheet_content(sheet, LINES[paper]), "paper": PAPERS[paper]}
    pdf: bytes = typst.compile(template, sys_inputs={"sheet": json.dumps(content)}, ignore_system_fonts=True)
    return pdf


def sheet_content(sheet: TallySheet, lines: int) -> Mapping[str, Any]:
    """Return what stands on the sheets, as plain words."""
    return {
        "station": sheet.station,
        "invented": sheet.invented,
        "top": " · ".join(part for part in (sheet.outing, sheet.day, sheet.site) if part),
        "zone": sheet.zone,
        "hauls": [str(number) for number in range(1, sheet.hauls + 1)],
        "clocks": ["net in the water", "net on the beach", "last animal"],
        "nets": list(sheet.nets),
        "set_types": [one.replace("_", " ") for one in SET_TYPES if one not in _UNDRAWN],
        "letters": [[letter, words] for letter, words in LETTERS.items()],
        "conditions": [[str(one.code), one.words] for one in CONDITIONS.values()],
        "buckets": list(sheet.buckets),
        "columns": [COLUMN_WORDS[column] for column in sheet.columns],
        "lines": lines,
        "looked_for": list(sheet.looked_for),
        "help": list(_HELP),
        "caution": _CAUTION,
    }


def _refuse_columns(columns: tuple[str, ...]) -> None:
    for column in columns:
        if column not in COLUMN_WORDS:
            raise Refusal(unknown("column", column, COLUMN_WORDS))
    if not 1 <= len(columns) <= MOST_COLUMNS:
        raise Refusal(
            f"{len(columns)} columns were chosen; a sheet has room for 1 to {MOST_COLUMNS}, "
            "the rest goes under other, how many and where"
        )
