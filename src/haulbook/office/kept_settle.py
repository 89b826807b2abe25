"""What is off in a tank, and every way to settle it. Nothing is written here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from haulbook.custody.discrepancy import Discrepancy
from haulbook.custody.entry import Entry
from haulbook.custody.lines import stage_and_unit
from haulbook.custody.reading_tanks import Held
from haulbook.office.kept_lines import Lot, arriving, leaving
from haulbook.office.say import said
from haulbook.problems import Problem, Refusal
from haulbook.taxa import Pack

A_MOMENT = timedelta(seconds=1)
"""What was found out by a count is written as just before or after it, so that the order of things stays."""


FEWER = ("lost", "dead-kept", "dead-back")
"""What became of animals that a count missed."""
MORE = ("born", "brought")
"""Where animals came from that a count found too many."""


@dataclass(frozen=True, slots=True)
class Off:
    """One thing in a tank that can't be as the book has it.

    Attributes
    ----------
    key : str
        Of the discrepancy.
    place, words : str
    n : int
        Animals too few (above 0: the book has more than was found) or too many (below 0).
    taxon, unit : str
    stage : str or None
        None also where a count did not tell stages apart.
    at : Entry or None
        The count, where there was one.
    ways : tuple of str
        ``lost`` ``dead-kept`` ``dead-back`` ``born`` ``brought`` ``recount`` ``strike`` ``stand``.
    """

    key: str
    place: str
    words: str
    n: int
    taxon: str
    stage: str | None
    unit: str
    at: Entry | None
    ways: tuple[str, ...]


def offs_of(
    unsettled: Sequence[Discrepancy], places: Mapping[str, str], counts: Mapping[str, Entry], pack: Pack
) -> tuple[Off, ...]:
    """Return what is off in tanks, with its ways.

    Parameters
    ----------
    unsettled : sequence of Discrepancy
        Of tanks.
    places : mapping of key to str
        Their tanks, as ``office.kept.unsettled_places`` gives them.
    counts : mapping of id to Entry
        The counts that they name.
    pack : Pack
    """
    return tuple(_off(one, places[one.key], counts.get(one.subject), pack) for one in unsettled)


def _off(one: Discrepancy, place: str, count: Entry | None, pack: Pack) -> Off:
    if count is None:
        taxon, stage, unit, _haul = one.subject.split(" ")[-4:]
        few = -(one.found or 0)
        words = f"{few} {said(taxon, pack)} more left {place} than came into it"
        ways: tuple[str, ...] = ("brought", "stand")
        return Off(one.key, place, words, -few, taxon, None if stage == "-" else stage, unit, None, ways)
    counted_stage, counted_unit = stage_and_unit(count.body)
    n = (one.expected or 0) - (one.found or 0)
    words = (
        f"{place}: the book says {one.expected} {said(count.body['taxon'], pack)}, {count.by} counted {one.found}: "
        f"{abs(n)} too {'few' if n > 0 else 'many'}"
    )
    ways = (*(FEWER if n > 0 else MORE), "recount", "strike", "stand")
    return Off(one.key, place, words, n, count.body["taxon"], counted_stage, counted_unit, count, ways)


@dataclass(frozen=True, slots=True)
class Line:
    """A line to write: kind, body, and the instant where it is not now."""

    kind: str
    body: dict[str, Any]
    at: str | None = None


def settled_by(
    off: Off, way: str, why: str, held: Sequence[Held], first_id: str, n: int | None = None
) -> tuple[Line, ...]:
    """Return the lines that settle something in one of its ways; the first has the id handed in.

    Parameters
    ----------
    off : Off
    way : str
        Name of one of its ways.
    why : str
        Cause or reason.
    held : sequence of Held
        Everything that the tanks hold.
    first_id : str
    n : int or None
        What a second count found.

    Raises
    ------
    Refusal
        Another way; no cause or reason; a second count without a number; more missing than are there.
    """
    if way not in off.ways:
        raise Refusal("this can't be settled so any more; load the page again")
    if not why:
        raise Refusal(Problem("refused", "say why, or what the cause was", column="why"))
    if way in FEWER:
        return (Line("move", _missing(off, way, why, held), _beside(off, 1 if way == "lost" else -1)),)
    if way in MORE:
        body = arriving(first_id, off.place, off.taxon, off.stage, -off.n, way)
        return (Line("move", body, _beside(off, -1)),)
    if way == "stand" or off.at is None:
        return (Line("settled", {"key": off.key, "answer": "as it stands", "why": why}),)
    if way == "strike":
        return (Line("strike", {"entries": [off.at.id], "reason": why}),)
    if n is None:
        raise Refusal(Problem("refused", "how many were there? Write 0 for none", column="n"))
    again = Line("counted-again", {**off.at.body, "n": n}, off.at.at)
    return again, Line("strike", {"entries": [off.at.id], "reason": why, "instead": [first_id]})


def _missing(off: Off, to: str, why: str, held: Sequence[Held]) -> dict[str, Any]:
    """Return a move of the missing: a count without a stage may be of animals of several stages."""
    lots = dict.fromkeys(
        Lot(one.tank, one.taxon, one.stage, one.unit)
        for one in held
        if (one.tank, one.taxon, one.unit) == (off.place, off.taxon, off.unit)
        and off.stage in (None, one.stage)
    )
    lines, left = [], off.n
    for lot in lots:
        there = sum(one.n for one in held if Lot(one.tank, one.taxon, one.stage, one.unit) == lot)
        if taken := min(left, there):
            lines += leaving(held, lot, taken, to, why)["lines"]
            left -= taken
    if left:
        raise Refusal(f"only {off.n - left} of these are left in {off.place} by the book: count once more")
    return {"lines": lines}


def _beside(off: Off, moments: int) -> str | None:
    """Return an instant just before or after the count; None, which is now, where there is none or only a day."""
    if off.at is None or off.at.when.instant is None:
        return None
    return (off.at.when.instant + moments * A_MOMENT).isoformat()
