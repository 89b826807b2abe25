"""How many real names are understood, how many are asked, and whether the right one is among the candidates.

Sources: Hakai Institute nearshore programme, list of corrected names (HakaiInstitute/seagrass-fish-inverts,
CC BY 4.0); Hakai Institute beach seines 2014-2018, code lists (CC BY 4.0); class seines of a Rhode Island coastal
pond (bigboss3333/seining_diversity, MIT); Kachemak Bay species lists (kbnerr/nearshore-fish, MIT). What a name
means in our packs is judged by hand in ``tests/real/keys``, and by the binomial beside it in the code lists.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from haulbook.taxa import Pack, load_pack
from haulbook.taxa.names import Match, resolve
from haulbook.taxa.pairs import resolve_pair

ROOT = Path(__file__).resolve().parents[1]
DATA = ROOT.parent / "shared/data"
KEYS = ROOT / "tests/real/keys"


@dataclass
class Judged:
    """One set of names against its key; ``wrong``: certain, and neither the right taxon nor one above it."""

    source: str
    right: int = 0
    wrong: list[tuple[str, str]] = field(default_factory=list)
    asked: int = 0
    in_pack: int = 0
    offered: int = 0

    @property
    def names(self) -> int:
        return self.right + len(self.wrong) + self.asked

    def take(self, said: str, match: Match, right: str, pack: Pack) -> None:
        if match.taxon is not None:
            if right and pack.is_within(right, match.taxon):
                self.right += 1
            else:
                self.wrong.append((said, match.taxon))
            return
        self.asked += 1
        self.in_pack += bool(right)
        self.offered += right in {one.taxon for one in match.candidates}


def judge(source: str, cases: Iterable[tuple[str, str]], pack: Pack, look: Callable[[str], Match]) -> Judged:
    """Judge distinct names, each with the taxon that is right or an empty text where the pack has none."""
    judged = Judged(source)
    for said, right in dict.fromkeys(cases):
        judged.take(said, look(said), right, pack)
    return judged


def _rows(path: Path, encoding: str = "utf-8-sig") -> list[dict[str, str]]:
    with path.open(encoding=encoding, newline="") as file:
        return list(csv.DictReader(file))


def corrections(data: Path = DATA) -> list[tuple[str, str]]:
    """Each name as written, with our taxon for the name that the publisher put in its place."""
    key = {row["corrected"]: row["taxon"] for row in _rows(KEYS / "hakai-corrected-names.csv")}
    rows = _rows(data / "hakai-seagrass-shoots/seagrass_namestofix.csv")
    columns = (("fish_name", "fish_replace"), ("inverts_name", "inverts_replace"))
    return [(row[said], key[row[right]]) for said, right in columns for row in rows if row[said]]


def corrected() -> list[tuple[str, str]]:
    """The publisher's corrected names themselves, written as ``sole/english``."""
    return [(row["corrected"], row["taxon"]) for row in _rows(KEYS / "hakai-corrected-names.csv")]


def classes() -> list[dict[str, str]]:
    """Distinct common and scientific names of fourteen field classes, with our taxon."""
    return _rows(KEYS / "ninigret-names.csv")


def fish_codes(data: Path = DATA) -> dict[str, str]:
    """The seine programme's own codes."""
    rows = _rows(data / "hakai-beach-seine-2014-2018/fishcodes.csv")
    return {row["code"]: row["common_name"] for row in rows if row["code"] != "nc"}


def listed(data: Path = DATA) -> Iterator[tuple[str, str]]:
    """Common name and binomial of every row of the seine programmes' lists that has both."""
    hakai, kachemak = data / "hakai-beach-seine-2014-2018", data / "kachemak-beach-seine"
    for row in _rows(hakai / "fishcodes.csv") + _rows(hakai / "bycatchcodes.csv", "cp1252"):
        yield row["common_name"], row["genus_species"].replace("\xa0", " ")
    for path in (kachemak / "species-list.csv", kachemak / "2018/Species-List.csv"):
        for row in _rows(path):
            yield row["Common"], row["Scientific"]


OLDER = {
    "coryphopterus nicholsi": "blackeye-goby",  # a slip of the synonym C. nicholsii
    "oncorhynchus clarki": "cutthroat-trout",  # the older spelling of O. clarkii
    "pleurobrachia pileus": "sea-gooseberry",  # older lists' name for the local P. bachei (from memory)
}
"""Binomials of the lists that the pack does not spell so."""


def listed_species(pack: Pack, data: Path = DATA) -> list[tuple[str, str]]:
    """Common names of the lists that stand beside a species' binomial, with our taxon for that binomial.

    Where the pack has the genus only, the genus is right.
    """
    taxa = {
        name.casefold(): taxon.key
        for taxon in pack.taxa.values()
        for name in (taxon.scientific_name, *taxon.synonyms)
        if taxon.rank in ("species", "genus")
    }
    found = {}
    for common, binomial in listed(data):
        words = binomial.casefold().split()
        if len(words) == 2 and not words[1].startswith("sp"):
            name = " ".join(words)
            found[common] = OLDER.get(name) or taxa.get(name) or taxa.get(words[0], "")
    return list(found.items())


def judged(data: Path = DATA) -> Iterator[Judged]:
    """Judge every set."""
    west, east = load_pack("nepacific"), load_pack("nwatlantic")
    codes = fish_codes(data)
    misheard = corrections(data)
    yield judge("114 corrections", misheard, west, lambda said: resolve(said, west))
    yield judge("the same, with the crew's codes", misheard, west, lambda said: resolve(said, west, codes))
    yield judge("the corrected names", corrected(), west, lambda said: resolve(said, west))
    alone = [(row["common"], row["common_alone"]) for row in classes()]
    yield judge("class spellings, common name", alone, east, lambda said: resolve(said, east))
    pairs = Judged("class spellings, with binomial")
    for row in classes():
        match = resolve_pair(row["common"], row["scientific"], east)
        pairs.take(f"{row['common']} / {row['scientific']}", match, row["taxon"], east)
    yield pairs
    species = listed_species(west, data)
    yield judge("species lists, common name", species, west, lambda said: resolve(said, west))


def main() -> None:
    """Print a line for each set; the tests hold that none is wrong while certain."""
    if not DATA.is_dir():
        print("the open data sets are not on this machine")
        return
    print(
        f"{'set':<34}{'names':>6}{'certain':>9}{'right':>7}{'precision':>11}{'asked':>7}{'right one offered':>21}"
    )
    for one in judged():
        certain = one.right + len(one.wrong)
        precision = f"{one.right / certain:.1%}" if certain else "-"
        offered = f"{one.offered} of {one.in_pack}"
        print(
            f"{one.source:<34}{one.names:>6}{certain:>9}{one.right:>7}{precision:>11}{one.asked:>7}{offered:>21}"
        )
        for said, taxon in one.wrong:
            print(f"    wrong: {said!r} taken for {taxon}")
