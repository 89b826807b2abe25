"""What the bed gave: catch per area by taxon and year, every haul visible, one year held against another."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from haulbook.custody.facts import Account, Haul
from haulbook.custody.ledger import Within, same_taxon
from haulbook.estimate import Comparable, Estimate, HaulDensity, LeftOut
from haulbook.office.densities import ALL, Density, Swept, densities
from haulbook.office.say import said
from haulbook.taxa import Pack

BIN_MM = 10


@dataclass(frozen=True, slots=True)
class HaulCatch:
    """One haul and one taxon.

    Attributes
    ----------
    haul, outing : str
    day : str
        As written in the book; empty where nobody said.
    n : int or None
        Captured; None where the haul says nothing of the taxon.
    area_m2 : float or None
    why_not : str or None
        Why it enters no estimate.
    """

    haul: str
    outing: str
    day: str
    n: int | None
    area_m2: float | None
    why_not: str | None


@dataclass(frozen=True, slots=True)
class Finding:
    """What the years say against one another: a headline, and the sentence behind it."""

    headline: str
    words: str


def part_of(account: Account, sites: Collection[str] = (), months: Collection[int] = ()) -> Account:
    """Return the account of hauls at some sites and in some months (by the landing); empty: all."""
    hauls = tuple(haul for haul in account.hauls if _wanted(haul, sites, months))
    keys = {haul.key for haul in hauls}
    return Account(
        hauls=hauls,
        animals=tuple(lot for lot in account.animals if lot.haul in keys),
        present=tuple(pair for pair in account.present if pair[0] in keys),
        none_found=tuple(pair for pair in account.none_found if pair[0] in keys),
        looked_for=account.looked_for,
        lengths=tuple(one for one in account.lengths if one.haul in keys),
    )


def _wanted(haul: Haul, sites: Collection[str], months: Collection[int]) -> bool:
    if sites and haul.site not in sites:
        return False
    when = haul.landed or haul.started
    if not months:
        return True
    return when is not None and when.first_day.month == when.last_day.month and when.first_day.month in months


def bed_of(account: Account, areas: Mapping[str, Swept], within: Within = same_taxon) -> tuple[Density, ...]:
    """Return catch per area of each year, never of all years together: a bed is compared with itself."""
    found = densities(account, areas, within)
    return tuple(one for one in found if one.period != ALL)


def as_json(some: Iterable[Density]) -> list[dict[str, Any]]:
    """Return densities as JSON takes them."""
    return [asdict(one) | {"group": list(one.group)} for one in some]


def from_json(rows: Iterable[Mapping[str, Any]]) -> tuple[Density, ...]:
    """Return what :func:`as_json` wrote."""
    return tuple(
        Density(
            **{
                **row,
                "group": Comparable(*row["group"]),
                "estimate": Estimate(
                    **{
                        **row["estimate"],
                        "warnings": tuple(row["estimate"]["warnings"]),
                        "hauls": tuple(HaulDensity(**one) for one in row["estimate"]["hauls"]),
                        "left_out": tuple(LeftOut(**one) for one in row["estimate"]["left_out"]),
                    }
                ),
            }
        )
        for row in rows
    )


def held_against(some: Sequence[Density], year: str, before: str, pack: Pack) -> Finding:
    """Say whether one year differs from another: only intervals that do not meet are worth a word.

    Intervals that overlap do not show that two years are alike, and with many taxa some will part by chance; the
    sentence says both.
    """
    pairs = []
    of_before = {(one.taxon, one.group): one for one in some if one.period == before}
    for one in some:
        other = of_before.get((one.taxon, one.group))
        if one.period == year and other is not None and _both_given(one.estimate, other.estimate):
            pairs.append((one, other))
    hauls = max((one.estimate.n_hauls for one in some if one.period == year), default=0)
    if not pairs:
        return Finding(
            f"{year} can't be held against {before}.",
            "No kind has an interval in both years with the same net and set type.",
        )
    apart = [(one, other) for one, other in pairs if _apart(one.estimate, other.estimate)]
    if not apart:
        return Finding(
            f"{hauls} hauls cannot tell whether {year} differs from {before}.",
            f"Every interval of {year} that can be given overlaps that of {before} ({len(pairs)} kinds). "
            "That is not the same as no change.",
        )
    told = [f"{said(one.taxon, pack)} ({'more' if _more(one, other) else 'fewer'})" for one, other in apart]
    return Finding(
        f"{len(apart)} of {len(pairs)} kinds lie apart in {year} and {before}.",
        f"{', '.join(told[:8])}{' and others' if len(told) > 8 else ''}: their 95 % intervals do not meet. "
        "Worth a look, not a finding: of so many kinds some part by chance, and hauls of one tide are no "
        "independent sample.",
    )


def _both_given(one: Estimate, other: Estimate) -> bool:
    return one.limits_shown and other.limits_shown


def _apart(one: Estimate, other: Estimate) -> bool:
    return (one.low or 0.0) > (other.high or 0.0) or (other.low or 0.0) > (one.high or 0.0)


def _more(one: Density, other: Density) -> bool:
    return (one.estimate.per_100_m2 or 0.0) > (other.estimate.per_100_m2 or 0.0)


def hauls_behind(
    account: Account, areas: Mapping[str, Swept], taxon: str, estimates: Iterable[Density]
) -> tuple[HaulCatch, ...]:
    """Return every haul with what it says of a taxon, the latest first."""
    counts: Counter[str] = Counter()
    for lot in account.animals:
        if lot.taxon == taxon and lot.unit == "individual" and lot.fate.value != "seen_escaped":
            counts[lot.haul] += lot.n
    used: set[str] = set()
    why: dict[str, str] = {}
    for one in estimates:
        if one.taxon == taxon:
            used |= {haul.label for haul in one.estimate.hauls}
            why |= {out.label: out.why for out in one.estimate.left_out}
    made = []
    for haul in account.hauls:
        label = haul.label or haul.key
        when = haul.landed or haul.started
        swept = areas.get(haul.key)
        says = label in used or counts[haul.key] > 0
        made.append(
            HaulCatch(
                haul.key, haul.outing, when.text if when else "", counts[haul.key] if says else None,
                swept.area.m2 if swept and swept.area else None, None if label in used else why.get(label),
            )
        )  # fmt: skip
    return tuple(reversed(made))


def lengths_by_year(account: Account, taxon: str) -> dict[str, Counter[int]]:
    """Return how many animals of a taxon were measured in each length class of ``BIN_MM``, by year.

    A class is named by its lower end in millimetres. Lengths of lists and of single animals count alike.
    """
    years = {
        haul.key: str(when.first_day.year) for haul in account.hauls if (when := haul.landed or haul.started)
    }
    found: dict[str, Counter[int]] = {}

    def add(haul: str, mm: float, n: int) -> None:
        if haul in years:
            found.setdefault(years[haul], Counter())[int(mm // BIN_MM) * BIN_MM] += n

    for lot in account.animals:
        if lot.taxon == taxon and lot.length_mm is not None:
            add(lot.haul, lot.length_mm, lot.n)
    for one in account.lengths:
        if one.taxon == taxon:
            for mm in one.mm:
                add(one.haul, mm, 1)
    return dict(sorted(found.items()))
