"""Lots: animals about which the same things are known, and the places that hold them.

A place gives what a line asks for; where it has too few, it gives the rest on credit and is below zero by as
many, until they arrive. So two devices whose clocks disagree tell the same story in either order, and what
never arrives stays visible.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from haulbook.custody.entry import Entry
from haulbook.custody.fates import Fate

TOLD = ("sex", "origin", "mark", "length_mm", "length_type", "berried")
"""What a line may tell about animals beyond taxon, stage, unit and haul."""


class What(NamedTuple):
    """What animals are and where they came from; only like is taken for like."""

    taxon: str
    stage: str | None
    unit: str
    haul: str


class PlaceKey(NamedTuple):
    """A place; ``outing`` is None for tanks, which are the station's."""

    outing: str | None
    place: str


class Step(NamedTuple):
    """One thing that happened to a lot.

    ``line`` is None where its place left the beach; ``fate`` is what a cut-off at this step fixes.
    """

    entry: Entry
    line: Mapping[str, Any] | None
    fate: Fate | None


@dataclass(slots=True, eq=False)
class Lot:
    """n animals with one past. ``creditors``: what a place still owes, if this lot is part of it."""

    n: int
    what: What
    told: dict[str, Any] = field(default_factory=dict)
    steps: tuple[Step, ...] = ()
    home: list[Lot] | None = None
    creditors: list[Lot] | None = None

    def split(self, n: int) -> Lot:
        """Take ``n`` of these apart; they share home and credit with the rest."""
        part = Lot(n, self.what, dict(self.told), self.steps, self.home, self.creditors)
        self.n -= n
        if self.home is not None:
            self.home.append(part)
        if self.creditors is not None:
            self.creditors.append(part)
        return part

    def leave(self) -> None:
        """Go from where it is."""
        if self.home is not None:
            self.home.remove(self)
            self.home = None

    def tell(self, line: Mapping[str, Any]) -> None:
        """Learn what a line tells."""
        for name in TOLD:
            if name in line:
                self.told[name] = line[name]


class Places:
    """Every place with its lots, and what each still owes."""

    def __init__(self) -> None:
        self.held: dict[PlaceKey, dict[What, list[Lot]]] = {}
        self.owed: dict[tuple[PlaceKey, What], list[Lot]] = {}

    def take(self, place: PlaceKey, what: What, n: int, line: Mapping[str, Any]) -> list[Lot]:
        """Return lots of ``n`` together: those that fit what the line tells, the least known first."""
        taken: list[Lot] = []
        there = self.held.get(place, {}).get(what, [])
        for lot in sorted(there, key=lambda lot: _fit(lot, line)):
            if not n:
                break
            part = lot if lot.n <= n else lot.split(n)
            part.leave()
            taken.append(part)
            n -= part.n
        if n:
            creditors = self.owed.setdefault((place, what), [])
            taken.append(Lot(n, what, creditors=creditors))
            creditors.append(taken[-1])
        return taken

    def put(self, place: PlaceKey, what: What, lots: list[Lot]) -> None:
        """Let lots of one kind arrive. What the place owes of it is settled first."""
        creditors = self.owed.get((place, what), [])
        back = [lot for lot in lots if lot.creditors is creditors]
        for lot in back:  # it had left here on credit and comes back: there never was such an animal
            creditors.remove(lot)
        for lot in lots:
            if lot not in back:
                lot.what = what
                self._arrive(place, lot, creditors)

    def _arrive(self, place: PlaceKey, lot: Lot, creditors: list[Lot]) -> None:
        while creditors:
            creditor = creditors[0] if creditors[0].n <= lot.n else creditors[0].split(lot.n)
            paying = lot if creditor.n == lot.n else lot.split(creditor.n)
            creditors.remove(creditor)
            _settle(creditor, paying)
            if paying is lot:
                return
        lot.home = self.held.setdefault(place, {}).setdefault(lot.what, [])
        lot.home.append(lot)

    def lots(self) -> Iterator[tuple[PlaceKey, Lot]]:
        """Yield every lot with its place, in the order in which they came to be there."""
        for place, kinds in self.held.items():
            for lots in kinds.values():
                for lot in lots:
                    yield place, lot


def _fit(lot: Lot, line: Mapping[str, Any]) -> tuple[int, int, int]:
    """Rank a lot for a line: contradictions last, then fewest things to learn, then fewest things known."""
    told = lot.told
    against = sum(1 for name in TOLD if name in line and name in told and told[name] != line[name])
    to_learn = sum(1 for name in TOLD if name in line and name not in told)
    return against, to_learn, len(told)


def _settle(creditor: Lot, paying: Lot) -> None:
    """Give what was taken on credit the past of what arrived for it."""
    creditor.creditors = paying.creditors
    if paying.creditors is not None:
        paying.creditors[paying.creditors.index(paying)] = creditor
    creditor.steps = paying.steps + creditor.steps
    creditor.told = {**paying.told, **creditor.told}
