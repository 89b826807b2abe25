"""Closes an outing, signs it, and signs it again after a change: verbs over the book of one outing.

The book handed in holds the outing's entries and those that touch it (``custody.touching``); nothing is written
here: the drafts are for whoever keeps the book.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from haulbook.custody.book import Book
from haulbook.custody.closing import OpenThing, last_of_each, signoff_digest
from haulbook.custody.discrepancy import Discrepancy
from haulbook.custody.entry import Draft, Entry
from haulbook.custody.ledger import Within, same_taxon
from haulbook.custody.reading_outing import open_of, read_outing
from haulbook.custody.told_twice import signed_without
from haulbook.problems import Problem, Refusal

ROLE = "lead"
"""Who may sign."""

Stand = Literal["planned", "open", "closed", "signed", "changed since signing"]


@dataclass(frozen=True, slots=True)
class Signed:
    """One sign-off that stands.

    Attributes
    ----------
    number : int
        1 for the first; each further one is an amendment.
    entry : str
        Its id.
    at, made_at, by, role : str
        When it was signed and written down, by whom and as what.
    covers : mapping of device to int
        Last number of each device that was signed.
    digest : str
        SHA-256 over what was signed.
    report_digests : tuple of str
        Of the reports that were signed with it.
    still_true : bool
        Whether what it covers is here as it was.
    """

    number: int
    entry: str
    at: str
    made_at: str
    by: str
    role: str
    covers: Mapping[str, int]
    digest: str
    report_digests: tuple[str, ...]
    still_true: bool


def state_of(book: Book, outing: str) -> Stand:
    """Return how far an outing has come: ``planned`` while nothing stands that was written in it.

    It is ``changed since signing`` when something changes its account that no sign-off covers, or came in late
    among what one covers. A death in a tank does not: tanks go on.
    """
    standing = book.standing()
    ours = [entry for entry in standing if entry.outing == outing]
    if not ours:
        return "planned"
    signed = versions(book, outing)
    if signed:
        late = any(changed == outing for _, changed in signed_without(book, standing))
        return "changed since signing" if late or not signed[-1].still_true else "signed"
    return "closed" if _closing(ours) else "open"


def close(
    book: Book,
    outing: str,
    *,
    entry_id: str,
    at: str,
    by: str,
    remark: str | None = None,
    made_at: str | None = None,
    within: Within = same_taxon,
    of_devices: Iterable[Discrepancy] = (),
) -> Draft:
    """Return the line that closes an outing.

    Parameters
    ----------
    book : Book
    outing : str
    entry_id : str
        UUIDv7 for the line.
    at, made_at : str
        When it is closed and written, with offset; written just then where ``made_at`` is None.
    by : str
        Person's key.
    remark : str or None
    within : callable
        As ``Pack.is_within``.
    of_devices : iterable of Discrepancy
        Gaps, forks and clocks (``custody.reading_chains``), which the book of one outing can't show.

    Raises
    ------
    Refusal
        Naming each thing that stands in the way, the first thing first. What is only printed does not.
    """
    ours = [entry for entry in book.standing() if entry.outing == outing]
    if not ours:
        raise Refusal(f"nothing was written in {outing} yet, so there is nothing to close")
    closed = _closing(ours)
    if closed is not None:
        raise Refusal(
            f"{outing} is closed since {closed.at}, by {closed.by}: to open it again, strike that entry"
        )
    _refuse_open(book, outing, within, of_devices)
    body = {"remark": remark} if remark else {}
    return Draft(entry_id, at, made_at or at, by, outing, "outing-closed", body)


def sign(
    book: Book,
    outing: str,
    *,
    entry_id: str,
    at: str,
    by: str,
    role: str,
    reports: Iterable[str] = (),
    made_at: str | None = None,
    within: Within = same_taxon,
    of_devices: Iterable[Discrepancy] = (),
) -> Draft:
    """Return the line that signs an outing as it stands; the second one and those after it are amendments.

    Parameters
    ----------
    role : str
        Role of the person; only the lead signs.
    reports : iterable of str
        SHA-256 of the reports that are signed with it.
    book, outing, entry_id, at, by, made_at, within, of_devices
        As in :func:`close`.

    Raises
    ------
    Refusal
        Where somebody else than the lead signs, the outing is not closed, nothing has changed since it was
        signed, or something came in that would stop it from closing now.
    """
    problems = []
    if role != ROLE:
        problems.append(f"an outing is signed by the {ROLE}, and {by} is {role or 'without a role'}")
    if _closing(entry for entry in book.standing() if entry.outing == outing) is None:
        problems.append(f"{outing} is not closed yet: close it first")
    elif state_of(book, outing) == "signed":
        last = versions(book, outing)[-1]
        problems.append(
            f"{outing} is signed already, at {last.at} by {last.by}, and nothing has changed since"
        )
    if problems:
        raise Refusal(Problem("refused", words) for words in problems)
    _refuse_open(book, outing, within, of_devices)
    covers = last_of_each(book, outing)
    body: dict[str, Any] = {
        "covers": covers,
        "digest": signoff_digest(book, outing, covers),
        "role": role,
        "report_digests": list(reports),
    }
    return Draft(entry_id, at, made_at or at, by, outing, "outing-signed", body)


def versions(book: Book, outing: str) -> tuple[Signed, ...]:
    """Return the sign-offs of an outing that stand, oldest first."""
    signed = [entry for entry in book.standing() if entry.kind == "outing-signed" and entry.outing == outing]
    return tuple(
        Signed(
            number,
            entry.id,
            entry.at,
            entry.made_at,
            entry.by,
            entry.body["role"],
            dict(entry.body["covers"]),
            entry.body["digest"],
            tuple(entry.body["report_digests"]),
            _still_true(book, outing, entry),
        )
        for number, entry in enumerate(signed, 1)
    )


def _closing(standing: Iterable[Entry]) -> Entry | None:
    """Return the last entry that closed the outing, among its entries that stand."""
    closing = None
    for entry in standing:
        if entry.kind == "outing-closed":
            closing = entry
    return closing


def _refuse_open(book: Book, outing: str, within: Within, of_devices: Iterable[Discrepancy]) -> None:
    things: tuple[OpenThing, ...] = open_of(read_outing(book.entries, outing, within), of_devices)
    blocking = [Problem("refused", thing.words) for thing in things if thing.blocks]
    if blocking:
        raise Refusal(blocking)


def _still_true(book: Book, outing: str, signed: Entry) -> bool:
    try:
        return signoff_digest(book, outing, signed.body["covers"]) == f"{signed.body['digest']}"
    except Refusal:  # something that was signed is not here
        return False
