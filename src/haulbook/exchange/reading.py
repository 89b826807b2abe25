"""Tally sheets are read with their map: hauls, what each caught, and all that a person has to look at.

Nothing is guessed: what can be read two ways is asked, what can't be read is refused by file, sheet, row and
column, and what was taken otherwise than written is said.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from haulbook.exchange.answers import Answer, Question, refuse_misfits
from haulbook.exchange.code_list import CodeList
from haulbook.exchange.findings import Findings
from haulbook.exchange.gathering import ROLE_ORDER, Gathered
from haulbook.exchange.remark_fates import RemarkFate
from haulbook.exchange.sheet_catch import Catch, State
from haulbook.exchange.sheet_hauls import SheetHaul
from haulbook.exchange.sheet_lengths import SheetLengths
from haulbook.exchange.sheet_map import SheetMap
from haulbook.exchange.sheet_places import SheetReading
from haulbook.exchange.sources import open_sources
from haulbook.problems import Problem


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """What the sheets say.

    Attributes
    ----------
    sheet_map : SheetMap
    hauls : tuple of SheetHaul
        In the order in which they are first told of.
    catches : tuple of Catch
        One a table of a catch.
    lengths : tuple of SheetLengths
    readings : tuple of SheetReading
    codes : CodeList
    remark_fates : tuple of RemarkFate
        Fates that somebody confirmed out of remarks.
    digests : mapping of file name to SHA-256
    problems : tuple of Problem
        In the order of files and rows.
    questions : tuple of Question
        All that was asked, answered or not.
    """

    sheet_map: SheetMap
    hauls: tuple[SheetHaul, ...]
    catches: tuple[Catch, ...]
    lengths: tuple[SheetLengths, ...]
    readings: tuple[SheetReading, ...]
    codes: CodeList
    remark_fates: tuple[RemarkFate, ...]
    digests: Mapping[str, str]
    problems: tuple[Problem, ...]
    questions: tuple[Question, ...]

    @property
    def rows(self) -> int:
        """Rows of all catches, as they stand in the sheets."""
        return sum(len(catch.table) for catch in self.catches)

    @property
    def animals(self) -> int:
        """Animals counted or estimated; what is asked is not among them."""
        return sum(int(catch.n.sum()) for catch in self.catches)

    @property
    def by_taxon(self) -> dict[str, int]:
        """Animals by name as written, in the order of the sheets; names that were only present have 0."""
        totals: dict[str, int] = {}
        for catch in self.catches:
            told = np.bincount(
                catch.name.codes[catch.state <= State.PRESENT], minlength=len(catch.name.values)
            )
            _add(totals, catch.name.values, catch.name.codes, catch, told)
        return totals

    @property
    def by_haul(self) -> dict[str, int]:
        """Animals by haul key, every haul included."""
        totals = dict.fromkeys((haul.key for haul in self.hauls), 0)
        for catch in self.catches:
            _add(totals, catch.haul.values, catch.haul.codes, catch, None)
        totals.pop("", None)
        return totals

    def as_json(self) -> dict[str, object]:
        """Return what ``haulbook read --json`` prints."""
        by_taxon = self.by_taxon
        return {
            "hauls": len(self.hauls),
            "rows": self.rows,
            "animals": self.animals,
            "taxa": len(by_taxon),
            "by_taxon": by_taxon,
            "by_haul": self.by_haul,
            "problems": [problem.as_json() for problem in self.problems],
        }


def _add(
    totals: dict[str, int], values: Sequence[str], codes: np.ndarray, catch: Catch, told: np.ndarray | None
) -> None:
    sums = np.bincount(codes, weights=catch.n, minlength=len(values))
    for i, value in enumerate(values):
        if told is None or told[i]:
            totals[value] = totals.get(value, 0) + int(sums[i])


def read_sheets(
    paths: Sequence[Path],
    sheet_map: SheetMap,
    answers: Iterable[Answer] = (),
    answers_file: str = "the answers",
) -> Reading:
    """Read tally sheets.

    Parameters
    ----------
    paths : sequence of Path
        The files; each is named by a part of the map.
    sheet_map : SheetMap
    answers : iterable of Answer
        What somebody said to the questions of an earlier reading.
    answers_file : str
        Name to report misfitting answers under.

    Raises
    ------
    Refusal
        Where a file can't be read, a column is neither named nor ignored, or an answer no longer fits.
    """
    answers = tuple(answers)
    sources = open_sources(paths, sheet_map)
    found = Gathered(sheet_map, Findings(answers))
    for role in ROLE_ORDER:
        for source in sources:
            if source.part.role == role:
                found.take(source.table, source.part)
    found.finish()
    found.findings.refuse_answers()
    # Answers about names are met with the pack, and names as written need no pack: see ``entries``.
    refuse_misfits([a for a in answers if a.about != "name"], found.findings.questions, answers_file)
    order = {(source.table.file, source.table.sheet): i for i, source in enumerate(sources)}
    return Reading(
        sheet_map=sheet_map,
        hauls=found.placed,
        catches=tuple(found.catches),
        lengths=tuple(found.lengths),
        readings=tuple(found.readings),
        codes=found.codes,
        remark_fates=tuple(found.remark_fates),
        digests={source.table.file: source.table.digest for source in sources},
        problems=tuple(
            sorted(
                found.findings.problems, key=lambda p: (order.get((p.file or "", p.sheet), -1), p.row or 0)
            )
        ),
        questions=tuple(found.findings.questions),
    )
