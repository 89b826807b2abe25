"""What is worked out of single entries when they come in: whose reading each touches, and its words for searching."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping, Sequence

from haulbook.custody.entry import Entry
from haulbook.custody.touching import speaks_of, touches
from haulbook.station.models import EntryRow, Naming, Reading, Said, Touch

OUTING, WHOLE = "outing", "whole"
"""Kinds of reading: of one outing or the tank book; and of the whole book."""
LONGEST = 64
"""Characters of an outing's key; what a ``settled`` entry names beyond that is none."""
_BATCH = 2_000
_MOST_IN = 500  # ids in one query: SQLite takes a limited number of words


def note(placed: Iterable[tuple[int, Entry]]) -> None:
    """Write down what entries touch, name and say, and that the readings they touch must be made anew.

    Parameters
    ----------
    placed : iterable of (position, Entry)
        Entries that stand in the table.
    """
    placed = list(placed)
    if not placed:
        return
    earlier = _speaking_of({entry.id for _, entry in placed})
    every = [*placed, *((n, entry) for n, entry in earlier if n not in {position for position, _ in placed})]
    subjects = _subjects(every)
    newest = max(position for position, _ in placed)
    marks = [
        Touch(position=position, subject=subject)
        for position, entry in every
        for subject in sorted(subjects[position])
        if subject != entry.outing and len(subject) <= LONGEST
    ]
    Touch.objects.bulk_create(marks, ignore_conflicts=True, batch_size=_BATCH)
    names = [
        Naming(position=position, named=named)
        for position, entry in placed
        for named in sorted(speaks_of(entry))
    ]
    Naming.objects.bulk_create(names, ignore_conflicts=True, batch_size=_BATCH)
    said = [
        Said(position=position, outing=entry.outing, kind=entry.kind, at=entry.at, text=text)
        for position, entry in placed
        if (text := words_of(entry))
    ]
    Said.objects.bulk_create(said, ignore_conflicts=True, batch_size=_BATCH)
    touched = {subject for found in subjects.values() for subject in found if len(subject) <= LONGEST}
    _want(OUTING, dict.fromkeys(sorted(touched), newest))
    Reading.objects.filter(kind=WHOLE).update(wanted=newest)


def _want(kind: str, wanted: Mapping[str, int]) -> None:
    rows = [Reading(kind=kind, key=key, wanted=position) for key, position in wanted.items()]
    Reading.objects.bulk_create(
        rows,
        update_conflicts=True,
        unique_fields=["kind", "key"],
        update_fields=["wanted"],
        batch_size=_BATCH,
    )


def _subjects(every: Sequence[tuple[int, Entry]]) -> dict[int, frozenset[str]]:
    """Return what each entry touches. Those that speak of others are asked again until nothing more is found."""
    known = _stored_subjects({named for _, entry in every for named in speaks_of(entry)})
    guests: dict[str, frozenset[str]] = {}

    def guests_of(outing: str) -> frozenset[str]:
        if outing not in guests:
            guests[outing] = _stored_guests(outing)
        return guests[outing]

    found: dict[int, frozenset[str]] = {}

    def ask(pairs: Sequence[tuple[int, Entry]]) -> bool:
        grown = False
        for position, entry in pairs:
            subjects = touches(entry, lambda named: known.get(named, frozenset()), guests_of)
            grown = grown or subjects != found.get(position, frozenset())
            found[position] = subjects
            known[entry.id] = known.get(entry.id, frozenset()) | subjects
            if entry.outing is not None:
                guests[entry.outing] = guests_of(entry.outing) | (subjects - {entry.outing})
        return grown

    ask([pair for pair in every if not speaks_of(pair[1])])
    speaking = [pair for pair in every if speaks_of(pair[1])]
    while ask(speaking):
        pass
    return found


def _speaking_of(ids: Collection[str]) -> list[tuple[int, Entry]]:
    """Return the entries that came in before and speak of one of these, or of one that does."""
    found: dict[int, Entry] = {}
    asked = set(ids)
    while asked:
        positions = {
            position
            for some in _parts(asked)
            for position in Naming.objects.filter(named__in=some).values_list("position", flat=True)
        } - found.keys()
        rows = EntryRow.objects.filter(position__in=positions) if positions else EntryRow.objects.none()
        new = {row.position: Entry(**json.loads(row.line)) for row in rows}
        found |= new
        asked = {entry.id for entry in new.values()}
    return list(found.items())


def _stored_subjects(ids: Collection[str]) -> dict[str, frozenset[str]]:
    found: dict[str, frozenset[str]] = {}
    for some in _parts(ids):
        rows = list(EntryRow.objects.filter(entry__in=some).values_list("position", "entry", "outing"))
        touched: dict[int, set[str]] = {}
        marks = Touch.objects.filter(position__in=[position for position, _, _ in rows])
        for position, subject in marks.values_list("position", "subject"):
            touched.setdefault(position, set()).add(subject)
        for position, entry, outing in rows:
            own = {outing} if outing is not None else set()
            found[entry] = found.get(entry, frozenset()) | own | touched.get(position, set())
    return found


def _stored_guests(outing: str) -> frozenset[str]:
    """Return the other outings whose animals entries of this one name."""
    own = EntryRow.objects.filter(outing=outing).values("position")
    others = Touch.objects.filter(position__in=own).values_list("subject", flat=True).distinct()
    return frozenset(others) - {outing}


def _parts(ids: Collection[str]) -> Iterable[list[str]]:
    every = sorted(ids)
    return (every[i : i + _MOST_IN] for i in range(0, len(every), _MOST_IN))


def words_of(entry: Entry) -> str:
    """Return the words of an entry: the call as said, a remark, a reason."""
    body = entry.body
    parts = [body.get("text"), body.get("reason"), body.get("why"), body.get("remark"), body.get("answer")]
    parts += [line.get("said") for line in body.get("lines", ()) if isinstance(line, Mapping)]
    words = " · ".join(dict.fromkeys(part for part in parts if isinstance(part, str) and part))
    return words.replace("\x00", "")  # which PostgreSQL holds for no text
