"""Cells of the report model that animals alone decide: counts by fate, sizes, remarks."""

from __future__ import annotations

from collections.abc import Iterator

from haulbook.custody.facts import Animals
from haulbook.custody.fates import REPORT_COLUMN, Basis, Fate
from haulbook.permit.fields import FIELDS, Value
from haulbook.permit.marks import borne

_NONE: dict[str, Value] = {name: 0 for name in FIELDS if name.startswith("n_")} | {"n_sampled": None}
"""Counts of nothing; how many were sampled is not known until a lengths sheet says so."""


def counts(animals: Animals | None, n: int) -> dict[str, Value]:
    """Return the count columns of n animals that share a fate (A4.1)."""
    found = dict(_NONE)
    if animals is None:
        return found
    found["n_encountered"] = n
    found["n_captured"] = n if Basis.CAPTURED in animals.bases else 0
    found["n_handled"] = n if Basis.HANDLED in animals.bases else 0
    found["n_recaptured"] = n if borne(animals) and Basis.CAPTURED in animals.bases else 0
    if animals.fate is not Fate.SEEN_ESCAPED:
        found[REPORT_COLUMN[animals.fate]] = n
    columns = {
        "died": "n_died_later",
        "killed": "n_killed_later",
        "given": "n_transferred",
        "back": "n_released_later",
        "lost": "n_missing_later",
    }
    for event in animals.later:
        found[columns[event.kind]] = n
    return found


def sizes(mm: list[float]) -> dict[str, Value]:
    """Return the size columns of measured animals; nothing without a measure."""
    if not mm:
        return {}
    return {
        "size_min_mm": min(mm),
        "size_mean_mm": sum(mm) / len(mm),
        "size_max_mm": max(mm),
        "n_measured": len(mm),
    }


def remarks(animals: Animals, why: str | None) -> Iterator[str]:
    """Yield what a reader of the row has to know: why it is unauthorised, how counted, what came later."""
    if why:
        yield f"unauthorised take: {why}"
    if animals.basis != "counted":
        yield "estimated from a subsample" if animals.basis == "expanded" else "judged by eye"
    if animals.haul_assumed:
        yield "haul assumed"
    if animals.doubt:
        yield f"{animals.doubt} doubtful"
    if animals.fate is Fate.FATE_UNKNOWN:
        yield f"lost{f': {animals.cause}' if animals.cause else ''}"
    words = {
        "died": "died",
        "killed": "killed",
        "given": "transferred",
        "back": "released",
        "lost": "missing",
    }
    for event in animals.later:
        yield f"{words[event.kind]} later, {event.at.text}"
