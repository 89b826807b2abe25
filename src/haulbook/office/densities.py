"""Catch per area of every taxon: which hauls may be put together, and where a missing row means none."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from haulbook.custody.facts import Account, Haul
from haulbook.custody.fates import Fate
from haulbook.custody.ledger import Within, same_taxon
from haulbook.estimate import Comparable, Estimate, HaulRow, catches_per_area
from haulbook.gear import Area, Net, condition, swept_area
from haulbook.problems import Refusal

ALL = "all"


@dataclass(frozen=True, slots=True)
class Density:
    """Catch per area of one taxon, over comparable hauls of one period (a year, or all)."""

    taxon: str
    period: str
    group: Comparable
    animals: int
    area_m2: float
    estimate: Estimate


@dataclass(frozen=True, slots=True)
class Swept:
    """The area of one haul, or why there is none."""

    area: Area | None
    why_not: str | None


def swept_by(haul: Haul, nets: Mapping[str, Net]) -> Swept:
    """Return the area that a haul swept.

    An area that the sheet itself gives is taken where nothing was measured; no area, no density, and none is
    borrowed from other hauls.
    """
    net = nets.get(haul.net) if haul.net else None
    try:
        if haul.set_type in (None, "given") and haul.area_m2 is not None:
            return Swept(swept_area("given", {}, given_m2=haul.area_m2, said_by="the sheet"), None)
        if haul.set_type is None and not haul.measures:
            return Swept(None, "nothing was measured, so no area")
        return Swept(swept_area(haul.set_type, haul.measures, net, given_m2=haul.area_m2), None)
    except Refusal as refusal:
        return Swept(None, "; ".join(problem.message for problem in refusal.problems))


def areas_of(hauls: Iterable[Haul], nets: Mapping[str, Net]) -> dict[str, Swept]:
    """Return what each haul swept, by haul key."""
    return {haul.key: swept_by(haul, nets) for haul in hauls}


def densities(
    account: Account, areas: Mapping[str, Swept], within: Within = same_taxon
) -> tuple[Density, ...]:
    """Return catch per area of every taxon, over all years and for each year.

    Zeros: a haul's own "searched and none" and its outing's declared list say what was looked for. Where the
    list leaves a taxon out, that outing says nothing of it, not even where one was caught: hauls with a
    catch alone would tell of a fuller bed than there is. Where a book declares nothing, as old sheets do, a
    taxon counts as looked for from the first year in which it was written down. Stages are taken together;
    egg masses and colonies are no animals and are left out.

    Parameters
    ----------
    account : Account
    areas : mapping of haul key to Swept
    within : callable
        ``within(taxon, other)``: whether ``taxon`` is ``other`` or lies within it.
    """
    counts, judged = _counts(account)
    hauls_by_year = _by_year(account.hauls)
    searches = _Searches(account, within)
    found: list[Density] = []
    for taxon in sorted(counts):
        rows = {
            haul.key: _row(
                haul,
                counts[taxon],
                searches.looked_for(haul, taxon, first_year),
                (taxon, haul.key) in judged,
                areas,
            )
            for first_year in [_first_year(account, counts[taxon])]
            for haul in account.hauls
        }
        for period, hauls in hauls_by_year.items():
            picked = [(haul, rows[haul.key]) for haul in hauls]
            for group, estimate in catches_per_area(row for _, row in picked).items():
                used = {density.label for density in estimate.hauls}
                mine = [row for _, row in picked if row.label in used and _same_group(row, group)]
                found.append(
                    Density(
                        taxon, period, group, sum(row.count or 0 for row in mine),
                        sum(row.area_m2 or 0.0 for row in mine), estimate,
                    )
                )  # fmt: skip
    return tuple(found)


def _same_group(row: HaulRow, group: Comparable) -> bool:
    return (row.net, row.set_type) == (group.net, group.set_type)


def _year(haul: Haul) -> str | None:
    when = haul.landed or haul.started
    return str(when.first_day.year) if when else None


def _by_year(hauls: Iterable[Haul]) -> dict[str, list[Haul]]:
    periods: dict[str, list[Haul]] = {ALL: list(hauls)}
    for haul in periods[ALL]:
        year = _year(haul)
        if year:
            periods.setdefault(year, []).append(haul)
    one_year = len(periods) == 2 and all(_year(haul) for haul in periods[ALL])
    if one_year:  # which is all years, so it stands once
        del periods[ALL]
    return periods


def _counts(account: Account) -> tuple[dict[str, Counter[str]], set[tuple[str, str]]]:
    """Return captured animals by taxon and haul, and where some of them were not counted one by one."""
    counts: dict[str, Counter[str]] = {}
    estimated: set[tuple[str, str]] = set()
    for lot in account.animals:
        if lot.unit != "individual" or lot.fate is Fate.SEEN_ESCAPED:
            continue
        counts.setdefault(lot.taxon, Counter())[lot.haul] += lot.n
        if lot.basis != "counted":
            estimated.add((lot.taxon, lot.haul))
    return counts, estimated


def _first_year(account: Account, counts: Counter[str]) -> str | None:
    years = [year for haul in account.hauls if counts[haul.key] and (year := _year(haul))]
    return min(years, default=None)


class _Searches:
    """What an account says was looked for, ready to be asked for every haul and taxon."""

    def __init__(self, account: Account, within: Within) -> None:
        self._present, self._none = set(account.present), set(account.none_found)
        self._declared, self._within = account.looked_for, within
        self._known: dict[tuple[tuple[str, ...], str], bool] = {}

    def looked_for(self, haul: Haul, taxon: str, first_year: str | None) -> bool:
        """Say whether a haul without a row of a taxon means that there was none."""
        if (haul.key, taxon) in self._present:
            return False
        if (haul.key, taxon) in self._none:
            return True
        declared = self._declared.get(haul.outing)
        if declared:
            return self._is_declared(declared, taxon)
        year = _year(haul)
        return first_year is None or year is None or year >= first_year

    def _is_declared(self, declared: tuple[str, ...], taxon: str) -> bool:
        key = (declared, taxon)
        if key not in self._known:
            self._known[key] = any(self._within(taxon, wanted) for wanted in declared)
        return self._known[key]


def _row(
    haul: Haul, counts: Counter[str], looked_for: bool, estimated: bool, areas: Mapping[str, Swept]
) -> HaulRow:
    went = condition(haul.condition)
    swept = areas[haul.key]
    return HaulRow(
        label=haul.label or haul.key,
        count=counts[haul.key] if looked_for else None,
        area_m2=swept.area.m2 if swept.area else None,
        eligible=went.for_density,
        why_not=None if went.for_density else f"condition {went.code}, {went.words}",
        net=haul.net,
        set_type=haul.set_type,
        flagged=went.flagged,
        area_assumed=swept.area is not None and swept.area.basis == "assumed",
        estimated=estimated,
    )
