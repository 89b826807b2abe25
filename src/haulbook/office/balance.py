"""Reads an account as a balance: what came out of the sea, and where each animal is."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping

from haulbook.custody.facts import Account, Animals
from haulbook.custody.fates import Fate
from haulbook.office.say import is_open, said, scientific
from haulbook.publish.account_parts import BalanceLine
from haulbook.publish.account_view import MOST_COLUMNS
from haulbook.taxa import Pack

OutOfSea = Mapping[tuple[str | None, ...], int]

LATER_WORDS = {
    "died": "died later", "killed": "killed later", "given": "given away later",
    "back": "released after captivity", "lost": "missing from a tank later, presumed dead",
}  # fmt: skip


def by_fate(animals: Iterable[Animals], unit: str = "individual") -> dict[Fate, int]:
    """Return animals of one unit by fate, in the order of the fates table."""
    totals: Counter[Fate] = Counter()
    for lot in animals:
        if lot.unit == unit:
            totals[lot.fate] += lot.n
    return {fate: totals[fate] for fate in Fate if totals[fate]}


def captured(animals: Iterable[Animals], unit: str = "individual") -> int:
    """Return how many animals were captured: all fates but those seen to escape, the unaccounted included."""
    return sum(n for fate, n in by_fate(animals, unit).items() if fate is not Fate.SEEN_ESCAPED)


def by_taxon(animals: Iterable[Animals], unit: str = "individual") -> dict[str, int]:
    """Return captured animals by taxon, most first."""
    totals: Counter[str] = Counter()
    for lot in animals:
        if lot.unit == unit and lot.fate is not Fate.SEEN_ESCAPED:
            totals[lot.taxon] += lot.n
    return dict(totals.most_common())


def animals_by_haul(animals: Iterable[Animals], unit: str = "individual") -> dict[str, int]:
    """Return how many animals of one unit each haul brought up, the escaped included."""
    totals: Counter[str] = Counter()
    for lot in animals:
        if lot.unit == unit:
            totals[lot.haul] += lot.n
    return totals


def died_later(animals: Iterable[Animals]) -> int:
    """Return how many died after they had left the beach, or were killed."""
    return sum(lot.n for lot in animals if any(event.kind in ("died", "killed") for event in lot.later))


def balance_lines(account: Account, out_of_sea: OutOfSea, pack: Pack) -> tuple[BalanceLine, ...]:
    """Return one line a taxon, stage and unit, most animals first.

    Parameters
    ----------
    account : Account
        Where every animal is.
    out_of_sea : mapping of (taxon, stage, unit) to int
        What the book moved out of the sea: the other side of the balance, read apart from where they are.
    pack : Pack
    """
    groups: dict[tuple[str, str | None, str], list[Animals]] = defaultdict(list)
    for lot in account.animals:
        groups[lot.taxon, lot.stage, lot.unit].append(lot)
    lines = [_line(key, lots, out_of_sea.get(key, 0), account, pack) for key, lots in groups.items()]
    return tuple(sorted(lines, key=lambda line: (line.unit != "individual", -line.out_of_sea, line.name)))


def _line(
    key: tuple[str, str | None, str], lots: list[Animals], out_of_sea: int, account: Account, pack: Pack
) -> BalanceLine:
    taxon, stage, unit = key
    name = said(taxon, pack)
    return BalanceLine(
        name=f"{name}, {stage}" if stage else name,
        scientific=scientific(taxon, pack),
        name_open=is_open(taxon),
        unit=unit,
        out_of_sea=out_of_sea,
        by_fate=by_fate(lots, unit),
        by_haul=_by_haul(taxon, lots, account),
        expanded=sum(lot.n for lot in lots if lot.basis == "expanded"),
        judged=sum(lot.n for lot in lots if lot.basis == "judged"),
        remarks=_later(lots),
    )


def _by_haul(taxon: str, lots: list[Animals], account: Account) -> Mapping[str, int | None]:
    if len(account.hauls) > MOST_COLUMNS:  # no page has room for them
        return {}
    counts: Counter[str] = Counter()
    for lot in lots:
        counts[lot.haul] += lot.n
    none = {haul for haul, one in account.none_found if one == taxon}
    looked = {outing for outing, taxa in account.looked_for.items() if taxon in taxa}
    cells: dict[str, int | None] = {}
    for haul in account.hauls:
        if counts[haul.key]:
            cells[haul.label or haul.key] = counts[haul.key]
        elif haul.key in none:
            cells[haul.label or haul.key] = 0
        elif haul.outing in account.looked_for and haul.outing not in looked:
            cells[haul.label or haul.key] = None
    return cells


def _later(lots: list[Animals]) -> tuple[str, ...]:
    counts: Counter[str] = Counter()
    for lot in lots:
        for event in lot.later:
            counts[event.kind] += lot.n
    return tuple(f"{n} {LATER_WORDS[kind]}" for kind, n in counts.items())
