"""What must be said as soon as it may be true: invasive, introduced, protected, hazardous.

The words come from the pack's own ``status_note``, ``hazards`` and ``handling``; the permit and local rules
decide what is done.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from haulbook.identify.groups import Support
from haulbook.identify.likelihood import Floats, Model
from haulbook.taxa import Pack, Taxon

Kind = Literal["protected", "invasive", "hazardous", "introduced"]

POSSIBLE = 0.05
"""A notice fires where the taxa that carry its kind hold at least this much together. House value (common
practice, no source)."""

LEAST_NAMED = 0.01
"""Of those, each taxon at least this probable is named, and in any case the likeliest. House value (common
practice, no source)."""

_ORDER: tuple[Kind, ...] = ("hazardous", "protected", "invasive", "introduced")

_WORDS: dict[Kind, re.Pattern[str]] = {
    "protected": re.compile(
        r"\bPROTECTED\b|\bESA\b|\bCITES\b|listed (?:threatened|salmonid)|as (?:protected|listed)"
        r"|release unless the permit"
    ),
    "invasive": re.compile(r"\bINVASIVE\b"),
    "introduced": re.compile(r"\b[Ii]ntroduced\b"),
}
_HURTS = re.compile(r"\b(?:sting|venom|toxic|bite)", re.IGNORECASE)
_HURTS_NOT = re.compile(r"not noticed|(?:mild or|does not|\bno) (?:no )?sting", re.IGNORECASE)
_HANDLE_AS = re.compile(r"\bhandle as\b")


@dataclass(frozen=True, slots=True)
class Notice:
    """Something to heed although the name is not certain.

    Attributes
    ----------
    kind : {"protected", "invasive", "hazardous", "introduced"}
    taxon : str
    probability : float or None
        None for a taxon known only by its body plan, or a group that speaks for all that is not told apart.
    message : str
        The pack's own words.
    """

    kind: Kind
    taxon: str
    probability: float | None
    message: str


def kinds_of(taxon: Taxon) -> dict[Kind, str]:
    """Return the kinds of notice that a taxon carries, each with the pack's words for it."""
    found: dict[Kind, str] = {
        kind: taxon.status_note for kind, words in _WORDS.items() if words.search(taxon.status_note)
    }
    hurts = _HURTS.search(taxon.hazards) and not _HURTS_NOT.search(taxon.hazards)
    if hurts or _HANDLE_AS.search(taxon.status_note):
        said = (taxon.hazards, taxon.handling, "" if hurts else taxon.status_note)
        found["hazardous"] = " ".join(f"{part.rstrip('.')}." for part in said if part)
    return found


def notices(
    model: Model, chances: Floats, left_at: Support | None, told_by_body: Iterable[Support]
) -> tuple[Notice, ...]:
    """Return the notices that possible matches call for, by kind, most probable first.

    Parameters
    ----------
    model : Model
    chances : array, shape (ranked taxa,)
    left_at : Support or None
        The name at which the animal would be left now: where it is a group, its own notice speaks too.
    told_by_body : iterable of Support
        Taxa that fit the body seen and can't be weighed.
    """
    pack = model.matrix.pack
    carried: dict[Kind, list[tuple[float, str, str]]] = {kind: [] for kind in _ORDER}
    for taxon, chance in zip(model.taxa, chances, strict=True):
        for kind, words in kinds_of(pack[taxon]).items():
            carried[kind].append((float(chance), taxon, words))
    unweighed = [*_with_kin(pack, left_at, model.taxa), *(each.taxon for each in told_by_body)]
    found = []
    for kind, rows in carried.items():
        rows.sort(key=lambda row: -row[0])
        if sum(chance for chance, *_ in rows) >= POSSIBLE:
            least = min(LEAST_NAMED, rows[0][0])
            found += [Notice(kind, taxon, chance, words) for chance, taxon, words in rows if chance >= least]
        of_kind = ((taxon, kinds_of(pack[taxon]).get(kind)) for taxon in unweighed)
        found += [Notice(kind, taxon, None, words) for taxon, words in of_kind if words]
    return tuple(found)


def _with_kin(pack: Pack, left_at: Support | None, ranked: Iterable[str]) -> list[str]:
    """Return the group at which an animal is left, and the names above it in the same tally group."""
    if left_at is None or left_at.taxon in set(ranked):
        return []
    tally = pack[left_at.taxon].group
    return [name for name in (left_at.taxon, *pack.lineage(left_at.taxon)) if pack[name].group == tally]
