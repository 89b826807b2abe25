"""What a book holds, in a few figures that say whether another one holds the same."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from typing import Any

from haulbook.custody.canonical import sha256_of
from haulbook.custody.chains import ChainRow, chain_faults
from haulbook.custody.entry import Entry
from haulbook.station.models import EntryRow
from haulbook.station.store import book


@dataclass(frozen=True, slots=True)
class SignOff:
    """One sign-off. ``holds``: whether the entries that it covers still make its digest."""

    outing: str
    entry: str
    digest: str
    holds: bool


@dataclass(frozen=True, slots=True)
class Inventory:
    """What a book holds.

    Attributes
    ----------
    entries : int
    digest : str
        SHA-256 of all hashes, sorted and joined by newline.
    loose : tuple of str
        Gaps and forks in the chains of devices: a phone may still hold what is missing.
    signed : tuple of SignOff
    """

    entries: int
    digest: str
    loose: tuple[str, ...]
    signed: tuple[SignOff, ...]

    def as_json(self) -> dict[str, Any]:
        """Return it as a manifest holds it."""
        return {
            "entries": self.entries,
            "digest": self.digest,
            "loose": list(self.loose),
            "signed": [asdict(one) for one in self.signed],
        }


def inventory_of(rows: Iterable[ChainRow], sign_offs: Iterable[Entry]) -> Inventory:
    """Return what a book of these entries holds.

    Parameters
    ----------
    rows : iterable of ChainRow
        All entries.
    sign_offs : iterable of Entry
        Those of kind ``outing-signed``.
    """
    every = list(rows)
    outings: dict[str | None, list[ChainRow]] = {}
    for row in every:
        outings.setdefault(row.outing, []).append(row)
    return Inventory(
        entries=len(every),
        digest=_digest(every),
        loose=tuple(sorted(f"{one.kind} {one.subject}" for one in chain_faults(every))),
        signed=tuple(
            sorted((_sign_off(entry, outings.get(entry.outing, ())) for entry in sign_offs), key=_by_outing)
        ),
    )


def inventory() -> Inventory:
    """Return what the station's book holds."""
    columns = ("device", "seq", "hash", "prev", "entry", "outing")
    rows = EntryRow.objects.values_list(*columns).iterator(chunk_size=5_000)
    signed = EntryRow.objects.filter(kind="outing-signed").order_by("position")
    return inventory_of((ChainRow(*row) for row in rows), list(book.entries_of(signed)))


def _sign_off(entry: Entry, rows: Iterable[ChainRow]) -> SignOff:
    covers = entry.body["covers"]
    covered = [row for row in rows if row.seq <= covers.get(row.device, 0)]
    digest = str(entry.body["digest"])
    return SignOff(str(entry.outing), entry.id, digest, _digest(covered) == digest)


def _digest(rows: Iterable[ChainRow]) -> str:
    return sha256_of("\n".join(sorted(row.hash for row in rows)))


def _by_outing(one: SignOff) -> tuple[str, str]:
    return one.outing, one.entry
