"""What an animal weighs: by scales, length, usual length, or group; never nothing."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from haulbook.care.animal import TaxonFacts
from haulbook.care.planning import HOUSE, LABEL, PlanningDefaults
from haulbook.care.planning_groups import UNKNOWN_GROUP
from haulbook.care.ranges import Within, require
from haulbook.problems import Refusal

FRY_MM = 30.0
"""Below this length a relation fitted on grown fish is stretched."""

LONGEST_MM = 3000.0

_FITTED_OVER = re.compile(r"(\d+(?:\.\d+)?)-(\d+(?:\.\d+)?) cm")
_DOUBTFUL = ("outside the juvenile range", "not for young", "weak", "genus value")

Basis = Literal["weighed", "length", "usual length", "group"]


@dataclass(frozen=True, slots=True)
class Mass:
    """A wet mass and how it came about.

    Attributes
    ----------
    g : float
        Above 0.
    basis : {"weighed", "length", "usual length", "group"}
    sure : bool
        False where the range of everything that follows has to be doubled.
    notes : tuple of str
        Source and doubt, in words.
    """

    g: float
    basis: Basis
    sure: bool
    notes: tuple[str, ...] = ()


def mass_from_length(a: float, b: float, length_cm: float) -> float:
    """Return wet mass in g from a length in cm: ``W = a L^b``.

    Good to about +-50 % on an individual. Length above 0 and at most 300 cm; refused outside.
    """
    require(Within("length", length_cm, 0.01, 300, " cm"))
    return a * math.pow(length_cm, b)


def mass_of(
    taxon: TaxonFacts | None,
    *,
    length_mm: float | None = None,
    weighed_g: float | None = None,
    planning: PlanningDefaults = HOUSE,
) -> Mass:
    """Return the mass of one animal by the best that is known of it.

    Parameters
    ----------
    taxon : TaxonFacts or None
        None for a name that is still open.
    length_mm : float or None
        Measured here, 1 to 3000 mm.
    weighed_g : float or None
        Weighed here; goes before everything.

    Raises
    ------
    Refusal
        A length or a weight that no animal of a small seine has.
    """
    if weighed_g is not None:
        require(Within("weight", weighed_g, 0.001, 20_000, " g"))
        return Mass(weighed_g, "weighed", sure=True)
    if length_mm is not None:
        require(Within("length", length_mm, 1, LONGEST_MM, " mm"))
    usual = _usual_mm(taxon.typical_juvenile_mm) if taxon else None
    length, basis = (length_mm, "length") if length_mm is not None else (usual, "usual length")
    if taxon and taxon.lw_a and taxon.lw_b and length is not None:
        return _by_species(taxon, taxon.lw_a, taxon.lw_b, length, basis)
    return _by_group(taxon, length_mm, planning)


def _usual_mm(published: float | str | None) -> float | None:
    if not isinstance(published, str):
        return published
    ends = [float(end) for end in published.split("-") if end]
    return sum(ends) / len(ends) if ends else None


def _by_species(taxon: TaxonFacts, a: float, b: float, length_mm: float, basis: str) -> Mass:
    units = taxon.lw_units or ""
    length = length_mm if "in mm" in units else length_mm / 10.0
    notes = [
        f"{taxon.key}: W = {a:g} L^{b:g}, {units or 'W in g, L in cm'} ({taxon.lw_source or 'no source'})"
    ]
    sure = basis == "length"
    if not sure:
        notes.append(f"{taxon.key}: nobody measured it; a usual length of {length_mm:g} mm is assumed")
    if any(word in units for word in _DOUBTFUL):
        notes.append(f"{taxon.key}: the relation is weak or fitted on other sizes")
        sure = False
    fitted = _FITTED_OVER.search(units)
    outside = fitted and not float(fitted[1]) <= length_mm / 10.0 <= float(fitted[2])
    if outside or (not fitted and length_mm < FRY_MM and "juveniles" not in units):
        notes.append(
            f"{taxon.key}: {length_mm:g} mm lies outside the lengths that the relation was fitted on"
        )
        sure = False
    return Mass(
        a * math.pow(length, b), "length" if basis == "length" else "usual length", sure, tuple(notes)
    )


def _by_group(taxon: TaxonFacts | None, length_mm: float | None, planning: PlanningDefaults) -> Mass:
    group = planning.groups.get(taxon.group, UNKNOWN_GROUP) if taxon else UNKNOWN_GROUP
    missing = "usual length" if taxon and taxon.lw_a else "length-weight relation"
    said = f"{taxon.key}: no {missing} known; " if taxon else "name still open; "
    if length_mm is None:
        note = f"{said}{group.mass_g:g} g is assumed for the group ({LABEL})"
        return Mass(group.mass_g, "group", sure=False, notes=(note,))
    grams = group.a * math.pow(length_mm / 10.0, group.b)
    note = f"{said}W = {group.a:g} L cm^{group.b:g} is assumed for the group ({LABEL})"
    return Mass(grams, "group", sure=False, notes=(note,))


def fit_length_weight(lengths_cm: Sequence[float], masses_g: Sequence[float]) -> tuple[float, float, float]:
    """Return a station's own a, b and the residual spread s of ln W, from animals both measured and weighed.

    ``ln W`` is regressed on ``ln L`` and a is back-transformed with ``exp(s^2 / 2)``, so that a L^b is a mean
    mass. Take 30 animals or more over the whole range of sizes.

    Raises
    ------
    Refusal
        Fewer than three pairs, unequal numbers, anything not above 0, or all lengths alike.
    """
    n = len(lengths_cm)
    if n != len(masses_g):
        raise Refusal(f"there are {n} lengths and {len(masses_g)} weights; give both of every animal")
    if n < 3 or min(*lengths_cm, *masses_g) <= 0 or len(set(lengths_cm)) == 1:
        raise Refusal("a length-weight fit needs three or more animals of different length, all above 0")
    x = [math.log(length) for length in lengths_cm]
    y = [math.log(mass) for mass in masses_g]
    mean_x, mean_y = math.fsum(x) / n, math.fsum(y) / n
    b = math.fsum((u - mean_x) * (v - mean_y) for u, v in zip(x, y, strict=True)) / math.fsum(
        (u - mean_x) ** 2 for u in x
    )
    left = math.fsum((v - mean_y - b * (u - mean_x)) ** 2 for u, v in zip(x, y, strict=True))
    variance = left / (n - 2)
    return math.exp(mean_y - b * mean_x + variance / 2.0), b, math.sqrt(variance)
