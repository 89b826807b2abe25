"""Writes the invented seasons as the crew's devices would have written them, slips and corrections included.

The sheets say how each haul ended; this book also says how it went: calls struck, an animal renamed at the
bucket on the second phone, animals carried home, a death in the tank, a report that had to be amended.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from typing import Any

import numpy as np

from haulbook.custody.book import Book
from haulbook.custody.closing import last_of_each, signoff_digest
from haulbook.custody.entry import Draft, Entry, chain, uuid7
from haulbook.demo.draw import KINDS, SCOOPS, ZONE, Catch, DrawnHaul, DrawnOuting
from haulbook.taxa import Pack

PERMIT = "SC-24-031"
RECORDER, KEEPER_PHONE, DESK = "d1", "d2", "desk"
LEAD, KEEPER, WRITER = "p1", "p2", "p3"
KEEP, HOLD, COOLER, TANK = "bucket 1", "bucket 2", "cooler 1", "tank q1"
HYDROMETER = "hyd1"
LOOKED_FOR = tuple(kind.taxon for kind in KINDS)
SLIP_EVERY = 23
RENAMED_EVERY = 9


class _Pens:
    """The devices of the station, each with its own chain; ids come from the generator that is handed in."""

    def __init__(self, rng: np.random.Generator) -> None:
        self._rng = rng
        self._last: dict[str, Entry] = {}
        self.entries: list[Entry] = []

    def write(
        self, device: str, by: str, at: datetime, outing: str | None, kind: str, body: dict[str, Any]
    ) -> Entry:
        """Write one entry, two seconds after what it tells of."""
        made_at = at + timedelta(seconds=2)
        draft = Draft(
            uuid7(made_at, self._rng.bytes(10)), at.isoformat(), made_at.isoformat(), by, outing, kind, body
        )
        (entry,) = chain([draft], device, self._last.get(device))
        self._last[device] = entry
        self.entries.append(entry)
        return entry


def book_of(outings: Sequence[DrawnOuting], pack: Pack, rng: np.random.Generator) -> Book:
    """Return the book of the invented seasons.

    Parameters
    ----------
    outings : sequence of DrawnOuting
    pack : Pack
        Its key and version are what the outings were opened with.
    rng : numpy.random.Generator
        Makes the ids.
    """
    pens = _Pens(rng)
    for outing in outings:
        _write_outing(pens, outing, pack)
    _write_tanks(pens, outings)
    _write_reports(pens, outings)
    return Book.of(pens.entries)


def _write_outing(pens: _Pens, outing: DrawnOuting, pack: Pack) -> None:
    key, first, last = outing.key, outing.hauls[0], outing.hauls[-1]
    before = first.started - timedelta(minutes=25)
    for act, hours in (("notice-sent", 44), ("receipt", 41)):
        at = first.started - timedelta(hours=hours)
        pens.write(DESK, LEAD, at, None, "paper", {"permit": PERMIT, "clause": "7", "act": act})
    opened = {
        "plan": None, "digest": None, "pack": pack.key, "version": pack.version,
        "permits": [{"permit": PERMIT, "version": "1"}], "looked_for": list(LOOKED_FOR),
    }  # fmt: skip
    pens.write(RECORDER, WRITER, before, key, "outing-opened", opened)
    for place, purpose, litres in ((KEEP, "keep", 14), (HOLD, "hold", 14), (COOLER, None, 40)):
        body = {"place": place, "act": "set-up", "litres": litres} | ({"purpose": purpose} if purpose else {})
        pens.write(RECORDER, WRITER, before + timedelta(minutes=3), key, "place", body)
    for haul in outing.hauls:
        _write_haul(pens, key, haul)
    _carry_home(pens, outing)
    closed = last.ended + timedelta(minutes=70)
    pens.write(RECORDER, WRITER, closed, key, "outing-closed", {"remark": "all buckets empty"})
    book = Book.of(pens.entries)
    covers = last_of_each(book, key)
    signed = {
        "covers": covers, "digest": signoff_digest(book, key, covers), "role": "lead", "report_digests": [],
    }  # fmt: skip
    pens.write(DESK, LEAD, closed + timedelta(hours=3), key, "outing-signed", signed)


def _write_haul(pens: _Pens, outing: str, haul: DrawnHaul) -> None:
    key = f"{outing}/{haul.number}"
    pens.write(
        RECORDER, WRITER, haul.started, outing, "haul-started",
        {"haul": key, "site": "sallowhorn-cove", "net": "n1", "set_type": "straight"},
    )  # fmt: skip
    landed: dict[str, Any] = {
        "haul": key, "condition": haul.condition,
        "w": {"m": haul.width_m, "basis": "measured"}, "d": {"m": haul.distance_m, "basis": "measured"},
    }  # fmt: skip
    if haul.why:
        landed["why"] = haul.why
    pens.write(RECORDER, WRITER, haul.landed, outing, "haul-landed", landed)
    reading = {
        "haul": key,
        "instrument": HYDROMETER,
        "temperature_c": haul.temperature_c,
        "salinity": haul.salinity,
    }
    pens.write(RECORDER, WRITER, haul.landed + timedelta(seconds=40), outing, "reading", reading)
    step = (haul.ended - haul.landed - timedelta(minutes=2)) / (len(haul.catch) + 1)
    for i, catch in enumerate(haul.catch, 1):
        _write_catch(pens, outing, key, catch, haul.landed + timedelta(minutes=1) + step * i)
    found = {catch.kind.taxon for catch in haul.catch}
    if none := [taxon for taxon in LOOKED_FOR if taxon not in found]:
        body = {"haul": key, "taxa": none}
        pens.write(RECORDER, WRITER, haul.ended - timedelta(seconds=30), outing, "searched-and-none", body)
    pens.write(RECORDER, WRITER, haul.ended, outing, "haul-ended", {"haul": key})


def _line(haul: str, taxon: str, catch: Catch, n: int, start: str, end: str, **more: Any) -> dict[str, Any]:
    line = {"taxon": taxon, "n": n, "from": start, "to": end, "haul": haul}
    return line | ({"stage": catch.kind.stage} if catch.kind.stage else {}) | more


def _write_catch(pens: _Pens, outing: str, haul: str, catch: Catch, at: datetime) -> None:
    taxon, said = catch.kind.taxon, f"{catch.n} {catch.kind.name}"
    lines = [
        _line(haul, catch.kept_as or taxon, catch, catch.kept, "sea", KEEP, said=said)
        if catch.kept
        else None,
        _line(haul, taxon, catch, catch.dead, "sea", "dead-back", said=said) if catch.dead else None,
        _line(haul, taxon, catch, catch.escaped, "sea", "escaped", said=said) if catch.escaped else None,
    ]
    if catch.scoops:
        subsample = {"method": "scoops", "of": SCOOPS, "counted": list(catch.scoops)}
        lines.append(
            _line(
                haul,
                taxon,
                catch,
                catch.back,
                "sea",
                "back",
                said=said,
                basis="expanded",
                subsample=subsample,
            )
        )
    elif catch.back > 1 and taxon == "striped-killifish" and len(pens.entries) % RENAMED_EVERY == 0:
        _rename_at_the_bucket(pens, outing, haul, catch, at)
    elif catch.back:
        lines.append(_line(haul, taxon, catch, catch.back, "sea", "back", said=said))
    standing = [line for line in lines if line]
    if standing:
        _call(pens, outing, standing, at)
    if catch.lengths_mm:
        body = {"haul": haul, "taxon": taxon, "length_type": "total", "mm": list(catch.lengths_mm)}
        body |= {"stage": catch.kind.stage} if catch.kind.stage else {}
        pens.write(RECORDER, WRITER, at + timedelta(seconds=20), outing, "lengths", body)


def _call(pens: _Pens, outing: str, lines: list[dict[str, Any]], at: datetime) -> None:
    """Write a call; every so often the number is misheard first, struck, and entered again."""
    slipped = lines[0]
    if len(pens.entries) % SLIP_EVERY == 0 and "subsample" not in slipped and slipped["to"] == "back":
        wrong = pens.write(
            RECORDER, WRITER, at - timedelta(seconds=8), outing, "move",
            {"lines": [slipped | {"n": slipped["n"] + 4}, *lines[1:]]},
        )  # fmt: skip
        right = pens.write(RECORDER, WRITER, at, outing, "move", {"lines": lines})
        body = {"entries": [wrong.id], "reason": "number misheard", "instead": [right.id]}
        pens.write(RECORDER, WRITER, at + timedelta(seconds=4), outing, "strike", body)
    else:
        pens.write(RECORDER, WRITER, at, outing, "move", {"lines": lines})


def _rename_at_the_bucket(pens: _Pens, outing: str, haul: str, catch: Catch, at: datetime) -> None:
    """Call one killifish a mummichog, and let the second phone set it right before the bucket is emptied."""
    called = _line(haul, "mummichog", catch, 1, "sea", HOLD, said="one mummichog")
    rest = _line(
        haul, catch.kind.taxon, catch, catch.back - 1, "sea", HOLD, said=f"{catch.back - 1} striped killifish"
    )
    pens.write(RECORDER, WRITER, at, outing, "move", {"lines": [called, rest]})
    renamed = {
        "place": HOLD, "haul": haul, "n": 1,
        "was": {"taxon": "mummichog"}, "now": {"taxon": catch.kind.taxon},
    }  # fmt: skip
    body = {"lines": [renamed], "why": "dark stripes along the side, seen in the bucket"}
    pens.write(KEEPER_PHONE, KEEPER, at + timedelta(seconds=30), outing, "redetermination", body)
    emptied = _line(haul, catch.kind.taxon, catch, catch.back, HOLD, "back", said="empty bucket 2")
    pens.write(RECORDER, WRITER, at + timedelta(seconds=70), outing, "move", {"lines": [emptied]})


def _kept(outing: DrawnOuting) -> Iterable[tuple[str, Catch, str, int]]:
    for haul in outing.hauls:
        for catch in haul.catch:
            if catch.kept:
                yield f"{outing.key}/{haul.number}", catch, catch.kept_as or catch.kind.taxon, catch.kept


def _carry_home(pens: _Pens, outing: DrawnOuting) -> None:
    packed = outing.hauls[-1].ended + timedelta(minutes=10)
    kept = list(_kept(outing))
    if not kept:
        return
    for start, end, minutes, device, by in (
        (KEEP, COOLER, 0, RECORDER, WRITER),
        (COOLER, TANK, 55, KEEPER_PHONE, KEEPER),
    ):
        lines = [_line(haul, taxon, catch, n, start, end) for haul, catch, taxon, n in kept]
        pens.write(device, by, packed + timedelta(minutes=minutes), outing.key, "move", {"lines": lines})
        if end == COOLER:
            left = {"place": COOLER, "act": "left-beach"}
            pens.write(RECORDER, WRITER, packed + timedelta(minutes=8), outing.key, "place", left)


def _write_tanks(pens: _Pens, outings: Sequence[DrawnOuting]) -> None:
    """Feed, check, and lose one grass shrimp two days after each first outing of a year."""
    for outing in outings:
        home = outing.hauls[-1].ended + timedelta(hours=2)
        for days in (1, 2, 3):
            body = {
                "place": TANK,
                "act": "checked",
                "what": "all swimming" if days != 2 else "one shrimp down",
            }
            at = home + timedelta(days=days)
            pens.write(DESK, KEEPER, at, None, "care", body)
            water = {
                "place": TANK,
                "instrument": HYDROMETER,
                "temperature_c": 15.5 - 0.5 * days,
                "salinity": 30.5,
            }
            pens.write(DESK, KEEPER, at + timedelta(minutes=4), None, "reading", water)
            fed = {"place": TANK, "act": "fed", "what": "live mysids and chopped clam", "g": 6.0}
            pens.write(DESK, KEEPER, at + timedelta(minutes=9), None, "care", fed)
        shrimp = next((row for row in _kept(outing) if row[2] == "palaemon"), None)
        if shrimp and outing.key[5:7] == "06":
            haul, catch, taxon, _ = shrimp
            line = _line(haul, taxon, catch, 1, TANK, "dead-kept", cause="found dead at the check")
            pens.write(DESK, KEEPER, home + timedelta(days=2, minutes=1), None, "move", {"lines": [line]})


def _write_reports(pens: _Pens, outings: Sequence[DrawnOuting]) -> None:
    """Sign and send a report each April; the first is amended when a kept cunner turns out to be a tautog."""
    for year in (2025, 2026):
        signed = datetime(year, 4, 10, 15, 0, tzinfo=ZONE)
        pens.write(DESK, LEAD, signed, None, "paper", {"permit": PERMIT, "act": "report-signed"})
        pens.write(
            DESK, LEAD, signed + timedelta(hours=1), None, "paper", {"permit": PERMIT, "act": "report-sent"}
        )
        if year == 2025:
            _amend(pens, outings, signed + timedelta(days=19))


def _amend(pens: _Pens, outings: Sequence[DrawnOuting], at: datetime) -> None:
    for outing in outings:
        for haul, catch, called, _ in _kept(outing):
            if catch.kept_as:
                stage = {"stage": catch.kind.stage} if catch.kind.stage else {}
                line = {
                    "place": TANK, "haul": haul, "n": 1,
                    "was": {"taxon": called, **stage}, "now": {"taxon": catch.kind.taxon, **stage},
                }  # fmt: skip
                body = {"lines": [line], "why": "grown: blunt head and thick lips, a tautog"}
                pens.write(DESK, KEEPER, at, None, "redetermination", body)
    for act, hours in (("report-signed", 2), ("report-sent", 3)):
        pens.write(DESK, LEAD, at + timedelta(hours=hours), None, "paper", {"permit": PERMIT, "act": act})
