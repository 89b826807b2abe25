"""All that the station knows of one taxon: who it is, what to mind, what it needs, where it was found."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from haulbook.care.cautions import Caution, caution_of
from haulbook.care.company_table import ALONE, VERDICTS, WHY
from haulbook.care.demand import Demand, demand_of
from haulbook.care.mass import Mass, mass_of
from haulbook.care.tank.live_food import FirstFood
from haulbook.custody.facts import Account
from haulbook.identify.notices import Kind, kinds_of
from haulbook.office.kept_company import food_of, guest_of
from haulbook.taxa import Pack, Taxon

AT_C = 12.0
"""Temperature at which the oxygen demand of a species is said."""


@dataclass(frozen=True, slots=True)
class Company:
    """Another class of animals, and whether a taxon may share a bucket or tank with it."""

    kind: str
    level: str
    why: str


@dataclass(frozen=True, slots=True)
class SpeciesPage:
    """One taxon.

    Attributes
    ----------
    taxon : Taxon
    above, below : tuple of str
        Keys of what it belongs to, the nearest first, and of what it gathers directly.
    notices : mapping of kind to words
    caution : Caution or None
    company : tuple of Company
        Empty for what travels alone.
    alone : bool
    food : FirstFood or None
    mass : Mass or None
        Of one animal of usual size; None for a name that gathers others.
    demand : Demand or None
        Resting, at ``AT_C``.
    """

    taxon: Taxon
    above: tuple[str, ...]
    below: tuple[str, ...]
    notices: dict[Kind, str]
    caution: Caution | None
    company: tuple[Company, ...]
    alone: bool
    food: FirstFood | None
    mass: Mass | None
    demand: Demand | None


def species_page(taxon: str, pack: Pack) -> SpeciesPage:
    """Return what is known of a taxon.

    Raises
    ------
    Refusal
        The pack has no such taxon.
    """
    row = pack[taxon]
    below = tuple(key for key in pack.below(taxon) if pack[key].parent == taxon)
    guest = guest_of(taxon, pack)
    alone = guest is not None and guest.kind == ALONE
    sized = not below and row.group != "higher"
    return SpeciesPage(
        taxon=row,
        above=pack.lineage(taxon),
        below=tuple(sorted(below, key=lambda key: pack[key].scientific_name)),
        notices=kinds_of(row),
        caution=caution_of(row, pack.lineage(taxon), pack.taxa),
        company=() if alone or guest is None else _company(guest.kind),
        alone=alone,
        food=food_of(taxon, pack),
        mass=mass_of(row) if sized else None,
        demand=demand_of(row, AT_C) if sized else None,
    )


_LEVELS = ("never", "no", "by size", "short", "ok")


def _company(kind: str) -> tuple[Company, ...]:
    found = []
    for pair, level in VERDICTS.items():
        if kind in pair and ALONE not in pair:
            other = next(iter(pair - {kind}), kind)
            found.append(Company(other, level, WHY.get(pair) or ""))
    return tuple(sorted(found, key=lambda one: (_LEVELS.index(one.level), one.kind)))


@dataclass(frozen=True, slots=True)
class Found:
    """An outing that brought a taxon: how many were captured, in how many of its hauls."""

    outing: str
    day: str
    site: str
    n: int
    hauls: int


def found_in(account: Account, within: Iterable[str]) -> tuple[Found, ...]:
    """Return the outings that brought one of some taxa, the latest first; seen but not counted is 0 animals."""
    wanted = frozenset(within)
    hauls = {haul.key: haul for haul in account.hauls}
    counts: dict[str, int] = {haul: 0 for haul, taxon in account.present if taxon in wanted}
    for lot in account.animals:
        if lot.taxon in wanted and lot.unit == "individual":
            counts[lot.haul] = counts.get(lot.haul, 0) + lot.n
    by_outing: dict[str, list[str]] = {}
    for key in counts:
        by_outing.setdefault(key.rpartition("/")[0], []).append(key)
    found = []
    for outing, keys in by_outing.items():
        first = hauls.get(keys[0])
        when = first and (first.landed or first.started)
        day = f"{when.first_day:%Y-%m-%d}" if when else ""
        found.append(
            Found(
                outing, day, (first.site if first else "") or "", sum(counts[key] for key in keys), len(keys)
            )
        )
    return tuple(sorted(found, key=lambda one: (one.day, one.outing), reverse=True))
