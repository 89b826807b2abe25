"""What everyone may know of a bed: the kinds found in each year, without a place, a day, a person or a remark."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from haulbook.custody.facts import Account, Haul
from haulbook.custody.fates import Basis
from haulbook.identify.notices import kinds_of
from haulbook.office.bed import lengths_by_year
from haulbook.office.coarse import coarse
from haulbook.office.say import is_open
from haulbook.taxa import Pack

_NEAR_KIN = ("genus", "family")
MOST_MEASURED = 4
LEAST_MEASURED = 5
"""Kinds whose lengths are shown: those measured most often, if at least so often."""


@dataclass(frozen=True, slots=True)
class Found:
    """One kind.

    Attributes
    ----------
    taxon : str
    protected : bool
    animals : dict of str to int
        Individuals caught, by year; 0 where only its eggs, colonies or "present" were written down.
    outings : dict of str to int
        In how many outings of each year it was found.
    """

    taxon: str
    protected: bool
    animals: dict[str, int]
    outings: dict[str, int]


@dataclass(frozen=True, slots=True)
class Story:
    """What everyone may know.

    Attributes
    ----------
    outings, hauls : dict of str to int
        By year, in order.
    animals, back : int
        Individuals caught in all years, and those that went back alive at the beach.
    kinds : tuple of Found
        In most outings first.
    open_names : int
        Names that are not settled yet; they stand in no list.
    lengths : dict of str to dict
        By taxon and year: ``[from_mm, animals]`` of each length class.
    """

    outings: dict[str, int]
    hauls: dict[str, int]
    animals: int
    back: int
    kinds: tuple[Found, ...]
    open_names: int
    lengths: dict[str, dict[str, list[list[int]]]]

    @property
    def years(self) -> list[str]:
        """The years in order."""
        return list(self.outings)

    @property
    def protected(self) -> list[Found]:
        """Kinds of which no place is told."""
        return [one for one in self.kinds if one.protected]

    def as_json(self) -> dict[str, Any]:
        """Return it as JSON takes it."""
        return asdict(self)

    @classmethod
    def from_json(cls, said: Mapping[str, Any]) -> Story:
        """Return what :meth:`as_json` wrote."""
        return cls(**{**said, "kinds": tuple(Found(**one) for one in said["kinds"])})


def is_protected(taxon: str, pack: Pack) -> bool:
    """Say whether the pack calls a taxon protected, or the genus or family that it belongs to.

    Higher names carry such notes too ("an unidentified fish may be a listed salmonid"); they speak of what could not be
    told apart, not of every fish.
    """
    kin = [taxon, *(one for one in pack.lineage(taxon) if pack[one].rank in _NEAR_KIN)]
    return any("protected" in kinds_of(pack[one]) for one in kin)


def story_of(account: Account, pack: Pack) -> Story:
    """Return the story of a bed: every haul that has a year, and every kind whose name is settled."""
    hauls = {haul.key: (haul, year) for haul in account.hauls if (year := _year(haul))}
    caught: dict[str, Counter[str]] = {}
    found_in: dict[str, set[tuple[str, str]]] = {}
    total, back, still_open = 0, 0, set()

    def found(taxon: str, key: str, n: int) -> None:
        haul, year = hauls[key]
        caught.setdefault(taxon, Counter())[year] += n
        found_in.setdefault(taxon, set()).add((year, haul.outing))

    for lot in account.animals:
        if lot.haul not in hauls or Basis.CAPTURED not in lot.bases:
            continue
        n = lot.n if lot.unit == "individual" else 0
        total += n
        back += n if Basis.RELEASED in lot.bases else 0
        if is_open(lot.taxon) or lot.taxon not in pack.taxa:
            still_open.add(lot.taxon)
        else:
            found(lot.taxon, lot.haul, n)
    for key, taxon in account.present:
        if key in hauls and taxon in pack.taxa:
            found(taxon, key, 0)
    kinds = [_found(taxon, caught[taxon], found_in[taxon], pack) for taxon in caught]
    kinds.sort(key=lambda one: (-sum(one.outings.values()), -sum(one.animals.values()), one.taxon))
    return Story(
        outings=_by_year({(year, haul.outing) for haul, year in hauls.values()}),
        hauls=_by_year((year, haul.key) for haul, year in hauls.values()),
        animals=total,
        back=back,
        kinds=tuple(kinds),
        open_names=len(still_open),
        lengths=_lengths(account, [one.taxon for one in kinds if not one.protected]),
    )


def where(sites: Iterable[tuple[float, float, float]], story: Story) -> list[tuple[str, str, float]]:
    """Return where the bed lies, no finer than each site allows; nowhere once a protected kind was found.

    Parameters
    ----------
    sites : iterable of (lat, lon, km)
        Degrees north and east, and how wide the cell is at least.
    story : Story

    Returns
    -------
    list of (lat, lon, km)
        Degrees as text with no more decimals than the cell allows; each cell once, in order.
    """
    if story.protected:
        return []
    cells = {cell for lat, lon, km in sites if (cell := coarse(lat, lon, km))}
    return sorted((str(cell.lat), str(cell.lon), cell.km) for cell in cells)


def _year(haul: Haul) -> str | None:
    when = haul.landed or haul.started
    return str(when.first_day.year) if when else None


def _by_year(pairs: Iterable[tuple[str, str]]) -> dict[str, int]:
    return dict(sorted(Counter(year for year, _ in pairs).items()))


def _found(taxon: str, caught: Counter[str], outings: Collection[tuple[str, str]], pack: Pack) -> Found:
    return Found(taxon, is_protected(taxon, pack), dict(sorted(caught.items())), _by_year(outings))


def _lengths(account: Account, taxa: Iterable[str]) -> dict[str, dict[str, list[list[int]]]]:
    measured = {taxon: lengths_by_year(account, taxon) for taxon in taxa}
    n = {taxon: sum(sum(bins.values()) for bins in years.values()) for taxon, years in measured.items()}
    most = sorted((taxon for taxon in n if n[taxon] >= LEAST_MEASURED), key=lambda taxon: (-n[taxon], taxon))
    return {
        taxon: {
            year: [[mm, count] for mm, count in sorted(bins.items())]
            for year, bins in measured[taxon].items()
        }
        for taxon in most[:MOST_MEASURED]
    }
