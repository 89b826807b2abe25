"""Yearly totals of class outings, without header, haul or month.

bigboss3333/seining_diversity, Ninigret-Compiled.csv, MIT. Facts computed in R, apart from this project.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from haulbook.custody.book import Book
from haulbook.custody.ledger import account_of
from haulbook.exchange.entries import entries_of
from haulbook.exchange.map_toml import read_sheet_map
from haulbook.exchange.reading import read_sheets
from haulbook.taxa import load_pack

MAPS = Path(__file__).parent / "maps"


@pytest.fixture(scope="module")
def reading(shared_data):
    file = shared_data / "ninigret-class-seines" / "Ninigret-Compiled.csv"
    return read_sheets([file], read_sheet_map(MAPS / "ninigret.toml"))


def test_rows_animals_and_spellings(reading):
    assert (reading.rows, reading.animals, len(reading.by_taxon)) == (137, 37_727, 74)


def test_animals_and_rows_of_each_year(reading):
    years = [str(year) for year in range(2010, 2024)]
    animals = [1039, 1321, 8388, 505, 901, 2178, 2177, 2325, 5419, 385, 5185, 3105, 3894, 905]
    assert [reading.by_haul[year] for year in years] == animals
    rows = Counter(reading.catches[0].haul)
    assert [rows[year] for year in years] == [8, 9, 11, 6, 15, 14, 11, 7, 11, 8, 7, 11, 9, 10]


def test_a_year_is_all_that_is_known_of_the_day(reading):
    assert {haul.at for haul in reading.hauls} == {str(year) for year in range(2010, 2024)}
    entries = entries_of(reading, load_pack("nwatlantic"), (), "2027-01-01T00:00:00+00:00", "p1")
    account = account_of(Book.of(entries))
    assert sum(animals.n for animals in account.animals) == 37_727
    assert {animals.fate.value for animals in account.animals} == {"unaccounted"}
