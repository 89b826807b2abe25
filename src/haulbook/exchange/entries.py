"""What sheets say becomes entries of a book: the same files always give the same entries, byte for byte.

Each file is a device of its own (``file-`` and 12 digits of its SHA-256); the name of an entry follows from
the file's digest, sheet, row and line. A sheet knows one time a haul: started, landed and ended all carry it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, time
from typing import Any

from haulbook.custody.canonical import LEAST_POSITION
from haulbook.custody.entry import Draft, Entry, chain
from haulbook.custody.ids import uuid8
from haulbook.custody.when import When
from haulbook.exchange.answers import Answer
from haulbook.exchange.catch_lines import KEPT, Line, lines_of
from haulbook.exchange.outings import Placed, last_at, place_hauls
from haulbook.exchange.reading import Reading
from haulbook.exchange.sheet_catch import Catch
from haulbook.exchange.sheet_names import Names
from haulbook.problems import Problem, Refusal
from haulbook.taxa import Pack

NOBODY_SAID = 9
"""Condition of a haul of which the sheet says none."""


def entries_of(
    reading: Reading, pack: Pack, answers: Iterable[Answer], made_at: str | None, by: str
) -> tuple[Entry, ...]:
    """Return the entries that a reading makes.

    Parameters
    ----------
    reading : Reading
        Made with the same answers.
    pack : Pack
    answers : iterable of Answer
        Those about names are used here.
    made_at : str or None
        Instant with offset at which the sheets were read. None: each entry was written when what it says
        happened, at the end of the day where the sheet knows no more.
    by : str
        Key of the person who reads them in.

    Returns
    -------
    tuple of Entry
        One chain a file, in the order in which the files were handed in.

    Raises
    ------
    Refusal
        Where a haul has no day at all, or an answer fits no name of the sheets.
    """
    answers = tuple(answers)
    _refuse_strange_names(reading, answers)
    writer = _Writer(reading, Names(reading.codes, pack, answers), pack, made_at, by)
    writer.open_hauls()
    for catch in reading.catches:
        writer.catch(catch)
    writer.lengths()
    writer.readings()
    writer.end_hauls()
    return tuple(entry for device, drafts in writer.drafts.items() for entry in chain(drafts, device))


def device_of(digest: str) -> str:
    """Return the key under which the lines of a file stand in a book."""
    return f"file-{digest[:12]}"


def _refuse_strange_names(reading: Reading, answers: Iterable[Answer]) -> None:
    written = {name for catch in reading.catches for name in catch.name.values}
    strange = [a for a in answers if a.about == "name" and not a.open and a.key not in written]
    if strange:
        raise Refusal(
            Problem("refused", f"an answer no longer fits: no name {answer.key!r} stands in the sheets")
            for answer in strange
        )


class _Writer:
    """Writes drafts, one list a file."""

    def __init__(self, reading: Reading, names: Names, pack: Pack, made_at: str | None, by: str) -> None:
        self.reading, self.names, self.pack = reading, names, pack
        self.made_at, self.by = made_at, by
        self.placed = place_hauls(reading.hauls)
        self.buckets: Counter[str] = Counter()  # to keep, of each outing: one a table of a catch
        self.drafts: dict[str, list[Draft]] = {device_of(d): [] for d in reading.digests.values()}

    def write(self, place: Any, line: str, kind: str, at: str, outing: str, body: Mapping[str, Any]) -> None:
        """Write one draft for what stands in a row of a file."""
        digest = self.reading.digests[place.file]
        name = uuid8(f"{digest}\n{place.sheet or ''}\n{place.row}\n{line}".encode())
        made_at = self.made_at or _written(at)
        self.drafts[device_of(digest)].append(Draft(name, at, made_at, self.by, outing, kind, body))

    def open_hauls(self) -> None:
        """Write the opening of each outing, and start and landing of each haul."""
        opened: set[str] = set()
        for one in self.placed.values():
            if one.outing not in opened:
                opened.add(one.outing)
                self.write(one.haul, "outing-opened", "outing-opened", one.at, one.outing, self._opened())
            self.write(one.haul, "haul-started", "haul-started", one.at, one.outing, _started(one))
            self.write(one.haul, "haul-landed", "haul-landed", one.at, one.outing, _landed(one))
            for n, text in enumerate(one.haul.remarks):
                self.write(
                    one.haul, f"remark {n}", "remark", one.at, one.outing, {"haul": one.key, "text": text}
                )

    def _opened(self) -> dict[str, Any]:
        pack = {"pack": self.pack.key, "version": self.pack.version}
        return {"plan": None, "digest": None, **pack, "permits": [], "looked_for": []}

    def catch(self, catch: Catch) -> None:
        """Write one move a row with animals; and what was present, searched for, or measured in a lump."""
        default = self.reading.sheet_map.default_fate or "net"
        used: dict[str, Line] = {}
        for line in lines_of(catch, self.names, default, self.reading.remark_fates):
            one = self.placed.get(line.haul)
            if one is None:
                continue
            bucket = f"bucket {self.buckets[one.outing] + 1}"
            if KEPT in line.places and one.outing not in used:
                used[one.outing] = line
                body = {"place": bucket, "act": "set-up", "purpose": "keep"}
                self.write(line, f"set-up {one.outing}", "place", one.at, one.outing, body)
            for kind, body in line.bodies(one.key, bucket):
                self.write(line, f"{kind} {line.column}", kind, one.at, one.outing, body)
        for outing, line in used.items():
            self.buckets[outing] += 1
            at = last_at(one for one in self.placed.values() if one.outing == outing)
            body = {"place": f"bucket {self.buckets[outing]}", "act": "left-beach"}
            self.write(line, f"left-beach {outing}", "place", at, outing, body)

    def lengths(self) -> None:
        """Write the lengths of sheets of their own."""
        for group in self.reading.lengths:
            one = self.placed.get(group.haul)
            if one is not None:
                named = self.names.of(group.name)
                body: dict[str, Any] = {
                    "haul": one.key,
                    "taxon": named.taxon,
                    "length_type": group.length_type,
                    "mm": list(group.mm),
                }
                stage = group.our_stage or named.stage
                if stage:
                    body["stage"] = stage
                self.write(group, "lengths", "lengths", one.at, one.outing, body)

    def readings(self) -> None:
        """Write what was read off the water."""
        for reading in self.reading.readings:
            one = self.placed.get(reading.haul)
            if one is not None:
                body: dict[str, Any] = {"haul": one.key, "instrument": reading.instrument, **reading.values}
                if "ph" in reading.values:
                    body["scale"] = "not stated"
                self.write(reading, "reading", "reading", one.at, one.outing, body)

    def end_hauls(self) -> None:
        """Write the end of each haul."""
        for one in self.placed.values():
            self.write(one.haul, "haul-ended", "haul-ended", one.at, one.outing, {"haul": one.key})


def _written(at: str) -> str:
    """Return the instant itself, else the end of the last day that ``at`` speaks of."""
    when = When(at)
    return at if when.instant else datetime.combine(when.last_day, time(23, 59, 59), UTC).isoformat()


def _started(one: Placed) -> dict[str, Any]:
    haul = one.haul
    body: dict[str, Any] = {"haul": one.key, "label": haul.key}
    for word in ("site", "net", "set_type"):
        if getattr(haul, word):
            body[word] = getattr(haul, word)
    if haul.area_m2 is not None and not haul.measures:
        body.setdefault("set_type", "given")
    if haul.lat is not None and haul.lon is not None:
        body |= {"lat": _position(haul.lat), "lon": _position(haul.lon)}
    return body


def _position(degrees: float) -> float:
    """Return decimal degrees as a book holds them: six decimals, four beside the equator or Greenwich."""
    return round(degrees, 6) if abs(degrees) >= LEAST_POSITION else round(degrees, 4)


def _landed(one: Placed) -> dict[str, Any]:
    haul = one.haul
    body: dict[str, Any] = {"haul": one.key, "condition": haul.condition or NOBODY_SAID}
    if haul.why:
        body["why"] = haul.why
    for letter, metres in haul.measures.items():
        body[letter] = {"m": metres, "basis": "measured"}
    if haul.depth_m is not None:
        body["depth_m"] = haul.depth_m
    if haul.area_m2 is not None:
        body["area"] = {"m2": haul.area_m2, "basis": "measured", "said_by": "the sheet"}
    return body
