"""The lines that settle something in an outing, once a person has said which way."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, Entry
from haulbook.custody.flows import flows
from haulbook.custody.ledger import Holding, balances
from haulbook.custody.lots import PlaceKey, What
from haulbook.office import mend
from haulbook.office.pen import Pen, fitting
from haulbook.office.settle import MOVES, Matter, Way
from haulbook.problems import Refusal

A_MOMENT = timedelta(seconds=1)
"""What was not called is written as just after what was, so that the order of things stays."""


@dataclass(frozen=True, slots=True)
class Told:
    """What a person says with a way.

    ``n`` None: all of them; ``at`` an instant with offset, for what happened later than at the beach.
    """

    n: int | None = None
    cause: str = ""
    why: str = ""
    tank: str = ""
    at: str | None = None


@dataclass(frozen=True, slots=True)
class _Case:
    """A matter that is settled in one of its ways, and the reason that stands beside it."""

    book: Book
    matter: Matter
    way: Way
    told: Told
    pen: Pen
    why: str


def settled_by(book: Book, matter: Matter, way: Way, told: Told, pen: Pen) -> tuple[Draft, ...]:
    """Return the lines that settle a matter in one of its ways.

    Parameters
    ----------
    book : Book
        Of the outing, with the entries that touch it.
    matter : Matter
    way : Way
        One of the matter's.
    told : Told
    pen : Pen

    Raises
    ------
    Refusal
        Where something that the way needs was not said, or the lines can't be: see ``office.pen.fitting``.
    """
    for need in way.needs:
        if not getattr(told, need) and getattr(told, need) != 0:
            raise Refusal(_ASKED[need])
    case = _Case(book, matter, way, told, pen, told.why or _WHY.get(way.kind, way.kind))
    return _of_animals(case) if matter.kind == "animals" else _ANSWERS[way.kind](case)


_ASKED = {
    "cause": "say how they were lost: jumped out, miscounted ...; the report prints it",
    "why": "say why, in a few words; it stays beside the line",
    "tank": "say which tank they went to",
    "n": "say how many were found",
}
_WHY = {
    "back": "put back, not called", "dead-back": "died, not called", "dead-kept": "died and kept, not called",
    "fewer": "miscounted", "arrived": "not called", "keep": "the bucket was to keep",
    "not-left": "it did not leave the beach then", "strike": "slip",
}  # fmt: skip


def _of_animals(case: _Case) -> tuple[Draft, ...]:
    matter, told, way = case.matter, case.told, case.way
    n = told.n if told.n is not None else matter.n
    if not 1 <= n <= matter.n:
        raise Refusal(f"{matter.n} stand there: from 1 to {matter.n} of them can be settled")
    if way.kind == "fewer":
        return _fewer(case, n)
    to = f"tank {told.tank}" if way.kind == "tank" else MOVES[way.kind]
    rows = list(_first(matter.held, n))
    at = told.at if way.kind == "tank" else _just_after(case.book, rows)
    lines = [_line(row, row.place, to, told.cause) for row in rows]
    return fitting(case.book, (case.pen.line("move", {"lines": lines}, at),), case.pen, case.why)


def _fewer(case: _Case, n: int) -> tuple[Draft, ...]:
    entry = mend.entry_in(case.book, case.way.about[0])
    row, left, numbers = case.matter.held[0], n, []
    for line in entry.body["lines"]:
        here = (line["taxon"], line["haul"], line["to"]) == (row.taxon, row.haul, row.place)
        less = min(left, line["n"]) if here and line.get("stage") == row.stage else 0
        left -= less
        numbers.append(line["n"] - less)
    return mend.make_it(case.book, entry.id, numbers, case.why, case.pen)


def _first(rows: Iterable[Holding], n: int) -> Iterator[Holding]:
    """Yield n animals of these rows, row by row."""
    for row in rows:
        taken = min(n, row.n)
        if taken:
            yield Holding(row.outing, row.place, row.taxon, row.stage, row.unit, row.haul, taken)
        n -= taken


def _line(row: Holding, start: str, to: str, cause: str = "") -> dict[str, Any]:
    line: dict[str, Any] = {"from": start, "to": to, "n": row.n, "taxon": row.taxon, "haul": row.haul}
    if row.stage:
        line["stage"] = row.stage
    if row.unit not in ("individual", "egg_mass"):
        line["unit"] = row.unit
    return line | ({"cause": cause} if to == "lost" else {})


def _just_after(book: Book, rows: Sequence[Holding]) -> str | None:
    """Return the moment after the last of these arrived: they left their place while it was still at the beach."""
    sides = [
        (PlaceKey(row.outing, row.place), What(row.taxon, row.stage, row.unit, row.haul)) for row in rows
    ]
    arriving = [entry for flow in flows(book.standing(), sides).values() for entry in flow.arriving]
    return _beside(max(arriving, key=_sort), A_MOMENT) if arriving else None


def _beside(entry: Entry, apart: timedelta) -> str:
    """Return an instant beside that of an entry, with its offset."""
    instant = entry.when.instant or entry.when.sort_key()
    return (instant + apart).isoformat(timespec="seconds")


def _sort(entry: Entry) -> datetime:
    return entry.when.sort_key()


def _strike(case: _Case) -> tuple[Draft, ...]:
    return mend.strike(case.book, case.way.about, case.why, case.pen)


def _stand(case: _Case) -> tuple[Draft, ...]:
    answer = "confirmed" if case.way.kind == "confirm" else "both stand"
    reason = case.told.why or "the lead confirms it"
    return (case.pen.line("settled", {"key": case.matter.key, "answer": answer, "why": reason}),)


def _keep(case: _Case) -> tuple[Draft, ...]:
    """Say that buckets were to keep, just before they left the beach."""
    meant = set(case.matter.entries)
    left = [
        entry
        for entry in case.book.standing()
        if entry.kind == "place" and entry.body["act"] == "left-beach" and entry.id in meant
    ]
    if not left:
        raise Refusal("nobody wrote which bucket left the beach with them; say with a line where they went")
    return tuple(
        case.pen.line(
            "place",
            {"place": one.body["place"], "act": "purpose", "purpose": "keep"},
            _beside(one, -A_MOMENT),
        )
        for one in left
    )


def _arrived(case: _Case) -> tuple[Draft, ...]:
    """Enter what was never called, so that it is there before it leaves or is counted."""
    if case.matter.kind == "count-differs":
        first = mend.entry_in(case.book, case.matter.entries[0])
        line = _of_count(case.book, first, case.matter.n)
    else:
        line, first = _of_short(case.book, case.matter)
    move = case.pen.line("move", {"lines": [line], "text": case.why}, _beside(first, -A_MOMENT))
    return fitting(case.book, (move,), case.pen, case.why)


def _of_short(book: Book, matter: Matter) -> tuple[dict[str, Any], Entry]:
    """Return the line that brings what a place gave too many, and the first entry that took from there."""
    words = matter.key.partition(":")[2].split(" ")
    taxon, stage, unit, haul = words[-4:]
    place = " ".join(words[1:-4])
    outing = None if words[0] == "station" else words[0]
    row = Holding(outing, place, taxon, None if stage == "-" else stage, unit, haul, matter.n)
    side = (PlaceKey(outing, place), What(row.taxon, row.stage, unit, haul))
    leaving = flows(book.standing(), [side])[side].leaving
    if not leaving:
        raise Refusal("this is settled already; load the page again")
    return _line(row, "sea", place), min(leaving, key=_sort)


def _of_count(book: Book, count: Entry, n: int) -> dict[str, Any]:
    """Return the line of animals that a count found too many: of the haul that was landed last before it."""
    body = count.body
    hauls = [
        entry.body["haul"]
        for entry in book.standing()
        if entry.kind in ("haul-started", "haul-landed") and entry.when.sort_key() <= _sort(count)
    ]
    if not hauls:
        raise Refusal("no haul was landed before this count; enter the line with its haul")
    row = Holding(
        count.outing, body["place"], body["taxon"], body.get("stage"), body.get("unit", "individual"), hauls[-1], n
    )  # fmt: skip
    return _line(row, "sea", row.place) | {"haul_assumed": True}


def _missing(case: _Case) -> tuple[Draft, ...]:
    """Say where those went that a count missed; gone before it, but for the lost, which are said after it."""
    count = mend.entry_in(case.book, case.matter.entries[0])
    to = MOVES[case.way.kind]
    held = _held_there(case.book, count, case.matter.n)
    lines = [_line(row, row.place, to, case.told.cause) for row in held]
    at = _beside(count, A_MOMENT if to == "lost" else -A_MOMENT)
    return fitting(case.book, (case.pen.line("move", {"lines": lines}, at),), case.pen, case.why)


def _held_there(book: Book, count: Entry, n: int) -> list[Holding]:
    """Return n animals of the counted kind out of what the place held when it was counted."""
    body = count.body
    rows = balances(book, count.when.sort_key()).of(place=body["place"], taxon=body["taxon"]).rows
    rows = tuple(row for row in rows if row.n > 0 and body.get("stage") in (None, row.stage))
    return list(_first(rows, n))


def _recount(case: _Case) -> tuple[Draft, ...]:
    """Put another count in the place of the first."""
    count = mend.entry_in(case.book, case.matter.entries[0])
    again = case.pen.line("counted-again", {**count.body, "n": case.told.n or 0}, count.at)
    return again, case.pen.strike([count.id], case.told.why or "counted once more", [again.id])


_ANSWERS: dict[str, Callable[[_Case], tuple[Draft, ...]]] = {
    "strike": _strike, "not-left": _strike, "stand": _stand, "confirm": _stand, "keep": _keep, "arrived": _arrived,
    "back": _missing, "dead-back": _missing, "lost": _missing, "recount": _recount,
}  # fmt: skip
