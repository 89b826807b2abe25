"""A settled sheet becomes lines of the book: what the book has of the haul already is not written again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from haulbook.custody.book import Book
from haulbook.custody.entry import Entry
from haulbook.custody.hauls import INSTANTS
from haulbook.custody.places import PURPOSES
from haulbook.office.read_sheet_head import KEEP, Head
from haulbook.office.sheet_read import Line, SheetRead, SumOff
from haulbook.office.typed_sheet import ALL
from haulbook.problems import Problem, Refusal

NOBODY_SAID = 9
"""Condition of a haul of which the sheet says none."""


@dataclass(frozen=True, slots=True)
class Unwritten:
    """A line as it will be written; ``at`` as entries have it."""

    kind: str
    at: str
    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class HaulInBook:
    """What the book has of a haul before a sheet is entered.

    Attributes
    ----------
    devices : tuple of str
        That wrote of it, in order.
    n : int
        Animals that they moved out of the sea, of any unit.
    told : mapping of kind to instant
        ``haul-started``, ``haul-landed``, ``haul-ended``.
    """

    devices: tuple[str, ...]
    n: int
    told: Mapping[str, str]


def haul_in_book(book: Book, haul: str) -> HaulInBook:
    """Return what stands in the book of a haul, struck lines left out."""
    devices: Counter[str] = Counter()
    told: dict[str, str] = {}
    n = 0
    for entry in book.standing():
        here = [line for line in entry.body.get("lines", ()) if entry.kind == "move" and line["haul"] == haul]
        if here or entry.body.get("haul") == haul:
            devices[entry.device] += 1
            n += sum(line["n"] for line in here if line["from"] == "sea")
        if entry.kind in INSTANTS and entry.body["haul"] == haul:
            told.setdefault(entry.kind, entry.at)
    return HaulInBook(tuple(sorted(devices)), n, told)


def enter_sheet(
    read: SheetRead,
    *,
    outing: str,
    haul: str,
    book: Book,
    opening: Mapping[str, Any],
    keep: str | None = None,
    sums_stand: bool = False,
) -> tuple[Unwritten, ...]:
    """Return the lines that a sheet makes, in the order in which things happened.

    Parameters
    ----------
    read : SheetRead
    outing, haul : str
        Keys of the book; the haul belongs to the outing.
    book : Book
        The outing's entries so far.
    opening : mapping
        Body of ``outing-opened``, for an outing that the book does not have yet.
    keep : str or None
        The plan's keep bucket, for animals kept where the sheet names no bucket.
    sums_stand : bool
        Somebody looked: the lines are right and the sheet was added up wrongly. That goes into the book as a remark.

    Raises
    ------
    Refusal
        With everything that has to be mended, answered or settled first.
    """
    _refuse_open(read, sums_stand)
    standing = book.standing()
    bucket = read.head.keep_place or keep or KEEP
    writer = _Writer(read, haul, standing, bucket)
    opened = any(entry.kind == "outing-opened" for entry in standing)
    lines = [] if opened else [Unwritten("outing-opened", read.head.started or read.head.at, opening)]
    return (*lines, *writer.before(), *writer.catch(), *writer.after())


def _refuse_open(read: SheetRead, sums_stand: bool) -> None:
    problems = [*read.to_mend]
    problems += [
        Problem("asked", f"{name.name!r} is not certain; say which animal it is, or that it stays as written")
        for name in read.asked
    ]
    if not sums_stand:
        problems += [Problem("asked", said_sum(off)) for off in read.sums_off]
    if problems:
        raise Refusal(problems)


def said_sum(off: SumOff) -> str:
    """Return in words that a sum of the sheet is not what its lines make."""
    what = "all animals" if off.column == ALL else off.column
    return f"the sheet's own sum of {what} is {off.written}, its lines make {off.made}"


class _Writer:
    """Makes the lines of one haul."""

    def __init__(self, read: SheetRead, haul: str, standing: Sequence[Entry], bucket: str) -> None:
        self.read, self.head, self.haul, self.bucket = read, read.head, haul, bucket
        self._standing = standing
        self._told = {
            entry.kind for entry in standing if entry.kind in INSTANTS and entry.body["haul"] == haul
        }
        self._kept = any(fate == "kept" for line in read.lines for fate, _ in line.counts)

    def before(self) -> Iterator[Unwritten]:
        """Yield set-up, start and landing, and what was read off the water."""
        started = self.head.started or self.head.at
        if self._kept and not self._acts("set-up"):
            body: dict[str, Any] = {"place": self.bucket, "act": "set-up"}
            if self.bucket.startswith("bucket "):
                body["purpose"] = PURPOSES[0]
            yield Unwritten("place", started, body)
        if "haul-started" not in self._told:
            yield Unwritten("haul-started", started, {"haul": self.haul, **_started(self.head)})
        if "haul-landed" not in self._told:
            yield Unwritten("haul-landed", self.head.at, {"haul": self.haul, **_landed(self.head)})
        if self.head.readings:
            body = {"haul": self.haul, "instrument": self.head.instrument, **self.head.readings}
            yield Unwritten("reading", self.head.at, body)

    def catch(self) -> Iterator[Unwritten]:
        """Yield what each line says, in the order of the sheet."""
        for line in self.read.lines:
            for kind, body in self._bodies(line):
                yield Unwritten(kind, self.head.at, body)
        if self.read.none_of:
            body = {"haul": self.haul, "taxa": list(self.read.none_of)}
            yield Unwritten("searched-and-none", self.head.at, body)

    def after(self) -> Iterator[Unwritten]:
        """Yield remarks, the end of the haul, and the bucket leaving the beach."""
        remarks = [self.head.remark] if self.head.remark else []
        remarks += [f"{said_sum(off)}; looked at when it was typed in" for off in self.read.sums_off]
        for text in remarks:
            yield Unwritten("remark", self.head.at, {"haul": self.haul, "text": text})
        ended = self.head.ended or self.head.at
        if "haul-ended" not in self._told:
            yield Unwritten("haul-ended", ended, {"haul": self.haul})
        if self.head.left_beach and self._kept and not self._acts("left-beach"):
            yield Unwritten("place", self.head.left_beach, {"place": self.bucket, "act": "left-beach"})

    def _acts(self, act: str) -> bool:
        return any(
            entry.kind == "place" and (entry.body["place"], entry.body["act"]) == (self.bucket, act)
            for entry in self._standing
        )

    def _bodies(self, line: Line) -> Iterator[tuple[str, dict[str, Any]]]:
        moved = [self._move(line, fate, n) for fate, n in line.counts]
        one_measured = line.n == 1 and len(line.lengths) == 1
        if one_measured:
            moved[0] |= {"length_mm": line.lengths[0], "length_type": line.length_type}
        if moved:
            yield "move", {"lines": moved}
        elif line.present:
            yield "present", {"haul": self.haul, "taxon": line.taxon}
        else:
            yield "searched-and-none", {"haul": self.haul, "taxa": [line.taxon]}
        if line.lengths and not one_measured:
            body: dict[str, Any] = {"haul": self.haul, "taxon": line.taxon, "length_type": line.length_type}
            yield "lengths", {**body, **_stage(line), "mm": list(line.lengths)}
        if line.remark and not any(fate == "lost" for fate, _ in line.counts):
            yield "remark", {"haul": self.haul, "text": f"{line.name}: {line.remark}"}

    def _move(self, line: Line, fate: str, n: int) -> dict[str, Any]:
        move: dict[str, Any] = {
            "taxon": line.taxon, "n": n, "from": "sea", "to": self.bucket if fate == "kept" else fate,
            "haul": self.haul, "said": line.name, **_stage(line), "basis": line.how.basis,
        }  # fmt: skip
        if line.how.scoops:
            move["subsample"] = line.how.scoops
        if line.doubt:
            move["doubt"] = "name"
        if fate == "lost":
            move["cause"] = line.remark
        return move


def _stage(line: Line) -> dict[str, str]:
    return {"stage": line.stage} if line.stage else {}


def _started(head: Head) -> dict[str, Any]:
    return {word: value for word in ("site", "net", "set_type") if (value := getattr(head, word))}


def _landed(head: Head) -> dict[str, Any]:
    body: dict[str, Any] = {"condition": head.condition or NOBODY_SAID}
    if head.why:
        body["why"] = head.why
    for letter, measure in head.measures.items():
        body[letter] = {"m": measure.m, "basis": measure.basis}
    if head.depth_m is not None:
        body["depth_m"] = head.depth_m
    if head.given_m2 is not None:
        body["area"] = {"m2": head.given_m2, "basis": "measured", "said_by": "the sheet"}
    return body
