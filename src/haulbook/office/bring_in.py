"""What sheets would bring into the book: read with their map and answers, before anything is entered."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from haulbook.custody.fates import Fate
from haulbook.custody.lines import stage_and_unit
from haulbook.custody.places import SINKS
from haulbook.exchange.answers import Answer, Question
from haulbook.exchange.catch_lines import KEPT, lines_of
from haulbook.exchange.entries import device_of
from haulbook.exchange.map_toml import read_sheet_map
from haulbook.exchange.outings import place_hauls
from haulbook.exchange.reading import Reading, read_sheets
from haulbook.exchange.sheet_map import SheetMap
from haulbook.exchange.sheet_names import Names, name_questions
from haulbook.office.say import said
from haulbook.problems import Problem, Refusal
from haulbook.taxa import Pack

MOST_CHOICES = 4
"""Animals that are offered for a name that is not certain."""


@dataclass(frozen=True, slots=True)
class TaxonLine:
    """Animals of one taxon: out of the sea, and where they went."""

    taxon: str
    name: str
    n: int
    by_fate: Mapping[Fate, int]

    @property
    def open(self) -> bool:
        """Whether it is open which taxon it is."""
        return self.taxon.startswith("?")


@dataclass(frozen=True, slots=True)
class OutingLine:
    """One outing that the sheets make: hauls by key of the book and label of the sheet, and their animals."""

    outing: str
    site: str
    hauls: Mapping[str, str]
    n: int


@dataclass(frozen=True, slots=True)
class Asked:
    """One question: ``options`` are taxa for a name (key, common name), ``answer`` what was said; None while open."""

    question: Question
    answer: Any
    options: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Brought:
    """What sheets would bring.

    Attributes
    ----------
    rows : int
        Of all catches.
    n : int
        Individuals out of the sea.
    by_fate : mapping of Fate to int
    taxa : tuple of TaxonLine
        Most animals first.
    other_units : mapping of unit to int
        What is no individual: egg masses, colonies.
    outings : tuple of OutingLine
    problems : tuple of Problem
    asked : tuple of Asked
        Open ones first, in the order of the sheets.
    unfit : tuple of Answer
        Answers given before that nothing asks for any more; they are not used.
    devices : mapping of file to device
    """

    rows: int
    n: int
    by_fate: Mapping[Fate, int]
    taxa: tuple[TaxonLine, ...]
    other_units: Mapping[str, int]
    outings: tuple[OutingLine, ...]
    problems: tuple[Problem, ...]
    asked: tuple[Asked, ...]
    unfit: tuple[Answer, ...]
    devices: Mapping[str, str]

    @property
    def accounted(self) -> int:
        """Individuals that the sheets say went somewhere."""
        return self.n - self.by_fate.get(Fate.UNACCOUNTED, 0)

    @property
    def open_questions(self) -> int:
        """How many questions nobody answered."""
        return sum(one.answer is None for one in self.asked)


def read_with(
    paths: Sequence[Path], map_file: Path, answers: Iterable[Answer], pack: Pack
) -> tuple[Reading, tuple[Answer, ...], tuple[Answer, ...]]:
    """Read sheets with their map and those answers that fit what is asked.

    Returns
    -------
    Reading, answers that fit, answers that fit no more

    Raises
    ------
    Refusal
        With everything that stands in the way: of the map, of the files, or that the map is for other taxa than the
        station's.
    """
    sheet_map = read_sheet_map(map_file)
    if sheet_map.pack != pack.key:
        message = f"the map is for the taxa of {sheet_map.pack}, this station's book has those of {pack.key}"
        raise Refusal(Problem("refused", message, map_file.name, column="pack"))
    waiting = [answer for answer in answers if not answer.open]
    try:
        return _read(paths, sheet_map, waiting, pack), tuple(waiting), ()
    except Refusal:
        return _read_step_by_step(paths, sheet_map, waiting, pack)


def _read(paths: Sequence[Path], sheet_map: SheetMap, answers: Sequence[Answer], pack: Pack) -> Reading:
    reading = read_sheets(paths, sheet_map, answers)
    written = {name for catch in reading.catches for name in catch.name.values}
    if strange := [a for a in answers if a.about == "name" and a.key not in written]:
        raise Refusal(f"no name {strange[0].key!r} stands in the sheets")
    Names(reading.codes, pack, answers)
    return reading


def _read_step_by_step(
    paths: Sequence[Path], sheet_map: SheetMap, answers: Sequence[Answer], pack: Pack
) -> tuple[Reading, tuple[Answer, ...], tuple[Answer, ...]]:
    """Take answers as the questions for them come up; one answer can bring up the question for another."""
    fit: list[Answer] = []
    unfit: list[Answer] = []
    reading = _read(paths, sheet_map, fit, pack)
    while True:
        asked = {(one.about, one.key) for one in reading.questions}
        asked |= {("name", name) for catch in reading.catches for name in catch.name.values}
        waiting = [one for one in answers if one not in fit and one not in unfit]
        now = [one for one in waiting if (one.about, one.key) in asked]
        if not now:
            return reading, tuple(fit), (*unfit, *waiting)
        for answer in now:
            try:
                reading = _read(paths, sheet_map, [*fit, answer], pack)
                fit.append(answer)
            except Refusal:
                unfit.append(answer)


def look_through(
    reading: Reading, pack: Pack, answers: Sequence[Answer], unfit: Sequence[Answer] = ()
) -> Brought:
    """Return what a reading would bring.

    Parameters
    ----------
    reading : Reading
        Made with the same answers.
    pack : Pack
    answers, unfit : sequence of Answer
        Those that fit, and those that are not used.
    """
    names = Names(reading.codes, pack, answers)
    totals: dict[str, Counter[Fate]] = {}
    by_haul: Counter[str] = Counter()
    other: Counter[str] = Counter()
    default = reading.sheet_map.default_fate or "net"
    for catch in reading.catches:
        for line in lines_of(catch, names, default, reading.remark_fates):
            for move in line.moves:
                _stage, unit = stage_and_unit(move)
                if unit != "individual":
                    other[unit] += move["n"]
                    continue
                totals.setdefault(move["taxon"], Counter())[_fate(move["to"])] += move["n"]
                by_haul[line.haul] += move["n"]
    by_fate: Counter[Fate] = Counter()
    for fates in totals.values():
        by_fate.update(fates)
    return Brought(
        rows=reading.rows,
        n=sum(by_fate.values()),
        by_fate={fate: by_fate[fate] for fate in Fate if by_fate[fate]},
        taxa=tuple(
            sorted((_line(key, fates, pack) for key, fates in totals.items()), key=lambda one: -one.n)
        ),
        other_units=dict(other),
        outings=_outings(reading, by_haul),
        problems=reading.problems,
        asked=_asked(reading, pack, answers),
        unfit=tuple(unfit),
        devices={file: device_of(digest) for file, digest in reading.digests.items()},
    )


def _fate(place: str) -> Fate:
    if place == KEPT:
        return Fate.RETAINED_ALIVE
    return SINKS.get(place, Fate.UNACCOUNTED)


def _line(taxon: str, fates: Counter[Fate], pack: Pack) -> TaxonLine:
    return TaxonLine(
        taxon, said(taxon, pack), sum(fates.values()), {fate: fates[fate] for fate in Fate if fates[fate]}
    )


def _outings(reading: Reading, by_haul: Mapping[str, int]) -> tuple[OutingLine, ...]:
    hauls: dict[str, dict[str, str]] = {}
    sites: dict[str, str] = {}
    animals: Counter[str] = Counter()
    for placed in place_hauls(reading.hauls).values():
        hauls.setdefault(placed.outing, {})[placed.key] = placed.haul.key
        sites.setdefault(placed.outing, placed.haul.site or "")
        animals[placed.outing] += by_haul.get(placed.haul.key, 0)
    return tuple(OutingLine(key, sites[key], hauls[key], animals[key]) for key in sorted(hauls))


def _asked(reading: Reading, pack: Pack, answers: Sequence[Answer]) -> tuple[Asked, ...]:
    plain = Names(reading.codes, pack)  # without the answers: what was chosen can be chosen otherwise
    given = {(answer.about, answer.key): answer.to for answer in answers}
    own = [one for one in reading.questions if one.about == "name"]
    questions = [*(one for one in reading.questions if one.about != "name"), *own]
    questions += name_questions(reading, pack, [a for a in answers if a.about == "name"])
    known = {(one.about, one.key) for one in questions}
    rows = {
        about_key: next((a.rows for a in answers if (a.about, a.key) == about_key), ()) for about_key in given
    }
    questions += [  # names that were answered are not asked again, and their answer can still be changed
        Question("name", key, rows["name", key], f"{key!r} was said to be {given['name', key]!r}.")
        for about, key in given
        if about == "name" and (about, key) not in known
    ]
    found = [
        Asked(one, given.get((one.about, one.key)), _options(one, plain, pack) if one.about == "name" else ())
        for one in questions
    ]
    return tuple(sorted(found, key=lambda one: one.answer is not None))


def _options(question: Question, names: Names, pack: Pack) -> tuple[tuple[str, str], ...]:
    likely = names.of(question.key).candidates[:MOST_CHOICES]
    return tuple((one.taxon, f"{said(one.taxon, pack)} ({one.scientific_name})") for one in likely)
