"""One lot's story: from the haul that brought it, through buckets and tanks, to what became of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from haulbook.custody.book import Book, in_time
from haulbook.custody.entry import Entry
from haulbook.custody.facts import Account, Animals
from haulbook.custody.fates import REPORT_COLUMN, Fate

_NAMES = {
    Fate.RETAINED_ALIVE: "kept alive", Fate.RETAINED_DEAD: "killed and kept", Fate.KILLED_NOT_KEPT: "killed, not kept",
    Fate.DIED_RETAINED: "died, kept", Fate.DIED_RELEASED: "died, not kept", Fate.RELEASED_ALIVE: "back alive",
    Fate.RELEASED_IN_NET: "let go in the net", Fate.SEEN_ESCAPED: "escaped", Fate.FATE_UNKNOWN: "lost",
    Fate.UNACCOUNTED: "not accounted for yet",
}  # fmt: skip
_LATER = {
    "died": "found dead in holding", "killed": "killed in holding", "given": "given away",
    "back": "let go after captivity", "lost": "missing, presumed dead",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Part:
    """Animals of a lot about which the same is true now.

    Attributes
    ----------
    n : int
    fate : str
        At the cut-off, in words: what the permit counts.
    bases : tuple of str
        Permit bases that each of them raises, in order.
    column : str
        Where the report has them.
    now : str
        Where they are, or what became of them later.
    late : bool
        Whether something happened after the cut-off that the report flags apart.
    cause : str or None
    """

    n: int
    fate: str
    bases: tuple[str, ...]
    column: str
    now: str
    late: bool
    cause: str | None


def parts_of(account: Account, haul: str, taxon: str) -> tuple[Part, ...]:
    """Return what became of the animals of one name out of one haul that were kept."""
    mine = [lot for lot in account.animals if (lot.haul, lot.taxon) == (haul, taxon) and _was_kept(lot)]
    return tuple(_part(lot) for lot in mine)


def _was_kept(lot: Animals) -> bool:
    return bool(lot.later) or lot.fate is Fate.RETAINED_ALIVE or lot.place.startswith("tank ")


def _part(lot: Animals) -> Part:
    last = lot.later[-1] if lot.later else None
    return Part(
        n=lot.n,
        fate=_NAMES[lot.fate],
        bases=tuple(sorted(lot.bases)),
        column=REPORT_COLUMN[lot.fate],
        now=f"{_LATER[last.kind]}, {last.at.first_day:%Y-%m-%d}" if last else lot.place,
        late=last is not None,
        cause=lot.cause,
    )


def story(entries: Iterable[Entry], haul: str, taxon: str) -> tuple[tuple[Entry, bool], ...]:
    """Return what was written about a lot, oldest first, each with whether it was struck.

    Of a line about several lots only their part is there.

    Told are the haul, every move and better name of these animals (under each name they have had), and the care,
    readings and counts of a tank while they stood in it.

    Parameters
    ----------
    entries : iterable of Entry
        The haul's outing, and the tank book.
    haul : str
        Key of a haul, or the id of the entry that brought animals out of no haul.
    taxon : str
        The name they have now.
    """
    book = Book.of(entries)
    struck, ordered = book.struck(), sorted(book.entries, key=in_time)
    names = _names_of(ordered, haul, taxon)
    in_tanks: dict[str, int] = {}
    found = []
    for entry in ordered:
        is_struck = entry.id in struck
        lines = [line for line in entry.body.get("lines", ()) if _is_of(line, haul, names)]
        if lines:
            found.append((replace(entry, body={**entry.body, "lines": lines}), is_struck))
        elif _of_its_haul(entry, haul) or _of_its_tank(entry, names, in_tanks):
            found.append((entry, is_struck))
        if entry.kind == "move" and not is_struck:
            _follow(lines, in_tanks)
    return tuple(found)


def _names_of(entries: Iterable[Entry], haul: str, taxon: str) -> frozenset[str]:
    """Return every name that animals of a haul have had that are called ``taxon`` now, or were called so once."""
    pairs = [
        (line["was"]["taxon"], line["now"]["taxon"])
        for entry in entries
        if entry.kind == "redetermination"
        for line in entry.body["lines"]
        if line["haul"] == haul
    ]
    names = {taxon}
    for _ in pairs:
        names |= {was for was, now in pairs if now in names}
    return frozenset(names)


def _is_of(line: Mapping[str, Any], haul: str, names: frozenset[str]) -> bool:
    if line["haul"] != haul:
        return False
    return bool(
        names & {line["was"]["taxon"], line["now"]["taxon"]} if "was" in line else line["taxon"] in names
    )


def _of_its_haul(entry: Entry, haul: str) -> bool:
    return entry.kind in ("haul-started", "haul-landed") and entry.body["haul"] == haul


def _of_its_tank(entry: Entry, names: frozenset[str], in_tanks: Mapping[str, int]) -> bool:
    if entry.kind not in ("care", "reading", "counted-again", "remark"):
        return False
    return in_tanks.get(entry.body.get("place", ""), 0) > 0 and entry.body.get("taxon") in (None, *names)


def _follow(lines: Iterable[Mapping[str, Any]], in_tanks: dict[str, int]) -> None:
    for line in lines:
        for place, n in ((line["from"], -line["n"]), (line["to"], line["n"])):
            if place.startswith("tank "):
                in_tanks[place] = in_tanks.get(place, 0) + n
