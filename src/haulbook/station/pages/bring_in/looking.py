"""What handed-in sheets would bring: read with map and answers, and remembered until one of them changes."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from threading import Lock

from haulbook.custody.book import Book
from haulbook.exchange.answers import Answer
from haulbook.exchange.entries import entries_of
from haulbook.exchange.reading import Reading
from haulbook.office.account_book import account_book
from haulbook.office.already_here import ADD, CHOICES, FILE, LEAVE_OUT, OTHER, REPLACE
from haulbook.office.bring_in import Brought, OutingLine, look_through, read_with
from haulbook.permit.finding import Finding
from haulbook.problems import Problem, Refusal
from haulbook.station import clock
from haulbook.station.models import BringIn, EntryRow
from haulbook.station.pages.bring_in.handed import materials
from haulbook.station.store import permits, readings, reference
from haulbook.station.store.readings import Brief
from haulbook.taxa import Pack

JUDGED_ROWS = 2_000
"""Up to so many rows the permits are asked before anything is entered."""
SAID_ELSEWHERE = ("no-permit", "open-name")
"""Findings that the page says once for all of them: hauls in the time of no permit, names that stay open."""
_KEPT = 8
_lock = Lock()
_looked: OrderedDict[tuple[str, ...], Looked] = OrderedDict()


@dataclass(frozen=True, slots=True)
class Looked:
    """What sheets would bring, or why they can't be read yet.

    ``findings``: what the station's permits say of these sheets alone; None where they are too many to be judged before
    they are in.
    """

    brought: Brought | None
    problems: tuple[Problem, ...] = ()
    findings: tuple[Finding, ...] | None = None


@dataclass(frozen=True, slots=True)
class Meeting:
    """An outing of the sheets that the book has under the same key.

    Attributes
    ----------
    line : OutingLine
        In the sheets.
    brief : Brief
        In the book.
    devices : tuple of str
        That wrote of it.
    same_file : bool
        The very files of these sheets did.
    chosen : str
    """

    line: OutingLine
    brief: Brief
    devices: tuple[str, ...]
    same_file: bool
    chosen: str

    @property
    def choices(self) -> tuple[str, ...]:
        """What can be chosen: a file is never added to itself, and takes the place of files only."""
        never = {OTHER, ADD} if self.same_file else set()
        if not any(device.startswith(FILE) for device in self.devices):
            never.add(REPLACE)
        return tuple(choice for choice in CHOICES if choice not in never)

    @property
    def choice(self) -> str:
        """What was chosen, as far as it can be; left out where nobody chose."""
        return self.chosen if self.chosen in self.choices else LEAVE_OUT


def looked_through(row: BringIn) -> Looked:
    """Return what was handed in, as it reads now."""
    pack = reference.pack_of_station()
    key = (
        pack.key,
        pack.version,
        row.map,
        row.answers,
        *(f"{one['name']} {one['sha256']}" for one in row.files),
    )
    with _lock:
        if key in _looked:
            _looked.move_to_end(key)
            return _looked[key]
    try:
        with materials(row) as (paths, map_file, answers):
            reading, fit, unfit = read_with(paths, map_file, answers, pack)
            brought = look_through(reading, pack, fit, unfit)
            found = Looked(brought, (), _findings(reading, pack, fit))
    except Refusal as refusal:
        found = Looked(None, refusal.problems)
    with _lock:
        _looked[key] = found
        while len(_looked) > _KEPT:
            _looked.popitem(last=False)
    return found


def _findings(reading: Reading, pack: Pack, answers: tuple[Answer, ...]) -> tuple[Finding, ...] | None:
    if reading.rows > JUDGED_ROWS:
        return None
    known = permits.permits()
    if not known or not reading.hauls:
        return ()
    sheets = Book.of(entries_of(reading, pack, answers, None, "p1"))
    done = account_book(sheets, pack, permits=known, station=reference.station(), as_of=clock.now())
    return tuple(one for one in done.findings if one.grade != "note" and one.kind not in SAID_ELSEWHERE)


def meetings(brought: Brought, chosen: Mapping[str, str]) -> tuple[Meeting, ...]:
    """Return the outings that the book has already: three queries, however many they are.

    One whose every line was struck is not there any more.
    """
    ours = tuple(brought.devices.values())
    here = {brief.outing: brief for brief in readings.briefs() if brief.hauls or brief.animals}
    met = [line for line in brought.outings if line.outing in here]
    devices: dict[str, set[str]] = {}
    if met:
        rows = EntryRow.objects.filter(outing__range=(met[0].outing, met[-1].outing)).order_by()
        for outing, device in rows.values_list("outing", "device").distinct():
            devices.setdefault(str(outing), set()).add(device)
    return tuple(
        Meeting(
            line,
            here[line.outing],
            tuple(sorted(devices.get(line.outing, ()))),
            any(device.startswith(ours) for device in devices.get(line.outing, ())),
            chosen.get(line.outing, LEAVE_OUT),
        )
        for line in met
    )
