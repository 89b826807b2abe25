"""Care entries: what is written about a tank, and reading it back. A dose is recorded, never proposed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from haulbook.custody.book import Book
from haulbook.custody.entry import Entry
from haulbook.problems import Problem, Refusal, unknown

ACTS = ("fed", "ate", "refused", "cleaned", "treated", "checked")


def care_body(
    place: str,
    act: str,
    *,
    taxon: str | None = None,
    grams: float | None = None,
    what: str | None = None,
    prescribed_by: str | None = None,
) -> dict[str, Any]:
    """Return the body of a care entry.

    Raises
    ------
    Refusal
        An act that is none (a death is a move), food that is not above 0 g, or a treatment without what was
        given and which veterinarian prescribed it.
    """
    wrong = []
    if act in ("died", "dead", "killed", "released"):
        wrong.append(
            f"{act!r} is no care entry: move the animals to where they went, so that the book balances"
        )
    elif act not in ACTS:
        wrong.append(unknown("care act", act, ACTS))
    if grams is not None and not 0.0 < grams < 1e6:
        wrong.append(f"{grams:g} g of food: give what was fed in grams, above 0")
    if act == "treated" and not (what and prescribed_by):
        wrong.append(
            "a treatment needs what was given and which veterinarian prescribed it; haulbook records doses, "
            "it proposes none"
        )
    if wrong:
        raise Refusal(Problem("refused", each) for each in wrong)
    optional = {"taxon": taxon, "g": grams, "what": what, "prescribed_by": prescribed_by}
    return {"place": place, "act": act} | {key: value for key, value in optional.items() if value is not None}


def instant_of(entry: Entry) -> datetime:
    """Return when an entry happened, in its own offset; the start of the day where it has no clock time."""
    return entry.when.instant or entry.when.sort_key()


@dataclass(frozen=True, slots=True)
class Note:
    """A care entry read back; ``at`` keeps the offset it was written with: its date is the local day."""

    at: datetime
    act: str
    taxon: str | None


def notes_of(book: Book, place: str) -> list[Note]:
    """Return the care entries of a place, oldest first, strikes left out."""
    return [
        Note(instant_of(entry), entry.body["act"], entry.body.get("taxon"))
        for entry in book.standing()
        if entry.kind == "care" and entry.body["place"] == place
    ]


def arrivals(book: Book, place: str) -> list[tuple[datetime, int]]:
    """Return when animals came into a place from elsewhere and how many, oldest first, strikes left out."""
    found = []
    for entry in book.standing():
        if entry.kind != "move":
            continue
        n = sum(line["n"] for line in entry.body["lines"] if line["to"] == place and line["from"] != place)
        if n:
            found.append((instant_of(entry), n))
    return found
