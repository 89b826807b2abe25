"""Hauls as sheets tell of them: one by one, from files of hauls, of effort, and from the rows of a catch."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from typing import Any

import numpy as np

from haulbook.exchange.coding import Coded, combine, joined, merged
from haulbook.exchange.column_roles import MEASURES
from haulbook.exchange.findings import Findings
from haulbook.exchange.sheet_map import DATE, SET, FileMap, SetMap
from haulbook.exchange.table import Table


@dataclass(frozen=True, slots=True)
class SheetHaul:
    """One haul as the sheets tell of it.

    Attributes
    ----------
    key : str
        As in the sheet, or its parts joined by ``/``.
    file, sheet, row
        Where it was first told of.
    site, no, net, set_type, why : str or None
    day : str or None
        ``2027-05-14``, ``2027-05`` or ``2027``.
    at : str or None
        The landing, as exactly as the sheet says: an instant with offset, or as ``day``.
    lat, lon : float or None
        Decimal degrees, west and south negative.
    condition : int or None
    measures : mapping of letter to metres
    depth_m, area_m2 : float or None
    remarks : tuple of str
        Only where the map carries them.
    listed : bool
        Whether a file of hauls has it; True where there is no such file.
    """

    key: str
    file: str
    sheet: str | None
    row: int
    site: str | None = None
    no: str | None = None
    day: str | None = None
    at: str | None = None
    lat: float | None = None
    lon: float | None = None
    net: str | None = None
    set_type: str | None = None
    condition: int | None = None
    why: str | None = None
    measures: Mapping[str, float] = field(default_factory=dict)
    depth_m: float | None = None
    area_m2: float | None = None
    remarks: tuple[str, ...] = ()
    listed: bool = True


class Hauls:
    """Gathers what is told of hauls. The first word holds; what differs later is reported.

    Attributes
    ----------
    listed : set of str
        Keys that a file of hauls has.
    has_list : bool
        Whether there is such a file.
    """

    def __init__(self) -> None:
        self._told: dict[str, dict[str, Any]] = {}
        self._where: dict[str, tuple[str, str | None, int]] = {}
        self.listed: set[str] = set()
        self.has_list = False

    def __contains__(self, key: str) -> bool:
        return key in self._told

    def __iter__(self) -> Iterator[str]:
        """Yield all haul keys, in the order in which they were first told of."""
        return iter(self._told)

    def get(self, key: str, fact: str) -> Any:
        """Return one fact of a haul, or None."""
        return self._told[key].get(fact)

    def list(self, haul: Coded, table: Table, findings: Findings) -> Coded:
        """Note every haul of a file that lists them and return its keys, without those that stand again."""
        self.has_list = True
        first, _ = combine([haul.codes], [len(haul.values)])
        again = np.ones(len(haul), np.bool_)
        again[first] = False
        again |= np.array([key in self.listed for key in haul.values], np.bool_)[haul.codes]
        again &= np.array([bool(key) for key in haul.values], np.bool_)[haul.codes]
        for i in np.flatnonzero(again).tolist():
            findings.tell(
                "asked",
                f"haul {haul[i]!r} is listed again: what this row says of it is not taken. Perhaps "
                "its key needs another column (haul_from)",
                table,
                int(table.rows[i]),
            )
        self.meet(haul, table)
        self.listed |= set(haul.values) - {""}
        return merged([*haul.values, ""], np.where(again, len(haul.values), haul.codes).astype(np.int32))

    def meet(self, haul: Coded, table: Table) -> None:
        """Note every haul that a table has."""
        first, _ = combine([haul.codes], [len(haul.values)])
        for i in first.tolist():
            key = haul[i]
            if key and key not in self._told:
                self._told[key] = {}
                self._where[key] = (table.file, table.sheet, int(table.rows[i]))

    def tell(
        self, key: str, fact: str, value: Any, table: Table, row: int, column: str, findings: Findings
    ) -> None:
        """Note one fact of a haul; a haul that nobody met is passed over."""
        told = self._told.get(key)
        if told is None:
            return
        if fact in ("remarks", "notes"):
            told[fact] = tuple(dict.fromkeys((*told.get(fact, ()), value)))
        elif told.setdefault(fact, value) != value:
            message = f"haul {key!r} has {_said(value)} here, {_said(told[fact])} before; the first is kept"
            if fact == "day":
                message += ". Perhaps the key of a haul needs another column (haul_from)"
            findings.tell("asked" if fact == "day" else "altered", message, table, row, column)

    def all(self) -> tuple[SheetHaul, ...]:
        """Return every haul, in the order in which they were first told of."""
        return tuple(self._haul(key, dict(told)) for key, told in self._told.items())

    def tell_clocks(self, findings: Findings) -> None:
        """Say which landings fall into the hour that a change of clocks leaves out or repeats."""
        for haul in self.all():
            told = self._told[haul.key]
            clock, zone = told.get("time"), told.get("zone")
            if clock is None or haul.at is None or "T" not in haul.at:
                continue
            first = datetime.combine(date.fromisoformat(haul.day or ""), clock, zone)
            early, late = first.utcoffset(), first.replace(fold=1).utcoffset()
            if early is None or late is None or early == late:
                continue
            if early > late:
                message = f"{clock:%H:%M} came twice that day in {zone}; taken as the first of the two"
            else:
                after = first.astimezone(UTC).astimezone(zone)
                message = f"clocks in {zone} had no {clock:%H:%M} that day; taken as {after:%H:%M}"
            findings.tell_at("altered", f"haul {haul.key!r}: {message}", haul)

    def tell_dayless(self, findings: Findings) -> None:
        """Say which hauls have no day where others have one, and what a book makes of them."""
        years = {str(told["day"])[:4] for told in self._told.values() if told.get("day")}
        if not years:
            return
        for haul in self.all():
            if haul.day is None and len(years) == 1:
                (year,) = years
                message = f"haul {haul.key!r} has no day; a book says only {year}, the year of all the others"
                findings.tell_at("altered", message, haul)
            elif haul.day is None:
                message = f"haul {haul.key!r} has no day, and the others are of several years; say its year"
                findings.tell_at("asked", message, haul)

    def _haul(self, key: str, told: dict[str, Any]) -> SheetHaul:
        clock, zone = told.pop("time", None), told.pop("zone", None)
        told.pop("notes", None)
        day = told.get("day")
        at = day
        if clock and day and len(day) == len("2027-05-14"):
            at = datetime.combine(date.fromisoformat(day), clock, zone).isoformat()
        measures = {letter: told.pop(letter) for letter in MEASURES if letter in told}
        file_set_type = told.pop("file_set_type", None)
        if measures and file_set_type:  # the geometry of a file says nothing of a set that was not measured
            told.setdefault("set_type", file_set_type)
        file, sheet, row = self._where[key]
        listed = not self.has_list or key in self.listed
        return SheetHaul(key, file, sheet, row, at=at, measures=measures, listed=listed, **told)


def haul_keys(
    table: Table, part: FileMap, days: Coded | None, findings: Findings, block: SetMap | None = None
) -> Coded:
    """Return the haul's key of each row, "" where it can't be made; such rows are refused."""
    if not part.haul_from:
        column = table.columns[part.heading_of("haul") or ""]
        keys = merged([text.strip() for text in column.values], column.codes)
        _refuse_keyless(keys, column.heading, table, findings)
        return keys
    pieces = []
    for heading in part.haul_from:
        if heading == DATE and days is not None:
            piece = days
        elif heading == SET and block is not None:
            piece = Coded((block.no,), np.zeros(len(table), np.int32))
        else:
            column = table.columns[heading]
            piece = merged([" ".join(text.split()) for text in column.values], column.codes)
        pieces.append(piece)
        if block is None or block is part.sets[0]:
            _refuse_keyless(piece, heading, table, findings)
    whole = joined(pieces)
    if any("" in piece.values for piece in pieces):
        missing = np.zeros(len(table), np.bool_)
        for piece in pieces:
            missing |= np.array([not text for text in piece.values], np.bool_)[piece.codes]
        at = np.where(missing, len(whole.values), whole.codes).astype(np.int32)
        return merged((*whole.values, ""), at)
    return whole


def _refuse_keyless(keys: Coded, heading: str, table: Table, findings: Findings) -> None:
    if "" in keys.values:
        at = np.flatnonzero(keys.codes == keys.values.index(""))
        findings.tell_rows(
            "refused", f"has no {heading}, so nobody can tell of which haul it is", table, at, heading
        )


def _said(value: Any) -> str:
    return f"{value:%H:%M}" if isinstance(value, time) else str(value)
