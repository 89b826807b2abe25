"""The holding room: what each tank has, and what it waits for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from haulbook.care.tank.checks import Check, Refusals, checks, refused_days
from haulbook.care.tank.diary import Note, notes_of
from haulbook.care.tank.quarantine import Clock, clock
from haulbook.custody.book import Book
from haulbook.custody.discrepancy import Discrepancy
from haulbook.custody.entry import Entry
from haulbook.custody.fates import Basis
from haulbook.custody.reading_tanks import Held, TankEvent, TankReading
from haulbook.custody.when import When
from haulbook.exchange.station_toml import Station, Tank
from haulbook.office.kept_company import Apart, RationNow, apart, ration_now
from haulbook.office.kept_water import WaterNow, water_now
from haulbook.office.say import said
from haulbook.permit.detail import HoldingRule
from haulbook.permit.model import Clause, Permit
from haulbook.taxa import Pack

TANK = "tank "


@dataclass(frozen=True, slots=True)
class Kind:
    """Animals of one name and stage in a tank.

    Attributes
    ----------
    taxon, name, unit : str
    stage : str or None
    n : int
    since : When
        When the longest of the present stays began.
    hauls : tuple of (haul, n)
        The latest first; the id of an entry in place of a haul for those that came out of none.
    died : int
        Of this kind in this tank, found dead, killed or missing.
    fed : datetime or None
        Last time, they or the whole tank.
    ate : bool or None
        Whether they took their last food; None where nobody wrote it down.
    """

    taxon: str
    name: str
    stage: str | None
    unit: str
    n: int
    since: When
    hauls: tuple[tuple[str, int], ...]
    died: int
    fed: datetime | None
    ate: bool | None

    @property
    def outings(self) -> tuple[str, ...]:
        """Keys of the outings that they came from, the latest first."""
        return tuple(dict.fromkeys(haul.rpartition("/")[0] for haul, _n in self.hauls if "/" in haul))


@dataclass(frozen=True, slots=True)
class TankCard:
    """One tank as it stands.

    Attributes
    ----------
    key, place : str
        ``place`` as the book names it: ``tank q1``.
    litres : float or None
        None for a tank that the station does not list.
    quarantine : Clock or None
        None where the tank is not for quarantine.
    kinds : tuple of Kind
    n, died : int
        Individuals.
    checks : tuple of Check
        After the last arrival.
    fed_last : datetime or None
    refusals : tuple of Refusals
    water : WaterNow or None
    ration : RationNow or None
    apart : tuple of Apart
        Who should not share it.
    unsettled : tuple of Discrepancy
    """

    key: str
    place: str
    litres: float | None
    quarantine: Clock | None
    kinds: tuple[Kind, ...]
    n: int
    died: int
    checks: tuple[Check, ...]
    fed_last: datetime | None
    refusals: tuple[Refusals, ...]
    water: WaterNow | None
    ration: RationNow | None
    apart: tuple[Apart, ...]
    unsettled: tuple[Discrepancy, ...]

    @property
    def due(self) -> tuple[Check, ...]:
        """Looks that were not done."""
        return tuple(check for check in self.checks if check.done is None)

    @property
    def in_quarantine(self) -> bool:
        """Whether its clock still runs."""
        return self.quarantine is not None and not self.quarantine.over and bool(self.kinds)


def tank_cards(
    reading: TankReading, notes: Book, station: Station, pack: Pack, now: datetime
) -> tuple[TankCard, ...]:
    """Return every tank that the station lists or the book names, in order of keys.

    Parameters
    ----------
    reading : TankReading
    notes : Book
        Care and readings of tanks that are recent enough to matter, the counts that are off, and every strike
        of any of them.
    station : Station
    pack : Pack
    now : datetime
        In the station's zone.
    """
    named = {held.tank for held in reading.holdings} | {event.tank for event in reading.events}
    keys = sorted({*station.tanks, *(place.removeprefix(TANK) for place in named)})
    places = unsettled_places(reading, notes)
    return tuple(_card(key, reading, notes, station, pack, now, places) for key in keys)


def unsettled_places(reading: TankReading, notes: Book) -> dict[str, str]:
    """Return the tank of each thing that somebody has to settle, by its key."""
    counted = {event.entry: event.tank for event in reading.events if event.kind == "counted"}
    found = {}
    for one in reading.discrepancies:
        if one.settled is None:
            words = one.subject.split(" ")
            place = counted.get(one.subject) or " ".join(words[1:-4])
            if place.startswith(TANK):
                found[one.key] = place
    return found


def _card(
    key: str, reading: TankReading, notes: Book, station: Station, pack: Pack, now: datetime, off: Mapping[str, str]
) -> TankCard:  # fmt: skip
    place, tank = f"{TANK}{key}", station.tanks.get(key)
    own = notes_of(notes, place)
    events = [event for event in reading.events if event.tank == place]
    kinds = _kinds([held for held in reading.holdings if held.tank == place], events, own, pack)
    arrived = [_instant(event.at) for event in events if event.kind == "arrived" and event.other != place]
    looked = [note.at for note in own if note.act == "checked"]
    come = [at for at in sorted(arrived) if at <= now]
    water = water_now(_readings(notes, place), station.instruments)
    alone = [(kind.taxon, kind.n) for kind in kinds if kind.unit == "individual"]
    return TankCard(
        key=key,
        place=place,
        litres=tank.litres if tank else None,
        quarantine=_quarantine(tank, come, now),
        kinds=kinds,
        n=sum(n for _taxon, n in alone),
        died=_died(events),
        checks=checks(come[-1], looked, now) if kinds and come else (),
        fed_last=max((note.at for note in own if note.act == "fed"), default=None),
        refusals=refused_days(own),
        water=water,
        ration=ration_now(alone, water.temperature_c if water else None, pack),
        apart=apart((kind.taxon for kind in kinds), pack),
        unsettled=tuple(one for one in reading.discrepancies if off.get(one.key) == place),
    )


def _quarantine(tank: Tank | None, come: Sequence[datetime], now: datetime) -> Clock | None:
    return clock(come, now) if tank is not None and tank.quarantine else None


def _instant(when: When) -> datetime:
    return when.instant or when.sort_key()


def _readings(notes: Book, place: str) -> list[Entry]:
    return [one for one in notes.standing() if one.kind == "reading" and one.body.get("place") == place]


def _died(events: Iterable[TankEvent]) -> int:
    return sum(event.n for event in events if event.kind in _DEATHS and event.unit == "individual")


_DEATHS = ("died", "killed", "lost")


def _kinds(
    held: Sequence[Held], events: Iterable[TankEvent], notes: Sequence[Note], pack: Pack
) -> tuple[Kind, ...]:
    grouped: dict[tuple[str, str | None, str], list[Held]] = defaultdict(list)
    for one in held:
        grouped[one.taxon, one.stage, one.unit].append(one)
    died: dict[tuple[str, str | None, str], int] = defaultdict(int)
    for event in events:
        if event.kind in _DEATHS:
            died[event.taxon, event.stage, event.unit] += event.n
    found = []
    for (taxon, stage, unit), some in grouped.items():
        mine = [note for note in notes if note.taxon in (None, taxon)]
        food = [note for note in mine if note.act in ("ate", "refused")]
        last = max(food, key=lambda note: note.at, default=None)
        found.append(
            Kind(
                taxon=taxon,
                name=said(taxon, pack),
                stage=stage,
                unit=unit,
                n=sum(one.n for one in some),
                since=min((one.since for one in some), key=When.sort_key),
                hauls=tuple(
                    (one.haul, one.n) for one in sorted(some, key=lambda one: one.haul, reverse=True)
                ),
                died=died[taxon, stage, unit],
                fed=max((note.at for note in mine if note.act == "fed"), default=None),
                ate=None if last is None else last.act == "ate",
            )
        )
    return tuple(sorted(found, key=lambda kind: (kind.name, kind.stage or "")))


def held_under(permits: Iterable[Permit], now: datetime) -> tuple[Permit, ...]:
    """Return the permits in force that speak of keeping or holding animals, the one that ends first in front."""
    found = [
        permit
        for permit in permits
        if permit.in_force(now)
        and any(
            clause.basis is Basis.RETAINED or isinstance(clause.detail, HoldingRule)
            for clause in permit.ruling(now)
        )
    ]
    return tuple(sorted(found, key=lambda permit: permit.ends_on))


def may_go_back(permits: Iterable[Permit], now: datetime) -> tuple[bool, Clause | None]:
    """Say whether what was in captivity may be let go, and by which clause.

    As a rule it may not: disease and strangers travel so. Only a holding clause in force that says so allows it,
    and one that forbids it wins.
    """
    found = [
        (clause, clause.detail.release)
        for permit in permits
        for clause in permit.ruling(now)
        if isinstance(clause.detail, HoldingRule)
    ]
    forbids = [clause for clause, release in found if not release]
    if forbids or not found:
        return False, forbids[0] if forbids else None
    return True, found[0][0]
