"""Reads a typed sheet, and gathers all that a person has to mend or answer in it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from haulbook.exchange.cells import CellTrouble
from haulbook.exchange.joins import OWN
from haulbook.exchange.station_toml import Station
from haulbook.office.read_sheet_head import read_head
from haulbook.office.sheet_cells import (
    PRESENT,
    How,
    read_how,
    read_length_type,
    read_lengths,
    read_number,
    read_stage,
)
from haulbook.office.sheet_read import AskedName, Line, SheetRead, SumOff
from haulbook.office.typed_sheet import ALL, NONE, TypedSheet, any_text
from haulbook.problems import Problem
from haulbook.taxa import Pack
from haulbook.taxa.names import Match, resolve

MOST_CHOICES = 4
"""Taxa that are offered for a name that is not certain."""


def read_typing(
    sheet: TypedSheet,
    *,
    pack: Pack,
    station: Station,
    day: str,
    zone: str,
    answers: Mapping[str, str] | None = None,
) -> SheetRead:
    """Read a typed sheet.

    Parameters
    ----------
    sheet : TypedSheet
    pack : Pack
    station : Station
        For its sites, nets and instruments.
    day : str
        Local day of the outing, ``2027-05-14``.
    zone : str
        IANA zone of a sheet that names no site.
    answers : mapping of name to taxon, optional
        What somebody said to names that are not certain: a key of the pack, or ``own`` where the name stays open as it
        was written. Names are met without regard to case.
    """
    reader = _Reader(sheet, pack, {name.casefold(): taxon for name, taxon in (answers or {}).items()})
    head, problems = read_head(sheet.head, station, day, zone)
    lines = tuple(reader.lines())
    none_of = tuple(reader.none_of())
    sums_off = tuple(_sums_off(sheet, lines, reader.problems))
    return SheetRead(
        head=head,
        lines=lines,
        none_of=none_of,
        names=reader.names,
        asked=tuple(reader.asked()),
        problems=(*problems, *reader.problems),
        sums_off=sums_off,
    )


class _Reader:
    """Reads lines, and gathers what is off."""

    def __init__(self, sheet: TypedSheet, pack: Pack, answers: Mapping[str, str]) -> None:
        self.sheet, self.pack, self.answers = sheet, pack, answers
        self.names: dict[str, Match] = {}
        self.problems: list[Problem] = []
        self._asked: dict[str, list[int]] = {}

    def lines(self) -> Iterator[Line]:
        """Yield every line that can be read."""
        for number, line in enumerate(self.sheet.lines, 1):
            if any_text(line):
                before = len(self.problems)
                read = self._line(number, line)
                if read is not None and not any(one.kind == "asked" for one in self.problems[before:]):
                    yield read

    def none_of(self) -> Iterator[str]:
        """Yield each taxon that was searched for and not found."""
        ticked = (
            place.removeprefix(NONE)
            for place, text in self.sheet.head.items()
            if place.startswith(NONE) and text
        )
        written = [
            name.strip() for name in self.sheet.head.get("none_of", "").replace(";", "\n").splitlines()
        ]
        found = [taxon for taxon in ticked if taxon in self.pack.taxa]
        found += [self._taxon(name, None)[0] for name in written if name]
        yield from dict.fromkeys(found)

    def asked(self) -> Iterator[AskedName]:
        """Yield each name that somebody has to say."""
        for name, lines in self._asked.items():
            yield AskedName(name, self.names[name].candidates[:MOST_CHOICES], tuple(lines))

    def _off(self, number: int, place: str, message: str, kind: str = "asked") -> None:
        self.problems.append(
            Problem("note" if kind == "note" else "asked", message, row=number, column=place)
        )

    def _taxon(self, name: str, number: int | None) -> tuple[str, Match]:
        """Return the taxon of a name; an uncertain one that nobody answered is asked and stays open meanwhile."""
        match = self.names.get(name)
        if match is None:
            match = self.names[name] = resolve(name, self.pack)
        said = self.answers.get(name.casefold())
        if said is not None and said in self.pack.taxa:
            return said, match
        if match.certain and match.taxon is not None and said != OWN:
            return match.taxon, match
        if said is None:
            self._asked.setdefault(name, []).extend([] if number is None else [number])
        return f"?{' '.join(name.split())}", match

    def _line(self, number: int, said: Mapping[str, str]) -> Line | None:
        name = said.get("name", "")
        if not name:
            self._off(
                number, "name", "has no name; write the name as it stands on the sheet, or empty the line"
            )
            return None
        taxon, match = self._taxon(name, number)
        numbers = {fate: read_number(said.get(fate, "")) for fate in self.sheet.columns}
        for fate, n in numbers.items():
            if isinstance(n, CellTrouble):
                self._off(number, fate, n.message)
        how = self._read(number, said, "how", read_how, How("counted"))
        counts = {fate: n for fate, n in numbers.items() if isinstance(n, int) and n}
        present = PRESENT in numbers.values()
        if present and counts:
            self._off(
                number,
                next(iter(counts)),
                "has a number and a mark for seen, not counted; keep one of the two",
            )
        if not present and all(n is None for n in numbers.values()):
            self._off(
                number,
                self.sheet.columns[0],
                "has no number; write how many, 0 for none, or x for seen, not counted",
            )
        self._scoops_agree(number, how, counts)
        if "lost" in counts and not said.get("remark"):
            self._off(number, "remark", f"{counts['lost']} lost; say in the remark how")
        lengths = self._read(number, said, "lengths", read_lengths, ())
        stage = self._read(number, said, "stage", read_stage, None)
        if stage and match.stage and stage != match.stage:
            self._off(number, "stage", f"is {stage}, and the name says {match.stage}; keep one of the two")
        return Line(
            number=number,
            name=name,
            taxon=taxon,
            stage=stage or match.stage,
            doubt=match.doubt,
            counts=tuple(counts.items()),
            how=how,
            present=present,
            lengths=lengths,
            length_type=self._length_type(number, said, len(lengths), sum(counts.values()), present),
            remark=said.get("remark", ""),
        )

    def _read(self, number: int, said: Mapping[str, str], place: str, read: Any, stand_in: Any) -> Any:
        found = read(said.get(place, ""))
        if isinstance(found, CellTrouble):
            self._off(number, place, found.message)
            return stand_in
        return found

    def _length_type(self, number: int, said: Mapping[str, str], lengths: int, n: int, present: bool) -> str:
        if not lengths:
            return ""
        if lengths > n and not present:
            animals = "animal" if n == 1 else "animals"
            self._off(number, "lengths", f"{lengths} lengths of {n} {animals}; were there more?")
        own = self._read(number, said, "length_type", read_length_type, None)
        of_all = read_length_type(self.sheet.head.get("lengths_are", ""))
        found = own or (of_all if isinstance(of_all, str) else None)
        if found is None:
            self._off(
                number,
                "length_type",
                "has lengths and says not what was measured; write T total, F fork, CW ...",
            )
        return found or ""

    def _scoops_agree(self, number: int, how: How, counts: Mapping[str, int]) -> None:
        if how.scoops is None:
            return
        if len(counts) != 1:
            message = (
                f"scoops stand for one number, here {how.n}; write it in the column where those animals went"
            )
            self._off(number, "how", message)
        elif (fate := next(iter(counts))) and counts[fate] != how.n:
            counted = " ".join(map(str, how.scoops["counted"]))
            message = (
                f"is {counts[fate]}; {how.scoops['of']} scoops, of which the counted held {counted}, make {how.n} "
                "(rounded up)"
            )
            self._off(number, fate, message)


def _sums_off(sheet: TypedSheet, lines: tuple[Line, ...], problems: list[Problem]) -> Iterator[SumOff]:
    made: Counter[str] = Counter()
    for line in lines:
        made.update(dict(line.counts))
        made[ALL] += line.n
    for column in (*sheet.columns, ALL):
        written = read_number(sheet.sums.get(column, ""))
        if isinstance(written, int) and written != made[column]:
            yield SumOff(column, written, made[column])
        elif isinstance(written, (CellTrouble, str)):
            message = written.message if isinstance(written, CellTrouble) else "is no sum; write the number"
            problems.append(Problem("asked", message, column=f"sum.{column}"))
