"""The Hakai beach seines are read as published, and come out as their own facts.

Hakai Institute, Beach Seine Survey Dataset - BC Central Coast - 2014-2018, v1.0.0, CC BY 4.0. The figures were
computed from its files in R (sums of the area join also in awk), apart from this project.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from pathlib import Path

import pytest

from haulbook.custody.book import Book
from haulbook.custody.ledger import account_of
from haulbook.exchange.entries import entries_of
from haulbook.exchange.map_toml import read_sheet_map
from haulbook.exchange.reading import read_sheets
from haulbook.exchange.sheet_catch import State
from haulbook.taxa import load_pack

MAPS = Path(__file__).parent / "maps"
FILES = (
    *("speciesabundance.csv", "specieslength.csv", "netdimensions.csv"),
    *("environmental.csv", "habitat.csv", "fishcodes.csv"),
)


@pytest.fixture(scope="module")
def folder(shared_data):
    return shared_data / "hakai-beach-seine-2014-2018"


@pytest.fixture(scope="module")
def fish(folder):
    return read_sheets([folder / name for name in FILES], read_sheet_map(MAPS / "hakai-fish.toml"))


@pytest.fixture(scope="module")
def bycatch(folder):
    files = [folder / "bycatch.csv", folder / "bycatchcodes.csv"]
    return read_sheets(files, read_sheet_map(MAPS / "hakai-bycatch.toml"))


def test_sets_visits_sites_and_codes(fish):
    assert len(fish.hauls) == 584
    assert len({(haul.site, haul.day) for haul in fish.hauls}) == 293
    assert len({haul.site for haul in fish.hauls}) == 71
    assert fish.rows == 6126
    assert len(fish.by_taxon) == 89 - 1  # the placeholder "-" is no taxon
    per_year = Counter(haul.day[:4] for haul in fish.hauls)
    assert [per_year[str(year)] for year in range(2014, 2019)] == [133, 169, 111, 91, 80]


def test_animals_in_all_by_year_and_by_taxon(fish):
    assert fish.animals == sum(fish.by_haul.values()) == 314_090
    years = Counter()
    for haul in fish.hauls:
        years[haul.day[:4]] += fish.by_haul[haul.key]
    assert [years[str(year)] for year in range(2014, 2019)] == [65_691, 95_834, 25_886, 88_946, 37_733]
    largest = {
        "sand": 148_916, "shpe": 25_604, "unla": 25_087, "herr": 24_864, "thst": 14_679, "enso": 11_607,
        "bapi": 11_282, "tube": 2_866,
    }  # fmt: skip
    assert {code: fish.by_taxon[code] for code in largest} == largest


def test_rows_and_sets_of_two_taxa(fish):
    (catch,) = fish.catches
    for code, rows, sets in (("tube", 184, 176), ("bapi", 411, 355)):
        at = [i for i in range(len(catch)) if catch.name[i] == code]
        assert len(at) == rows
        assert len({catch.haul[i] for i in at}) == sets


def test_estimated_numbers(fish):
    (catch,) = fish.catches
    estimated = catch.table.columns["estimated"]
    written = [int(text) for text in estimated if text.isdecimal() and int(text)]
    assert (len(written), sum(written)) == (679, 166_194)
    # Of these, at most n can be judged: 5 rows have more, 3 are blank (300, 30, 10) and one is counted as 0.
    assert int(catch.judged.sum()) == 166_194 - (57 + 208 + 100 + 89 + 20) - (300 + 30 + 10)
    assert (catch.judged <= catch.n).all()


def test_success_of_sets(fish):
    assert Counter(haul.condition for haul in fish.hauls) == {1: 515, 2: 42, 3: 2, None: 25}


def test_times_are_clocks_without_leading_zeros(fish):
    assert fish.hauls[0].at == "2014-06-11T06:00:00-07:00"
    clocks = sorted(haul.at[11:16] for haul in fish.hauls if "T" in haul.at)
    assert (clocks[0], clocks[-1]) == ("04:45", "20:24")


def areas(reading):
    return {haul.key: haul.area_m2 for haul in reading.hauls if haul.area_m2 is not None}


def test_the_join_of_catch_and_area(fish):
    area = areas(fish)
    animals = sum(fish.by_haul[key] for key in area)
    assert (len(area), animals, sum(area.values())) == (422, 239_719, 125_829)
    assert animals / sum(area.values()) == pytest.approx(1.905117, abs=5e-7)


@pytest.mark.parametrize(
    ("code", "n", "sets", "ratio", "mean", "sd"),
    [
        ("bapi", 6_845, 253, 5.439922, 6.497444, 14.26823),
        ("tube", 1_922, 114, 1.527470, 2.305042, 16.6948),
        ("shpe", 14_474, 239, 11.50291, 16.01313, 43.50498),
    ],
)
def test_catch_per_100_m2_of_three_taxa_with_zeros_filled(fish, code, n, sets, ratio, mean, sd):
    import statistics

    area, (catch,) = areas(fish), fish.catches
    counts = defaultdict(int)
    for i in range(len(catch)):
        if catch.name[i] == code and catch.haul[i] in area:
            counts[catch.haul[i]] += int(catch.n[i])
    densities = [100 * counts[key] / m2 for key, m2 in area.items()]
    assert sum(counts.values()) == n
    assert sum(1 for n_here in counts.values() if n_here) == sets
    assert 100 * n / sum(area.values()) == pytest.approx(ratio, rel=1e-6)
    assert statistics.mean(densities) == pytest.approx(mean, rel=1e-6)
    assert statistics.stdev(densities) == pytest.approx(sd, rel=1e-6)


def test_with_success_1_only(fish):
    good = {haul.key: haul.area_m2 for haul in fish.hauls if haul.area_m2 is not None and haul.condition == 1}
    assert (len(good), sum(fish.by_haul[key] for key in good), sum(good.values())) == (399, 233_531, 120_606)


def test_lengths(fish):
    by_code = defaultdict(list)
    for group in fish.lengths:
        by_code[group.name] += group.mm
    assert len(by_code) == 88
    facts = {code: (len(mm), min(mm), max(mm), sorted(mm)[len(mm) // 2]) for code, mm in by_code.items()}
    assert facts["bapi"] == (3196, 1, 374, 160)
    assert facts["tube"] == (1125, 15, 178, 58)
    assert facts["shpe"] == (4813, 25, 195, 93)


def test_readings(fish):
    warm = [reading.values["temperature_c"] for reading in fish.readings if "temperature_c" in reading.values]
    assert (len(warm), round(sum(warm) / len(warm), 2)) == (2160, 12.38)
    assert sum("salinity" in reading.values for reading in fish.readings) == 2155


def test_bycatch(bycatch):
    assert bycatch.animals == 83_621
    (catch,) = bycatch.catches
    assert int((catch.state != State.COUNTED).sum()) == 15
    assert (catch.judged == catch.n).all()


def test_a_book_of_it_holds_every_animal(fish):
    entries = entries_of(fish, load_pack("nepacific"), (), "2027-01-01T00:00:00+00:00", "p1")
    account = account_of(Book.of(entries))
    assert len(account.hauls) == 584
    assert sum(animals.n for animals in account.animals) == 314_090


def test_long_to_wide_and_back_keeps_every_animal(fish, folder, tmp_path):
    """The long table is turned round as anybody would, and read again: a column a code and stage."""
    import csv

    (catch,) = fish.catches
    cells = defaultdict(lambda: defaultdict(int))
    for i in range(len(catch)):
        heading = f"{catch.name[i]} stage {catch.stage[i] or 'none'}"
        cells[catch.haul[i]][heading] += int(catch.n[i])
    headings = sorted({heading for row in cells.values() for heading in row})
    with (tmp_path / "wide.csv").open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(["set", *headings])
        writer.writerows([key, *(row.get(heading, "") for heading in headings)] for key, row in cells.items())
    (tmp_path / "wide.toml").write_text(
        'pack = "nepacific"\ndefault_fate = "back"\n[[file]]\nname = "wide.csv"\nrole = "catch"\nrows = '
        '"wide"\n'
        'columns = {set = "haul"}\ntaxa = ["*"]\n'
        'stages = {"stage 0" = "larva", "stage 1" = "young", "stage 2" = "adult", "stage 3" = "", "stage '
        'none" = ""}\n',
        encoding="utf-8",
    )
    wide = read_sheets([tmp_path / "wide.csv"], read_sheet_map(tmp_path / "wide.toml"))
    assert wide.animals == 314_090
    assert wide.by_haul == fish.by_haul
    assert wide.by_taxon == {code: n for code, n in fish.by_taxon.items() if n} | {
        c: 0 for c in wide.by_taxon if not wide.by_taxon[c]
    }
