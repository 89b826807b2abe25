"""What went into a place and out of it, line by line, for those who have to mend a balance."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from haulbook.custody.entry import Entry
from haulbook.custody.lots import PlaceKey, What
from haulbook.custody.tally import Side, postings


@dataclass(slots=True)
class Flow:
    """Animals of one kind that arrived in a place and left it, with the entries that say so."""

    arrived: int = 0
    left: int = 0
    arriving: list[Entry] = field(default_factory=list)
    leaving: list[Entry] = field(default_factory=list)


def flows(standing: Iterable[Entry], wanted: Iterable[Side]) -> dict[Side, Flow]:
    """Return the flows of these places and kinds."""
    found = {side: Flow() for side in wanted}
    if not found:
        return found
    for entry in standing:
        for side, n in postings(entry):
            flow = found.get(side)
            if flow is None:
                continue
            if n > 0:
                flow.arrived += n
                flow.arriving.append(entry)
            else:
                flow.left -= n
                flow.leaving.append(entry)
    return found


def in_words(place: PlaceKey) -> str:
    """Return a place as people say it."""
    return f"{place.place} of {place.outing}" if place.outing else place.place


def kind_in_words(what: What) -> str:
    """Return taxon, stage and haul as people say them."""
    stage = f" ({what.stage})" if what.stage else ""
    unit = "" if what.unit in ("individual", "egg_mass") else f" [{what.unit}]"
    return f"{what.taxon}{stage}{unit} of {what.haul}"
