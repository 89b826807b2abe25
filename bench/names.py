"""How many real names are understood, and how many are asked: precision must be 1, asking is the price."""

from __future__ import annotations

import csv
from pathlib import Path

from haulbook.taxa import load_pack
from haulbook.taxa.names import resolve, resolve_pair

DATA = Path(__file__).resolve().parents[2] / "shared/data"


def _report(source: str, certain: int, n: int) -> None:
    print(f"{source:<58} {n:>4} names, {certain:>4} understood ({certain / n:.0%}), {n - certain:>4} asked")


def main() -> None:
    """Print shares for each set that is on this machine; tests hold that none is wrong while certain."""
    misheard = DATA / "hakai-seagrass-shoots/seagrass_namestofix.csv"
    classes = DATA / "ninigret-class-seines/Ninigret-Compiled.csv"
    if not misheard.is_file():
        print("the open data sets are not on this machine")
        return
    with misheard.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    names = [row[column] for column in ("fish_name", "inverts_name") for row in rows if row[column]]
    pack = load_pack("nepacific")
    _report("misheard and misspelt (Hakai, 114 corrections)", sum(resolve(n, pack).certain for n in names), len(names))
    with classes.open(encoding="utf-8-sig", newline="") as file:
        table = list(csv.reader(file))
    pack = load_pack("nwatlantic")
    common = {row[0] for row in table}
    _report("class spellings, common name alone", sum(resolve(n, pack).certain for n in common), len(common))
    pairs = {(row[0], f"{row[1].strip()} {row[2].strip()}".strip()) for row in table}
    _report("class spellings with binomial", sum(resolve_pair(*pair, pack).certain for pair in pairs), len(pairs))
