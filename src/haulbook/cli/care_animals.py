"""The animals of a bucket as typed on the command line: ``"20 cunner 80; 6 grubby; 1 blue-crab 120g"``."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

from haulbook.care.cautions import Caution, caution_of
from haulbook.care.company import Guest, class_of, verdict
from haulbook.care.demand import NOTHING, Demand, demand_of
from haulbook.problems import Problem, Refusal
from haulbook.taxa import Pack, Taxon, load_pack

_LOT = re.compile(r"(?P<n>\d+)\s+(?P<name>.*?)(?:\s+(?P<size>\d+(?:\.\d+)?)(?P<unit>mm|cm|g)?)?")


@dataclass(frozen=True, slots=True)
class Lot:
    """n animals of one taxon and size, with their demand together, company and caution."""

    n: int
    demand: Demand
    guest: Guest
    caution: Caution | None


def lots_of(text: str, pack_key: str | None, temperature_c: float) -> list[Lot]:
    """Return the lots behind a typed line.

    Raises
    ------
    Refusal
        No pack, or all that could not be read, together: no number, an unknown or doubtful name.
    """
    if pack_key is None:
        raise Refusal("--animals needs --pack: nwatlantic or nepacific")
    pack = load_pack(pack_key)
    lots, problems = [], []
    for part in (each.strip() for each in text.split(";")):
        if not part:
            continue
        try:
            lots.append(_lot(part, pack, temperature_c))
        except Refusal as refusal:
            problems += [
                Problem(
                    each.kind, f"{each.message} (in {part!r})", each.file, each.sheet, each.row, "--animals"
                )
                for each in refusal.problems
            ]
    if problems:
        raise Refusal(problems)
    if not lots:
        raise Refusal('--animals is empty: write "20 cunner 80; 6 grubby"')
    return lots


def _lot(part: str, pack: Pack, temperature_c: float) -> Lot:
    read = _LOT.fullmatch(part)
    if read is None or int(read["n"]) < 1:
        raise Refusal("write number, name and length in mm, as 20 cunner 80")
    taxon = _taxon(read["name"], pack)
    size = float(read["size"]) if read["size"] else None
    length, grams = (None, size) if read["unit"] == "g" else (size, None)
    if length is not None and read["unit"] == "cm":
        length *= 10.0
    each = demand_of(taxon, temperature_c, length_mm=length, weighed_g=grams)
    lineage = pack.lineage(taxon.key)
    kind = class_of(taxon.group, (taxon.key, *lineage), length)
    n = int(read["n"])
    return Lot(
        n,
        each.times(n),
        Guest(taxon.key, kind, length, length),
        caution_of(taxon, lineage, pack.taxa),
    )


def _taxon(name: str, pack: Pack) -> Taxon:
    if name in pack.taxa:
        return pack[name]
    from haulbook.taxa.names import resolve

    match = resolve(name, pack)
    if match.certain and match.taxon is not None:
        return pack[match.taxon]
    near = ", ".join(each.taxon for each in match.candidates)
    raise Refusal(
        f"which animal is {name!r}: {near}?" if near else f"no animal of this pack is called {name!r}"
    )


def total(lots: Iterable[Lot]) -> Demand:
    """Return the demand of all lots together."""
    return sum((lot.demand for lot in lots), NOTHING)


def company(lots: list[Lot]) -> list[str]:
    """Return a line for every pair of lots that should not share this bucket, or only for a short time."""
    verdicts = [verdict(one.guest, other.guest) for one, other in combinations(lots, 2)]
    verdicts += [verdict(lot.guest, lot.guest) for lot in lots if lot.n > 1]
    return [each.why for each in verdicts if each.level != "ok"]


def cautions(lots: Iterable[Lot]) -> list[str]:
    """Return what to mind with each kind of animal in the bucket, once each."""
    words = {lot.guest.taxon: lot.caution.words() for lot in lots if lot.caution}
    return list(words.values())
