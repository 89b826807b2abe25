"""Who in a tank should not share it, what it takes to feed them, and how much."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from haulbook.care.company import Guest, class_of, verdict
from haulbook.care.mass import mass_of
from haulbook.care.tank.live_food import FirstFood, first_food
from haulbook.care.tank.ration import ration_g_per_day
from haulbook.office.say import said
from haulbook.problems import Refusal
from haulbook.publish.words import listed
from haulbook.taxa import Pack

_APART = ("no", "never")


@dataclass(frozen=True, slots=True)
class Apart:
    """Animals of a tank that should be kept from each other, class by class.

    Attributes
    ----------
    one, other : str
        Names, listed; the same where animals of one class hunt each other.
    why : str
    never : bool
        Not even for a short time.
    """

    one: str
    other: str
    why: str
    never: bool


def apart(taxa: Iterable[str], pack: Pack) -> tuple[Apart, ...]:
    """Return who should not share a tank: nobody is measured there, so what goes by size is taken as no.

    Pairs of the same two classes of company are said together.
    """
    guests = [guest for key in dict.fromkeys(taxa) if (guest := guest_of(key, pack)) is not None]
    grouped: dict[tuple[tuple[str, ...], str, bool], tuple[dict[str, None], dict[str, None]]] = {}
    for pair in combinations(sorted(guests, key=lambda guest: (guest.kind, guest.taxon)), 2):
        found = verdict(*pair)
        if found.level in _APART:
            why = found.why.partition(": ")[2].replace("in one bucket", "together") or found.why
            key = (tuple(guest.kind for guest in pair), why, found.level == "never")
            ones, others = grouped.setdefault(key, ({}, {}))
            ones[pair[0].taxon] = others[pair[1].taxon] = None
    return tuple(_apart(*names, why, never) for (_kinds, why, never), names in grouped.items())


def _apart(ones: Iterable[str], others: Iterable[str], why: str, never: bool) -> Apart:
    mine, theirs = list(ones), list(others)
    if set(mine) & set(theirs):
        mine = theirs = sorted({*mine, *theirs})
    return Apart(listed(mine), listed(theirs), why, never)


def guest_of(taxon: str, pack: Pack) -> Guest | None:
    """Return a taxon as company sees it; None while its name is open."""
    row = pack.taxa.get(taxon)
    if row is None:
        return None
    return Guest(said(taxon, pack), class_of(row.group, (taxon, *pack.lineage(taxon))))


def food_of(taxon: str, pack: Pack) -> FirstFood | None:
    """Return what a taxon takes first; None where nothing is known."""
    row = pack.taxa.get(taxon)
    return first_food(row.group, (taxon, *pack.lineage(taxon))) if row is not None else None


@dataclass(frozen=True, slots=True)
class RationNow:
    """Wet food for a day, in grams, for animals of so many grams together at a temperature."""

    g: float
    mass_g: float
    temperature_c: float


def ration_now(held: Sequence[tuple[str, int]], temperature_c: float | None, pack: Pack) -> RationNow | None:
    """Return the ration of a tank by the usual size of what it holds; None without a temperature it can be told at.

    Parameters
    ----------
    held : sequence of (taxon, n)
        Individuals.
    temperature_c : float or None
    """
    if temperature_c is None or not held:
        return None
    mass = sum(n * mass_of(pack.taxa.get(taxon)).g for taxon, n in held)
    try:
        return RationNow(ration_g_per_day(mass, temperature_c), mass, temperature_c)
    except Refusal:
        return None  # colder or warmer than the ration was ever reckoned for: the water is said first
