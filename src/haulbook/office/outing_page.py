"""One outing as a page shows it: its hauls, its balance by taxon, haul and fate, and how many died."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from haulbook.custody.facts import Account, Animals, Haul
from haulbook.custody.fates import Basis, Fate
from haulbook.gear import Net, condition
from haulbook.gear.condition import Condition
from haulbook.office.densities import Swept, areas_of
from haulbook.office.entry_words import kind_words
from haulbook.taxa import Pack

FISH = "actinopterygii"
COLUMNS: dict[str, tuple[Fate, ...]] = {
    "back": (Fate.RELEASED_ALIVE, Fate.RELEASED_IN_NET),
    "kept": (Fate.RETAINED_ALIVE, Fate.RETAINED_DEAD),
    "died": (Fate.DIED_RELEASED, Fate.DIED_RETAINED),
    "killed": (Fate.KILLED_NOT_KEPT,),
    "escaped": (Fate.SEEN_ESCAPED,),
    "lost": (Fate.FATE_UNKNOWN,),
}
"""Columns of the balance: each fate stands in one. Animals not placed stand in none: they are the difference."""
ALWAYS = ("back", "kept", "died", "killed")
OPEN = "open"
"""Word under which animals are found that nobody placed."""
COLUMN_OF = {fate: name for name, fates in COLUMNS.items() for fate in fates}


@dataclass(frozen=True, slots=True)
class HaulRow:
    """One haul in the table. ``fish`` and ``animals`` are individuals."""

    haul: Haul
    number: int
    swept: Swept
    went: Condition
    animals: int
    fish: int


@dataclass(frozen=True, slots=True)
class Cell:
    """What a haul brought of one kind: ``n`` None where nothing is said, ``looked`` False where nobody looked."""

    n: int | None
    looked: bool = True
    seen: bool = False


@dataclass(frozen=True, slots=True)
class BalanceRow:
    """One taxon, stage and unit: what each haul brought, and what became of it."""

    taxon: str
    stage: str | None
    unit: str
    name: str
    by_haul: tuple[Cell, ...]
    out: int
    by_column: Mapping[str, int]
    accounted: int
    difference: int

    @property
    def kind(self) -> tuple[str, str | None, str]:
        """Taxon, stage and unit."""
        return self.taxon, self.stage, self.unit


@dataclass(frozen=True, slots=True)
class OutingPage:
    """One outing.

    Attributes
    ----------
    hauls : tuple of HaulRow
    rows : tuple of BalanceRow
        Fish first, then the rest; most animals first.
    total : BalanceRow
        Of individuals.
    columns : tuple of str
        Those of ``COLUMNS`` that are shown.
    fish, died, captured : int
        Individuals; ``died``: dead or killed on the beach.
    """

    hauls: tuple[HaulRow, ...]
    rows: tuple[BalanceRow, ...]
    total: BalanceRow
    columns: tuple[str, ...]
    fish: int
    died: int
    captured: int

    @property
    def area_m2(self) -> float | None:
        """Of all hauls that have one; None without any."""
        known = [row.swept.area.m2 for row in self.hauls if row.swept.area]
        return sum(known) if known else None


def outing_page(account: Account, pack: Pack, nets: Mapping[str, Net]) -> OutingPage:
    """Return an outing's account as a page.

    Parameters
    ----------
    account : Account
        Of one outing.
    pack : Pack
    nets : mapping of key to Net
        Of the station, for swept areas.
    """
    animals = [lot for lot in account.animals if lot.unit == "individual"]
    fish_below = pack.below(FISH) if FISH in pack.taxa else frozenset()
    by_haul, fish = Counter[str](), Counter[str]()
    for lot in animals:
        by_haul[lot.haul] += lot.n
        fish[lot.haul] += lot.n if lot.taxon in fish_below else 0
    areas = areas_of(account.hauls, nets)
    hauls = tuple(
        HaulRow(haul, _number(haul.key), areas[haul.key], condition(haul.condition), by_haul[haul.key], fish[haul.key])
        for haul in account.hauls
    )  # fmt: skip
    rows = sorted(
        _rows(account, pack),
        key=lambda row: (row.unit != "individual", row.taxon not in fish_below, -row.out, row.name),
    )
    total = _total([row for row in rows if row.unit == "individual"], [row.haul.key for row in hauls])
    used = {name for row in rows for name, n in row.by_column.items() if n}
    return OutingPage(
        hauls=hauls,
        rows=tuple(rows),
        total=total,
        columns=tuple(name for name in COLUMNS if name in used or name in ALWAYS),
        fish=sum(fish.values()),
        died=sum(lot.n for lot in animals if lot.bases & {Basis.DIED, Basis.KILLED}),
        captured=sum(lot.n for lot in animals if Basis.CAPTURED in lot.bases),
    )


def lots_behind(
    account: Account,
    haul: str | None = None,
    taxon: str | None = None,
    stage: str | None = None,
    column: str | None = None,
) -> tuple[Animals, ...]:
    """Return the animals behind a number of the page; ``stage`` ``-`` for those of whom nobody said one."""
    return tuple(
        lot
        for lot in account.animals
        if haul in (None, lot.haul)
        and taxon in (None, lot.taxon)
        and stage in (None, lot.stage or "-")
        and column in (None, COLUMN_OF.get(lot.fate, OPEN))
    )


def put_together(account: Account) -> Account:
    """Return an account in which animals of one haul stand together that differ only in their calls.

    For questions of numbers alone, as a percentage of an outing: it says no more which call came first.
    """
    groups: dict[tuple[object, ...], list[Animals]] = {}
    for lot in account.animals:
        told = (
            lot.sex,
            lot.origin,
            lot.mark,
            lot.berried,
            lot.length_mm,
            lot.length_type,
            lot.cause,
            lot.doubt,
        )
        where = (
            lot.fate,
            lot.place,
            lot.fated is None,
            lot.later,
            lot.haul_assumed,
            lot.basis,
            lot.subsample,
        )
        groups.setdefault((lot.haul, lot.taxon, lot.stage, lot.unit, *told, *where), []).append(lot)
    return replace(
        account, animals=tuple(replace(lots[0], n=sum(lot.n for lot in lots)) for lots in groups.values())
    )


def _number(haul: str) -> int:
    return int(haul.rpartition("/")[2])


def _rows(account: Account, pack: Pack) -> Iterable[BalanceRow]:
    groups: dict[tuple[str, str | None, str], list[Animals]] = defaultdict(list)
    for lot in account.animals:
        groups[lot.taxon, lot.stage, lot.unit].append(lot)
    short: Counter[tuple[str, str | None, str, str]] = Counter()
    for one in account.short:
        short[one.taxon, one.stage, one.unit, one.haul] += one.n
    for taxon in dict.fromkeys(taxon for _, taxon in account.present):
        if not any(key[0] == taxon for key in groups):
            groups[taxon, None, "individual"] = []
    for key, lots in groups.items():
        yield _row(
            key, lots, {haul: n for (*kind, haul), n in short.items() if tuple(kind) == key}, account, pack
        )


def _row(
    key: tuple[str, str | None, str], lots: list[Animals], short: Mapping[str, int], account: Account, pack: Pack
) -> BalanceRow:  # fmt: skip
    taxon, stage, unit = key
    counts, fates = Counter[str](), Counter[str]()
    for lot in lots:
        counts[lot.haul] += lot.n
        fates[COLUMN_OF.get(lot.fate, OPEN)] += lot.n
    counts.subtract(short)
    out, open_ones = sum(counts.values()), fates.pop(OPEN, 0)
    return BalanceRow(
        taxon, stage, unit, kind_words(taxon, stage, pack, unit), tuple(_cells(taxon, counts, account, pack)), out,
        fates, sum(fates.values()), open_ones - sum(short.values()),
    )  # fmt: skip


def _cells(taxon: str, counts: Mapping[str, int], account: Account, pack: Pack) -> Iterable[Cell]:
    none, present = set(account.none_found), set(account.present)
    for haul in account.hauls:
        looked = account.looked_for.get(haul.outing)
        declared = looked is not None and (
            taxon in looked or any(up in looked for up in _lineage(taxon, pack))
        )
        if counts.get(haul.key):
            yield Cell(counts[haul.key])
        elif (haul.key, taxon) in present:
            yield Cell(None, seen=True)
        elif (haul.key, taxon) in none or declared:
            yield Cell(0)
        else:
            yield Cell(None, looked=not looked)


def _lineage(taxon: str, pack: Pack) -> tuple[str, ...]:
    return pack.lineage(taxon) if taxon in pack.taxa else ()


def _total(rows: Iterable[BalanceRow], hauls: Iterable[str]) -> BalanceRow:
    rows = list(rows)
    by_column: Counter[str] = Counter()
    for row in rows:
        by_column.update(row.by_column)
    by_haul = tuple(Cell(sum(row.by_haul[i].n or 0 for row in rows)) for i, _ in enumerate(hauls))
    return BalanceRow(
        "", None, "individual", "", by_haul, sum(row.out for row in rows), by_column,
        sum(row.accounted for row in rows), sum(row.difference for row in rows),
    )  # fmt: skip
