"""Read the past of a lot as facts: its fate, when that fell, and what happened later."""

from __future__ import annotations

from typing import Any, Literal, cast

from haulbook.custody.facts import Animals, Later, Subsample
from haulbook.custody.fates import Fate
from haulbook.custody.lots import Lot, PlaceKey, Step
from haulbook.custody.places import SINKS
from haulbook.custody.when import When

LATER: dict[str, Literal["died", "killed", "given", "back", "lost"]] = {
    "dead-back": "died",
    "dead-kept": "died",
    "killed-back": "killed",
    "killed-kept": "killed",
    "given": "given",
    "back": "back",
    "back-in-net": "back",
    "lost": "lost",
}
"""What going to a sink means for animals whose fate at the beach was settled before."""


class _Past:
    """What is known after each step; the first cut-off is the fate, all that follows stands beside it."""

    def __init__(self) -> None:
        self.fate: Fate | None = None
        self.fated: When | None = None
        self.later: list[Later] = []
        self.basis: Literal["counted", "expanded", "judged"] = "counted"
        self.subsample: Subsample | None = None
        self.said: str | None = None
        self.cause: str | None = None
        self.doubt: str | None = None
        self.haul_assumed = False

    def add(self, step: Step) -> None:
        at = step.entry.when
        if step.entry.kind == "redetermination":
            self.doubt = None if self.doubt == "name" else self.doubt
            return
        if step.line is not None:
            self._read(step)
            sink = step.line["to"]
            if sink in SINKS and self.fate is not None:
                self.later.append(Later(LATER[sink], at, step.entry.id))
                return
            fate = SINKS.get(sink, step.fate)
        else:
            fate = step.fate
        if self.fate is None and fate is not None:
            self.fate, self.fated = fate, at

    def _read(self, step: Step) -> None:
        line = cast("dict[str, Any]", step.line)
        self.basis = line.get("basis", self.basis)
        self.said = self.said or line.get("said")
        self.cause = line.get("cause", self.cause)
        self.doubt = line.get("doubt", self.doubt)
        self.haul_assumed = self.haul_assumed or line.get("haul_assumed", False)
        scoops = line.get("subsample")
        if scoops:
            self.subsample = Subsample(
                scoops["method"], scoops["of"], tuple(scoops["counted"]), scoops.get("batch"), step.entry.id
            )


def animals_of(place: PlaceKey, lot: Lot, fate_now: Fate) -> Animals:
    """Return a lot as facts.

    Parameters
    ----------
    place : PlaceKey
        Where it is at the end.
    lot : Lot
        With all its steps.
    fate_now : Fate
        Of animals whose place left the beach now, for those that have no fate yet.
    """
    past = _Past()
    for step in lot.steps:
        past.add(step)
    what, told = lot.what, lot.told
    return Animals(
        haul=what.haul,
        taxon=what.taxon,
        n=lot.n,
        fate=past.fate or fate_now,
        place=place.place,
        called=lot.steps[0].entry.when,
        stage=what.stage,
        unit=what.unit,
        basis=past.basis,
        sex=told.get("sex"),
        origin=told.get("origin"),
        mark=told.get("mark"),
        berried=told.get("berried"),
        length_mm=told.get("length_mm"),
        length_type=told.get("length_type"),
        said=past.said,
        doubt=past.doubt,
        cause=past.cause,
        haul_assumed=past.haul_assumed,
        fated=past.fated,
        later=tuple(past.later),
        entries=tuple(dict.fromkeys(step.entry.id for step in lot.steps)),
        subsample=past.subsample if past.basis == "expanded" else None,
    )
