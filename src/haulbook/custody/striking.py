"""May these entries be struck? A question for whoever is about to write the strike."""

from __future__ import annotations

from collections.abc import Iterable

from haulbook.custody.book import Book
from haulbook.custody.entry import Entry
from haulbook.custody.flows import flows, in_words, kind_in_words
from haulbook.custody.tally import Side, Tally, tallied
from haulbook.problems import Problem, Refusal


def check_strike(book: Book, ids: Iterable[str]) -> None:
    """Refuse a strike that would leave a place holding less than nothing.

    Parameters
    ----------
    book : Book
        As the writer knows it. A strike that comes from another device is never refused: what it makes
        impossible is a discrepancy.
    ids : iterable of str
        Every entry that the strike is to name.

    Raises
    ------
    Refusal
        Naming the entries in the way; or that an entry is not here, is struck already, or is a strike.
    """
    named = tuple(dict.fromkeys(ids))
    problems = _unfit(book, named)
    if not problems:
        standing = book.standing()
        left = [entry for entry in standing if entry.id not in named]
        (before, _), (after, _) = tallied(standing), tallied(left)
        worse = [side for side, n in after.below_zero().items() if n < before.count(*side)]
        problems = [_in_the_way(side, after, left) for side in worse]
    if problems:
        raise Refusal(problems)


def _unfit(book: Book, named: Iterable[str]) -> list[Problem]:
    by_id, struck = book.by_id(), book.struck()
    problems = []
    for one in named:
        if one not in by_id:
            problems.append(Problem("refused", f"there is no entry {one} in this book"))
        elif one in struck:
            problems.append(Problem("refused", f"entry {one} is struck already, by {struck[one]}"))
        elif by_id[one][0].kind == "strike":
            problems.append(
                Problem("refused", f"entry {one} is a strike, and those stay: enter the line again")
            )
    return problems


def _in_the_way(side: Side, after: Tally, left: Iterable[Entry]) -> Problem:
    place, what = side
    flow = flows(left, [side])[side]
    names = ", ".join(f"{entry.id} ({entry.device} {entry.seq}, {entry.at})" for entry in flow.leaving)
    return Problem(
        "refused",
        f"{in_words(place)} would hold {after.count(place, what)} {kind_in_words(what)}: "
        f"{flow.left} went on from there. In the way: {names}. Strike these too, or enter what arrived first",
    )
