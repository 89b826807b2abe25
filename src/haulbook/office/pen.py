"""A pen: gives lines about to be written their ids, and looks ahead at what they would make of the book."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from haulbook.custody.book import Book, in_time
from haulbook.custody.counts_off import below_zero
from haulbook.custody.entry import Draft, Entry, chain
from haulbook.custody.tally import tallied
from haulbook.custody.told_twice import double_count
from haulbook.problems import Problem, Refusal

DESK = "desk"
"""The device of everything that is typed at the station."""


@dataclass(frozen=True, slots=True)
class Pen:
    """Writes drafts of one person, in one outing.

    Attributes
    ----------
    outing, by : str
    now : str
        Instant with offset: when it is written; also when it happened, where nothing else is said.
    ids : callable
        Returns the next id for an entry.
    """

    outing: str
    by: str
    now: str
    ids: Callable[[], str]

    def line(self, kind: str, body: Mapping[str, Any], at: str | None = None) -> Draft:
        """Return one line, ``at`` its own instant."""
        return Draft(self.ids(), at or self.now, self.now, self.by, self.outing, kind, body)

    def strike(self, entries: Sequence[str], reason: str, instead: Sequence[str] = ()) -> Draft:
        """Return a strike."""
        body: dict[str, Any] = {"entries": list(entries), "reason": reason}
        if instead:
            body["instead"] = list(instead)
        return self.line("strike", body)


def ahead(book: Book, drafts: Iterable[Draft]) -> Book:
    """Return the book as it would be with these lines; nothing is written."""
    own = [entry for entry in book.entries if entry.device == DESK]
    last = max(own, key=lambda entry: entry.seq, default=None)
    return Book.of([*book.entries, *chain(drafts, DESK, last)])


def fitting(book: Book, drafts: Sequence[Draft], pen: Pen, why: str) -> tuple[Draft, ...]:
    """Return drafts that can be written, and the answers that belong to them.

    What the desk enters beside a phone's calls of the same animals would be asked as counted twice; whoever
    enters it says that both stand, so that is answered with it.

    Parameters
    ----------
    book : Book
        Of the outing, with the entries that touch it.
    drafts : sequence of Draft
    pen : Pen
    why : str
        Reason of such an answer.

    Raises
    ------
    Refusal
        Where a place would hold less than nothing, or less than before; the lines in the way are named.
    """
    after = ahead(book, drafts)
    standing = after.standing()
    _refuse_worse(book, standing)
    known = {one.key for one in double_count(book.standing())}
    fresh = [one for one in double_count(standing) if one.key not in known]
    return (
        *drafts,
        *(pen.line("settled", {"key": one.key, "answer": "both stand", "why": why}) for one in fresh),
    )


def _refuse_worse(book: Book, standing: list[Entry]) -> None:
    before = tallied(book.standing())[0]
    short = tallied(standing)[0].below_zero()
    worse = {side: n for side, n in short.items() if n < min(0, before.count(*side))}
    by_id = {entry.id: entry for entry in standing}
    problems = []
    for one in below_zero(standing, worse):
        way = [by_id[key] for key in one.entries if key in by_id]
        names = "; ".join(
            f"“{called(entry)}” {entry.at[11:16] or entry.at}" for entry in sorted(way, key=in_time)
        )
        problems.append(Problem("refused", f"{one.words}. Lines of it: {names}"))
    if problems:
        raise Refusal(problems)


def called(entry: Entry) -> str:
    """Return an entry as it was called; its kind where nobody called it."""
    lines = entry.body.get("lines", ())
    said = [entry.body.get("text"), *(line.get("said") for line in lines)]
    words = ", ".join(dict.fromkeys(f"{one}" for one in said if one))
    if not words and entry.kind == "move":
        words = ", ".join(f"{line['n']} {line['taxon']} {line['from']} to {line['to']}" for line in lines)
    return words or entry.kind
