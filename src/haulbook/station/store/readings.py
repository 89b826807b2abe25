"""Readings of the book, kept: each outing's, the tank book's, and what needs all of them.

A reading holds until an entry touches it (``store.noting``). It is then made anew by whoever asks first; an outing's
takes some tens of milliseconds. What needs all outings takes longer where a station is large: those who ask
meanwhile get the one before, and are told so.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import asdict, dataclass
from typing import Any, TypeVar, cast

from django.db.models import F, Max

from haulbook.custody.book import Book
from haulbook.custody.chains import ChainRow
from haulbook.custody.discrepancy import Discrepancy
from haulbook.custody.facts import Account
from haulbook.custody.facts_json import outing_as_json, outing_from_json, tanks_as_json, tanks_from_json
from haulbook.custody.fates import Basis
from haulbook.custody.reading_chains import read_chains
from haulbook.custody.reading_outing import OutingReading, joined, read_outing
from haulbook.custody.reading_tanks import TankReading, read_tanks
from haulbook.custody.touching import TANKS, hosts
from haulbook.office.signing import state_of, versions
from haulbook.problems import Refusal
from haulbook.station.models import Device, EntryRow, Reading
from haulbook.station.store import aside, book
from haulbook.station.store.noting import OUTING, WHOLE
from haulbook.station.store.reference import pack_of_station

T = TypeVar("T")

MOST_KEPT = 20
"""Readings kept of one name, with other inputs."""
NO_MATTER_S = 60.0
"""Seconds up to which a clock may be off; only from 120 on it is a discrepancy."""
MOST_READ = 600
"""Outings' readings that stay in this process' memory: some 100 MB in a station of 200 000 entries."""
AT_ONCE = 3_000
"""Up to so many entries a reading of the whole book is made while one waits."""


@dataclass(frozen=True, slots=True)
class Brief:
    """What lists say of one outing.

    Attributes
    ----------
    outing, site, day : str
        ``day`` as YYYY-MM-DD, in the outing's key or of its first haul; empty where nobody said.
    state : str
        As ``office.signing`` names it.
    signed_at : str or None
    versions : int
        Signed versions so far.
    hauls, animals, kept, dead : int
        Animals are individuals captured.
    blocking, printed : int
        Open things that stop closing, and those that are only printed.
    difference : int
        Individuals not accounted for.
    taxa, nets : list of str
    """

    outing: str
    site: str
    day: str
    state: str
    signed_at: str | None
    versions: int
    hauls: int
    animals: int
    kept: int
    dead: int
    blocking: int
    printed: int
    difference: int
    taxa: list[str]
    nets: list[str]


def outing(key: str) -> OutingReading:
    """Return what the book says of an outing: three queries where it is at hand."""
    row = Reading.objects.filter(kind=OUTING, key=key).first()
    return (row and _kept(row, outing_from_json)) or _make_outing(key)[0]


_read: dict[str, tuple[str, Any]] = {}
"""Readings as this process read them last, each with the text that it was read from; the latest behind."""


def _kept(row: Reading, read: Callable[[str], T]) -> T | None:
    """Return the reading that a row holds; None where an entry touched it since, or its form is an older one."""
    if row.position < row.wanted:
        return None
    text, made = _read.pop(row.key, (None, None))
    if text != row.body:
        try:
            made = read(row.body)
        except Refusal:
            return None
    _read[row.key] = (row.body, made)
    while len(_read) > MOST_READ:
        _read.pop(next(iter(_read)), None)
    return cast("T", made)


def outings() -> tuple[str, ...]:
    """Return the keys of all outings of the book, in order."""
    rows = Reading.objects.filter(kind=OUTING).exclude(key=TANKS)
    return tuple(rows.order_by("key").values_list("key", flat=True))


def briefs() -> tuple[Brief, ...]:
    """Return what lists say of every outing, in order of their keys; one query where all are at hand."""
    rows = Reading.objects.filter(kind=OUTING).exclude(key=TANKS).defer("body").order_by("key")
    return tuple(
        Brief(**row.brief)
        if row.position >= row.wanted and row.brief.keys() == Brief.__dataclass_fields__.keys()
        else _make_outing(row.key)[1]
        for row in rows
    )


def tanks() -> TankReading:
    """Return what the tanks hold, and what happened in them."""
    row = Reading.objects.filter(kind=OUTING, key=TANKS).first()
    if row is None:
        return read_tanks(())
    return _kept(row, tanks_from_json) or _make_tanks()


def account(keys: Iterable[str] | None = None) -> Account:
    """Return the account of some outings, or all, put together from their readings."""
    rows = Reading.objects.filter(kind=OUTING).exclude(key=TANKS)
    if keys is not None:
        rows = rows.filter(key__in=list(keys))
    read = [(row.key, _kept(row, outing_from_json)) for row in rows.order_by("key")]
    # made only when all are fetched: with a cursor open, SQLite lets nobody write who has not seen the last commit
    return joined((made or _make_outing(key)[0]).account for key, made in read)


@dataclass(frozen=True, slots=True)
class Derived:
    """A reading of the whole book. ``behind``: entries that came in since and are not in it yet."""

    value: Any
    behind: int = 0


def newest() -> int:
    """Return the position of the last entry; 0 in an empty book."""
    return EntryRow.objects.aggregate(n=Max("position"))["n"] or 0


def derived(name: str, inputs: str, make: Callable[[], Any], on: str = "") -> Derived:
    """Return a reading of the whole book, kept under its name and what it was made from.

    Parameters
    ----------
    name : str
        What it is, as ``standings``.
    inputs : str
        Everything that it depends on beside the book, as a digest: other inputs, another reading.
    make : callable
        Returns what is to be kept, as JSON takes it. Called at once in a small station; in a large one beside the page,
        which then gets the reading before, or says that the first is being made (``aside.first``).
    on : str
        The day it is of. Another day's is out of date, and shown like one that lacks entries.
    """
    key, last = f"{name}|{inputs}", newest()
    row = Reading.objects.filter(kind=WHOLE, key=key).first()
    kept = json.loads(row.body) if row is not None and row.body else None
    if not (isinstance(kept, dict) and kept.keys() == {"on", "value"}):  # of an older form
        kept = None
    if kept is not None and row is not None and row.position >= last and kept["on"] == on:
        return Derived(kept["value"])
    if last <= AT_ONCE:
        return Derived(_make_whole(key, make, last, on))
    if kept is None or row is None:
        return Derived(aside.first(key, lambda: _make_whole(key, make, last, on)))
    aside.work(key, lambda: _make_whole(key, make, last, on))
    return Derived(kept["value"], max(1, EntryRow.objects.filter(position__gt=row.position).count()))


def _make_whole(key: str, make: Callable[[], Any], last: int, on: str) -> Any:
    text = json.dumps({"on": on, "value": make()}, ensure_ascii=False, separators=(",", ":"))
    Reading.objects.update_or_create(
        kind=WHOLE, key=key, defaults={"wanted": last, "position": last, "body": text}
    )
    name = key.partition("|")[0]
    kept = Reading.objects.filter(kind=WHOLE, key__startswith=f"{name}|").order_by("-position", "-pk")
    Reading.objects.filter(pk__in=list(kept.values_list("pk", flat=True)[MOST_KEPT:])).delete()
    return json.loads(text)["value"]


_remembered: dict[str, tuple[int, Any]] = {}


def remembered(name: str, inputs: str, make: Callable[[], T]) -> tuple[T, int]:
    """Return what was made of the whole book and is no JSON, from this process' memory; else as :func:`derived`.

    Returns
    -------
    value, behind
    """
    key, last = f"{name}|{inputs}", newest()

    def made() -> T:
        value = make()
        _remembered[key] = (last, value)
        while len(_remembered) > MOST_KEPT:
            _remembered.pop(next(iter(_remembered)), None)
        return value

    there = _remembered.get(key)
    if there is not None and there[0] == last:
        return cast("T", there[1]), 0
    if last <= AT_ONCE:
        return made(), 0
    if there is None or there[0] > last:  # beyond the last: another station's, as in tests
        return aside.first(key, made), 0
    aside.work(key, made)
    return cast("T", there[1]), EntryRow.objects.filter(position__gt=there[0]).count()


def _make_outing(key: str) -> tuple[OutingReading, Brief]:
    wanted = Reading.objects.filter(kind=OUTING, key=key).values_list("wanted", flat=True).first() or 0
    entries = list(book.entries_of(book.outing_rows(key)))
    for other in sorted(hosts(entries, key)):
        entries += book.entries_of(book.outing_rows(other))
    made = read_outing(entries, key, pack_of_station().is_within)
    own = Book.of(entries)
    brief = _brief(made, own)
    Reading.objects.filter(kind=OUTING, key=key, position__lte=wanted).update(
        position=wanted, brief=asdict(brief), body=outing_as_json(made)
    )
    return made, brief


def _brief(made: OutingReading, own: Book) -> Brief:
    animals = [lot for lot in made.account.animals if lot.unit == "individual"]
    signed = versions(own, made.outing)
    hauls = made.account.hauls
    day = made.outing[:10] if made.outing[:4].isdigit() else ""
    captured = sum(lot.n for lot in animals if Basis.CAPTURED in lot.bases)
    return Brief(
        outing=made.outing,
        site=_storable(next((haul.site for haul in hauls if haul.site), "")),
        day=day,
        state=state_of(own, made.outing),
        signed_at=signed[-1].at if signed else None,
        versions=len(signed),
        hauls=len(hauls),
        animals=captured,
        kept=sum(lot.n for lot in animals if Basis.RETAINED in lot.bases),
        dead=sum(lot.n for lot in animals if {Basis.DIED, Basis.KILLED} & lot.bases or _died_later(lot)),
        blocking=sum(thing.blocks for thing in made.open),
        printed=sum(not thing.blocks for thing in made.open),
        difference=sum(one.n for one in made.account.short if one.unit == "individual"),
        taxa=sorted({_storable(lot.taxon) for lot in made.account.animals}),
        nets=sorted({_storable(haul.net) for haul in hauls if haul.net}),
    )


def _storable(text: str) -> str:
    """Return text as both databases take it: PostgreSQL's JSON holds no character U+0000."""
    return text.replace("\x00", "")


def _died_later(lot: Any) -> bool:
    return any(event.kind in ("died", "killed", "lost") for event in lot.later)


def _make_tanks() -> TankReading:
    wanted = Reading.objects.filter(kind=OUTING, key=TANKS).values_list("wanted", flat=True).first() or 0
    made = read_tanks(book.entries_of(book.tank_rows()))
    Reading.objects.filter(kind=OUTING, key=TANKS, position__lt=wanted).update(
        position=wanted, body=tanks_as_json(made)
    )
    return made


def chains() -> tuple[Discrepancy, ...]:
    """Return gaps and forks of every device's chain, and clocks that are off; ``open_of`` adds them to an outing's."""
    known = Device.objects.values_list("key", "clock_off_s")
    clocks = {device: off for device, off in known if off is not None and abs(off) > NO_MATTER_S}
    inputs = ",".join(f"{device}:{round(off)}" for device, off in sorted(clocks.items()))

    def make() -> list[dict[str, Any]]:
        rows = EntryRow.objects.values_list("device", "seq", "hash", "prev", "entry", "outing")
        said = book.entries_of(EntryRow.objects.filter(kind__in=("outing-signed", "settled", "strike")))
        links = (ChainRow(*row) for row in rows.iterator(chunk_size=5_000))
        return [asdict(one) for one in read_chains(links, said, clocks)]

    found = derived("chains", inputs, make).value
    return tuple(Discrepancy(**{**one, "entries": tuple(one["entries"])}) for one in found)


def made_anew(key: str) -> str:
    """Return the text of a reading, worked out now; for comparing with the one that is kept."""
    return tanks_as_json(_make_tanks()) if key == TANKS else outing_as_json(_make_outing(key)[0])


def stale() -> int:
    """Return how many outings' readings wait to be made anew."""
    return Reading.objects.filter(kind=OUTING, position__lt=F("wanted")).count()


def freshen() -> Iterator[str]:
    """Make every reading anew that an entry touched, saying each outing as it is done."""
    waiting = Reading.objects.filter(kind=OUTING, position__lt=F("wanted"))
    for key in list(waiting.order_by("key").values_list("key", flat=True)):
        if key == TANKS:
            _make_tanks()
        else:
            _make_outing(key)
        yield key
