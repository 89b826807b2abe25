"""What became other between two signed versions of an outing, or since the last one, and because of what."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from haulbook.custody.book import Book
from haulbook.custody.entry import Entry
from haulbook.custody.facts import Account, Haul
from haulbook.custody.fates import Fate
from haulbook.custody.hauls import haul_order
from haulbook.custody.reading_outing import read_outing
from haulbook.custody.when import When
from haulbook.office.signing import Signed
from haulbook.publish.words import FATE_WORDS, UNIT_WORDS

LENGTHS, PRESENT, NONE_FOUND = "lengths", "seen, not counted", "searched and none found"
_OF_HAUL = {
    "site": "site", "net": "net", "set_type": "set", "started": "started", "landed": "landed", "ended": "ended",
    "condition": "condition", "why": "why", "measures": "measures", "depth_m": "depth in m",
    "area_m2": "area in m²", "lat": "latitude", "lon": "longitude",
}  # fmt: skip
"""What of a haul can become other, as it is called."""


class Kind(NamedTuple):
    """Animals of one kind out of one haul; ``taxon`` is None for the haul itself."""

    haul: str
    taxon: str | None = None
    stage: str | None = None
    unit: str = "individual"


@dataclass(frozen=True, slots=True)
class Change:
    """What became other about one haul, or about one kind of animals in it.

    Attributes
    ----------
    haul : str
    taxon, stage, unit : str
        ``taxon`` is None where the haul itself became other.
    numbers : tuple of (Fate or str, int, int)
        Each fate with its numbers before and after; also lengths taken, and 0 or 1 for what was seen without a
        number or searched without finding.
    facts : tuple of (str, str, str)
        What of the haul, before and after; ``-`` where nobody said.
    because : tuple of str
        Reasons and calls of the entries that made it so, as written.
    entries : tuple of str
        Their ids.
    words : str
        All of it in one line.
    """

    haul: str
    taxon: str | None
    stage: str | None
    unit: str
    numbers: tuple[tuple[Fate | str, int, int], ...]
    facts: tuple[tuple[str, str, str], ...]
    because: tuple[str, ...]
    entries: tuple[str, ...]
    words: str


def difference(
    book: Book, outing: str, a: Signed, b: Signed | None = None, name: Callable[[str], str] = str
) -> tuple[Change, ...]:
    """Return what became other between two signed versions of an outing.

    Each version is what its sign-off covers. What belongs to no outing, as moves in tanks, is no part of a
    sign-off and is read in both.

    Parameters
    ----------
    book : Book
        Of the outing, with the entries that touch it.
    outing : str
    a, b : Signed
        The older and the newer; ``b`` None: as it stands now.
    name : callable
        What a taxon's key is called.
    """
    before = _entries(book, outing, a.covers)
    after = _entries(book, outing, b.covers) if b else list(book.entries)
    was, now = read_outing(before, outing).account, read_outing(after, outing).account
    known = set(before)
    new = [entry for entry in after if entry not in known]
    by_id = {entry.id: entry for entry in book.entries}
    return tuple(
        _change(kind, numbers, facts, _reasons(kind, new, by_id), name)
        for kind, numbers, facts in _all(was, now)
    )


def _entries(book: Book, outing: str, covers: Mapping[str, int]) -> list[Entry]:
    """Return what a sign-off covers, and what no sign-off of this outing speaks of."""
    ours = {entry.id for entry in book.entries if entry.outing == outing}

    def signed(entry: Entry) -> bool:
        strikes_ours = entry.kind == "strike" and not ours.isdisjoint(entry.body["entries"])
        return entry.outing == outing or strikes_ours

    return [entry for entry in book.entries if not signed(entry) or entry.seq <= covers.get(entry.device, 0)]


Numbers = tuple[tuple[Fate | str, int, int], ...]
Facts = tuple[tuple[str, str, str], ...]


def _all(was: Account, now: Account) -> Iterator[tuple[Kind, Numbers, Facts]]:
    """Yield what became other, haul by haul: the haul itself first, then its animals by name."""
    hauls = {haul.key: haul for haul in was.hauls}, {haul.key: haul for haul in now.hauls}
    told = {Kind(key): _facts(hauls[0].get(key), hauls[1].get(key)) for key in hauls[0] | hauls[1]}
    before, after = _numbers(was), _numbers(now)
    counted = {kind: _changed(before.get(kind, {}), after.get(kind, {})) for kind in before | after}
    for kind in sorted(
        told | counted, key=lambda kind: (*haul_order(kind.haul), *(one or "" for one in kind))
    ):
        numbers, facts = counted.get(kind, ()), told.get(kind, ())
        if numbers or facts:
            yield kind, numbers, facts


def _numbers(account: Account) -> dict[Kind, Counter[Fate | str]]:
    found: dict[Kind, Counter[Fate | str]] = {}
    for lot in account.animals:
        found.setdefault(Kind(lot.haul, lot.taxon, lot.stage, lot.unit), Counter())[lot.fate] += lot.n
    for taken in account.lengths:
        found.setdefault(Kind(taken.haul, taken.taxon, taken.stage), Counter())[LENGTHS] += len(taken.mm)
    for what, pairs in ((PRESENT, account.present), (NONE_FOUND, account.none_found)):
        for haul, taxon in pairs:
            found.setdefault(Kind(haul, taxon), Counter())[what] = 1
    return found


def _changed(was: Mapping[Fate | str, int], now: Mapping[Fate | str, int]) -> Numbers:
    order = [*FATE_WORDS, LENGTHS, PRESENT, NONE_FOUND]
    return tuple(
        (what, was.get(what, 0), now.get(what, 0)) for what in order if was.get(what, 0) != now.get(what, 0)
    )


def _facts(was: Haul | None, now: Haul | None) -> Facts:
    said = [(word, _said(was, name), _said(now, name)) for name, word in _OF_HAUL.items()]
    return tuple(fact for fact in said if fact[1] != fact[2])


def _said(haul: Haul | None, name: str) -> str:
    value = getattr(haul, name, None)
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {one.m:g} m {one.basis}" for key, one in sorted(value.items())) or "-"
    if isinstance(value, When):
        return value.text
    return "-" if value is None else f"{value}"


def _reasons(kind: Kind, new: Iterable[Entry], by_id: Mapping[str, Entry]) -> dict[str, tuple[str, ...]]:
    """Return the new entries that speak of a kind, each with its reasons and calls.

    Where none does, it was a place: what a bucket was for, or that it left the beach.
    """
    found: dict[str, tuple[str, ...]] = {}
    of_places: dict[str, tuple[str, ...]] = {}
    for entry in new:
        named = entry.body["entries"] if entry.kind == "strike" else ()
        meant = [by_id[one] for one in named if one in by_id] or [entry]
        said = tuple(word for key in ("reason", "why", "text") if (word := entry.body.get(key)))
        lines = [line for one in meant for line in _lines(one) if _about(kind, line)]
        if lines:
            calls = (line.get("said") for line in lines) if entry.kind == "move" else ()
            found[entry.id] = (*said, *(f"{call}" for call in calls if call))
        elif any(one.kind == "place" for one in meant):
            of_places[entry.id] = said or (_act(entry),)
    return found or of_places


def _lines(entry: Entry) -> Iterator[Mapping[str, object]]:
    """Yield what an entry says, piece by piece, each with its haul and, of animals, its taxon."""
    if entry.kind == "move":
        yield from entry.body["lines"]
    elif entry.kind == "redetermination":
        yield from ({**line, **line[side]} for line in entry.body["lines"] for side in ("was", "now"))
    elif entry.kind == "searched-and-none":
        yield from ({"haul": entry.body["haul"], "taxon": taxon} for taxon in entry.body["taxa"])
    elif "haul" in entry.body:
        yield entry.body


def _about(kind: Kind, line: Mapping[str, object]) -> bool:
    return line["haul"] == kind.haul and line.get("taxon") == kind.taxon


def _act(entry: Entry) -> str:
    return f"{entry.body['place']}: {entry.body.get('purpose') or entry.body['act']}"


def _change(
    kind: Kind,
    numbers: Numbers,
    facts: Facts,
    reasons: Mapping[str, tuple[str, ...]],
    name: Callable[[str], str],
) -> Change:
    because = tuple(dict.fromkeys(word for words in reasons.values() for word in words))
    parts = [_number(*one) for one in numbers] + [f"{what} {was} → {now}" for what, was, now in facts]
    words = f"{_subject(kind, name)}: {', '.join(parts)}"
    if because:
        words += f", because {', '.join(f'“{word}”' for word in because)}"
    return Change(*kind, numbers, facts, because, tuple(reasons), words)


def _subject(kind: Kind, name: Callable[[str], str]) -> str:
    parts = [f"haul {kind.haul.rpartition('/')[2]}"]
    if kind.taxon is not None:
        stage = f" ({kind.stage})" if kind.stage and kind.unit == "individual" else ""
        parts.append(f"{name(kind.taxon)}{stage}")
    if kind.unit != "individual":
        parts.append(UNIT_WORDS[kind.unit])
    return ", ".join(parts)


def _number(what: Fate | str, was: int, now: int) -> str:
    if what in (PRESENT, NONE_FOUND):
        return f"{what}: {'now' if now else 'no longer'}"
    said = FATE_WORDS[what] if isinstance(what, Fate) else what
    return f"{said} {was} → {now}"
