"""From a research reserve's field sheets to the permit summary that it filed, through ``haulbook account``.

Source: Kachemak Bay beach seines 2023 and 2018 (public GitHub repository kbnerr/nearshore-fish at 2d17139, MIT,
copyright 2022 Chris Guo): what was written on the beach, and what went to the agency. The permits here are
invented.
"""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from haulbook.taxa import load_pack
from haulbook.taxa.names import resolve

MAPS = Path(__file__).parent / "maps"
PERMIT = """
no = "TEST-23"
holder = "a test"
zone = "America/Anchorage"
valid_from = 2023-01-01
valid_to = 2023-12-31
[[clause]]
id = "1"
version = 1
effective_from = 2023-01-01T00:00:00-09:00
kind = "limit"
scope = {all = true}
basis = "captured"
limit = 5000
period = "permit_year"
source = {text = "Five thousand animals a year may be captured."}
confirmed_by = ["p1", "p2"]
"""


def account(out, *words):
    said = subprocess.run(
        [sys.executable, "-m", "haulbook", "account", *map(str, words), "--out", str(out), "--json"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert "Traceback" not in said.stderr, said.stderr
    assert said.returncode in (0, 1), said.stderr
    return json.loads(said.stdout)


def rows(path):
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def accounted(shared_data, tmp_path_factory):
    folder, out = shared_data / "kachemak-beach-seine/2023", tmp_path_factory.mktemp("k23")
    permit = out / "permit.toml"
    permit.write_text(PERMIT, encoding="utf-8")
    sheets = [folder / f"2023_kbnerr_{part}.csv" for part in ("site", "fish", "env")]
    return account(out, *sheets, "--map", MAPS / "kachemak-2023.toml", "--permit", permit), out, folder


def as_ours(name):
    """Return the taxon a name stands for, or the name itself where the pack has none."""
    return resolve(name, load_pack("nepacific")).taxon or name


def test_the_account_counts_1987_animals_of_32_taxa_in_11_hauls(accounted):
    done, _, _ = accounted
    assert (done["captured"], len(done["by_taxon"]), done["hauls"]) == (1987, 32, 11)
    assert done["by_fate"]["released_alive"] == 1987
    assert done["unaccounted"] == 0


def test_the_summary_is_the_filed_one_taxon_by_taxon(accounted):
    _, out, folder = accounted
    filed = {
        as_ours(row["Species"]): int(row["Number"]) for row in rows(folder / "2023_CF-23-073_Summary.csv")
    }
    ours = {
        as_ours(row["Species"]): int(row["Number"])
        for row in rows(out / "report-TEST-23-2023-01-01-species-summary.csv")
    }
    assert len(filed) == 32
    assert ours == filed


def test_the_detail_has_the_filed_848_rows_and_numbers(accounted):
    _, out, folder = accounted
    key = ("Date", "Location", "Size_mm", "Number")

    def told(path):
        return Counter((*(row[name] for name in key), as_ours(row["Species"])) for row in rows(path))

    filed = told(folder / "2023_CF-23-073_RawData.csv")
    ours = told(out / "report-TEST-23-2023-01-01-animals-detail.csv")
    assert sum(ours.values()) == 848
    assert ours == filed


def test_the_messy_year_keeps_its_animals_and_asks(shared_data, tmp_path):
    folder = shared_data / "kachemak-beach-seine/2018"
    questions = tmp_path / "questions.toml"
    done = account(
        tmp_path / "out", folder / "Site-Info.csv", folder / "Fish-Combined.csv", "--map", MAPS / "kachemak-2018.toml",
        "--questions", questions,
    )  # fmt: skip
    assert done["captured"] == 35_583
    asked = questions.read_text(encoding="utf-8")
    assert asked.count('about = "fate"') == 61
    assert "Seldovia Harvbor" in asked
