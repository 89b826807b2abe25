"""What is mended in a book by further lines: a strike, another number, another name. Nothing is written here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, Entry
from haulbook.custody.ledger import Holding
from haulbook.custody.striking import check_strike
from haulbook.office.pen import Pen, called, fitting
from haulbook.problems import Problem, Refusal


def entry_in(book: Book, key: str) -> Entry:
    """Return an entry of a book.

    Raises
    ------
    Refusal
        Where the book has none of that id.
    """
    found = book.by_id().get(key)
    if not found:
        raise Refusal("this line is not in the book of this outing; load the page again")
    return found[0]


def strike(book: Book, keys: Sequence[str], reason: str, pen: Pen) -> tuple[Draft, ...]:
    """Return the strike of some lines.

    Raises
    ------
    Refusal
        Where a place would hold less than nothing then, naming the lines in the way as they were called; where a
        line is struck already, or is a strike itself.
    """
    try:
        check_strike(book, keys)
    except Refusal as refusal:
        raise Refusal(
            Problem(problem.kind, _by_words(problem.message, book)) for problem in refusal.problems
        ) from None
    return (pen.strike(keys, reason),)


def make_it(book: Book, key: str, numbers: Sequence[int], reason: str, pen: Pen) -> tuple[Draft, ...]:
    """Return the strike of a call and the call that stands in its place, with other numbers.

    Parameters
    ----------
    book : Book
    key : str
        Id of a ``move``.
    numbers : sequence of int
        One a line of it; 0 leaves a line out.
    reason : str
    pen : Pen

    Raises
    ------
    Refusal
        As :func:`strike`; where the numbers are those that stand there; where a number was worked out of scoops.
    """
    entry = _standing_move(book, key)
    lines = entry.body["lines"]
    if len(numbers) != len(lines):
        raise Refusal("this call has other lines than the page showed; load the page again")
    if list(numbers) == [line["n"] for line in lines]:
        raise Refusal("these are the numbers that stand there; nothing was written")
    made = [_with_number(line, n) for line, n in zip(lines, numbers, strict=True) if n > 0 or n == line["n"]]
    if not made:
        return strike(book, [key], reason, pen)
    text = {"text": entry.body["text"]} if "text" in entry.body else {}
    instead = pen.line("move", {"lines": made, **text}, entry.at)
    return fitting(book, (instead, pen.strike([key], reason, [instead.id])), pen, reason)


def _standing_move(book: Book, key: str) -> Entry:
    entry = entry_in(book, key)
    if entry.kind != "move":
        raise Refusal("only a call has numbers of animals; strike this line and enter it again")
    if key in book.struck():
        raise Refusal("this call is struck already; enter it again")
    return entry


def _with_number(line: Mapping[str, Any], n: int) -> dict[str, Any]:
    if n != line["n"] and "subsample" in line:
        raise Refusal(
            f"the {line['n']} {line['taxon']} were worked out of counted scoops: strike the call and "
            "enter the scoops again"
        )
    return {**line, "n": n}


@dataclass(frozen=True, slots=True)
class Better:
    """A better name for some animals: how many, what they are, and how that was seen."""

    n: int
    taxon: str
    stage: str | None
    why: str


def rename(book: Book, held: Holding, better: Better, pen: Pen) -> tuple[Draft, ...]:
    """Return the line that turns animals of one kind, in one place, into another.

    Raises
    ------
    Refusal
        Where fewer are there, or the name is the one they have.
    """
    if better.n > held.n:
        raise Refusal(
            f"{held.place} has {held.n} {held.taxon} of {held.haul}, so {better.n} can't get another name"
        )
    if (better.taxon, better.stage) == (held.taxon, held.stage):
        raise Refusal(f"they are {held.taxon} already; nothing was written")
    line: dict[str, Any] = {
        "place": held.place,
        "haul": held.haul,
        "n": better.n,
        "was": _named(held.taxon, held.stage),
        "now": _named(better.taxon, better.stage),
    }
    if held.unit not in ("individual", "egg_mass"):
        line["unit"] = held.unit
    body = {"lines": [line], "why": better.why}
    return fitting(book, (pen.line("redetermination", body),), pen, better.why)


def _named(taxon: str, stage: str | None) -> dict[str, str]:
    return {"taxon": taxon, "stage": stage} if stage else {"taxon": taxon}


def _by_words(message: str, book: Book) -> str:
    """Say lines as they were called in place of their ids."""
    for key, (entry, *_more) in book.by_id().items():
        if key in message:
            message = message.replace(f"entry {key}", f"“{called(entry)}”").replace(key, f"“{called(entry)}”")
    return message
