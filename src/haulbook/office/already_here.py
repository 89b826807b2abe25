"""Outings of sheets that a book has under the same key already: left out, lettered anew, added, or put in their place.

An outing's key is its day and a letter, so a sheet can make one that the book has: the same outing told again, or
another of that day. Nobody can know which; a person says it for each.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field
from string import ascii_lowercase
from typing import Any

from haulbook.custody.book import Book
from haulbook.custody.canonical import sha256_of
from haulbook.custody.entry import Draft, Entry, chain
from haulbook.custody.ids import uuid8
from haulbook.custody.striking import check_strike
from haulbook.problems import Refusal

LEAVE_OUT, OTHER, ADD, REPLACE = "leave-out", "other", "add", "replace"
CHOICES = (LEAVE_OUT, OTHER, ADD, REPLACE)
"""They are the same animals; it is another outing of that day; the same outing, other animals; a corrected sheet."""
FILE = "file-"
"""Begins the key of every device that is a file."""
MOST_STRUCK = 1000
"""Entries that one strike names; a longer one would be more than a device takes."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What becomes of the outings of sheets, settled before the first line is written so that it can be gone on with.

    Attributes
    ----------
    left_out : tuple of str
    renamed : mapping of outing to outing
        Its new letter.
    replaced : tuple of str
        Outings whose lines from earlier files are struck.
    again : int
        How many times these files were brought in before; their lines then need names of their own.
    """

    left_out: tuple[str, ...] = ()
    renamed: Mapping[str, str] = field(default_factory=dict)
    replaced: tuple[str, ...] = ()
    again: int = 0

    @property
    def mark(self) -> str:
        """What is added to the device of a file that is not brought in whole and as it is; empty where it is."""
        if not (self.left_out or self.renamed or self.again):
            return ""
        return "-" + sha256_of(repr((sorted(self.left_out), sorted(self.renamed.items()), self.again)))[:6]

    def as_json(self) -> dict[str, Any]:
        """Return it as it is stored."""
        return asdict(self)


def plan_of_json(obj: Mapping[str, Any]) -> Plan:
    """Return a stored plan."""
    return Plan(tuple(obj["left_out"]), dict(obj["renamed"]), tuple(obj["replaced"]), obj["again"])


def plan_for(outings: Iterable[str], choices: Mapping[str, str], taken: Iterable[str], again: int) -> Plan:
    """Return what becomes of each outing.

    Parameters
    ----------
    outings : iterable of str
        Of the sheets.
    choices : mapping of outing to choice
        Of those that the book has.
    taken : iterable of str
        All keys of the book; a new letter is the first that is free.
    again : int
    """
    outings = sorted(outings)
    known = {*taken, *outings}
    renamed: dict[str, str] = {}
    for outing in outings:
        if choices.get(outing) == OTHER:
            renamed[outing] = _free_key(outing, known)
            known.add(renamed[outing])
    return Plan(
        left_out=tuple(one for one in outings if choices.get(one) == LEAVE_OUT),
        renamed=renamed,
        replaced=tuple(one for one in outings if choices.get(one) == REPLACE),
        again=again,
    )


def as_planned(entries: Iterable[Entry], plan: Plan) -> tuple[Entry, ...]:
    """Return the entries of sheets as planned.

    Where no outing of theirs is in the book they stay byte for byte what reading the files gives. Else each file's
    entries become those of a device of its own, named after the plan: the same plan gives the same entries.

    Parameters
    ----------
    entries : iterable of Entry
        Chains of whole files.
    plan : Plan
    """
    if not plan.mark:
        return tuple(entries)
    drafts: dict[str, list[Draft]] = {}
    for entry in entries:
        if entry.outing not in plan.left_out:
            drafts.setdefault(f"{entry.device}{plan.mark}", []).append(_draft(entry, plan))
    return tuple(one for device, some in drafts.items() for one in chain(some, device))


def strikes_for(book: Book, outing: str, file: str) -> tuple[dict[str, Any], ...]:
    """Return bodies of strikes that take what earlier files say of an outing out of the account.

    Raises
    ------
    Refusal
        A tank or bucket would hold less than nothing without them.
    """
    ids = [
        entry.id
        for entry in book.standing()
        if entry.outing == outing and entry.device.startswith(FILE) and entry.kind != "strike"
    ]
    try:
        check_strike(book, ids)
    except Refusal as refusal:
        words = "; ".join(problem.message for problem in refusal.problems)
        raise Refusal(f"what earlier files say of {outing} can't be struck: {words}") from None
    reason = f"brought in again, corrected, from {file}"
    return tuple(
        {"entries": ids[i : i + MOST_STRUCK], "reason": reason} for i in range(0, len(ids), MOST_STRUCK)
    )


def _free_key(outing: str, known: Iterable[str]) -> str:
    day = outing.rpartition("-")[0]
    free = next((letter for letter in ascii_lowercase if f"{day}-{letter}" not in known), None)
    if free is None:
        raise Refusal(f"{day} has {len(ascii_lowercase)} outings already; no letter is left for another")
    return f"{day}-{free}"


def _draft(entry: Entry, plan: Plan) -> Draft:
    new = plan.renamed.get(entry.outing or "", entry.outing)
    body = dict(entry.body)
    if new != entry.outing:
        if "haul" in body:
            body["haul"] = _in_outing(body["haul"], new)
        if "lines" in body:
            body["lines"] = [{**line, "haul": _in_outing(line["haul"], new)} for line in body["lines"]]
    name = uuid8(f"{entry.id}{plan.mark}".encode())
    return Draft(name, entry.at, entry.made_at, entry.by, new, entry.kind, body)


def _in_outing(haul: str, outing: str | None) -> str:
    return f"{outing}/{haul.rpartition('/')[2]}"
