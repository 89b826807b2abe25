"""``haulbook account`` from files to files, as its user runs it."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from collections import Counter
from io import StringIO

import openpyxl
import pytest

from haulbook.custody.ledger import account_of
from haulbook.exchange.bookfile import read_book, verify_book


def haulbook(*words, cwd=None):
    """Run the command as a process, the way a shell does."""
    return subprocess.run(
        [sys.executable, "-m", "haulbook", *map(str, words)],
        capture_output=True,
        text=True,
        cwd=cwd,
        check=False,
    )


@pytest.fixture(scope="module")
def season(tmp_path_factory):
    folder = tmp_path_factory.mktemp("season")
    said = haulbook("demo", "--out", folder, "--json")
    assert said.returncode == 0, said.stderr
    return folder, json.loads(said.stdout)


@pytest.fixture(scope="module")
def accounted(season):
    folder, paths = season
    said = haulbook(
        "account", *paths["sheets"], "--map", paths["map"], "--permit", paths["permit"], "--site", paths["site"],
        "--out", folder / "account", "--json",
    )  # fmt: skip
    assert "Traceback" not in said.stderr
    return folder / "account", json.loads(said.stdout), said.returncode


def test_demo_writes_files_that_a_user_could_have(season):
    folder, paths = season
    assert set(paths) == {"book", "permit", "site", "map", "sheets"}
    assert {path.split(".")[-1] for path in paths["sheets"]} == {"csv", "xlsx"}
    assert not verify_book(folder / "book.jsonl").problems


def test_sheets_give_the_seasons_own_totals(season, accounted):
    _, account, _ = accounted
    book = read_book(season[0] / "book.jsonl")
    own = account_of(book)
    fates: Counter[str] = Counter()
    taxa: Counter[str] = Counter()
    for lot in own.animals:
        fates[lot.fate.value] += lot.n
        if lot.fate != "seen_escaped":
            taxa[lot.taxon] += lot.n
    assert {fate: n for fate, n in account["by_fate"].items() if n} == dict(fates)
    assert account["by_taxon"] == dict(taxa)
    assert account["captured"] == sum(taxa.values())
    assert account["unaccounted"] == 0


def test_a_finding_makes_exit_status_1_and_is_quoted(accounted):
    _, account, status = accounted
    assert status == 1
    kinds = {finding["kind"]: finding for finding in account["findings"]}
    assert kinds["reached"]["clause"] == "2a"
    assert "twelve (12) may be retained" in kinds["reached"]["quote"]
    assert "tautog" in kinds["not-allowed"]["message"]


def test_reports_add_up_to_captured_in_every_permit_year(accounted):
    folder, account, _ = accounted
    assert sum(report["captured"] for report in account["reports"]) == account["captured"]
    for report in account["reports"]:
        for table in report["tables"]:
            assert table["reported"] == report["captured"]
        stem = f"report-{report['permit']}-{report['first']}"
        summary = list(
            csv.DictReader(StringIO((folder / f"{stem}-species-summary.csv").read_text(encoding="utf-8")))
        )
        assert sum(int(row["Number"]) for row in summary) == report["captured"]
        sheets = openpyxl.load_workbook(folder / f"{stem}.xlsx").sheetnames
        assert sheets[:2] == ["animals-detail", "species-summary"]


def test_the_written_book_verifies_and_reads_back_to_the_same_account(season, accounted, tmp_path):
    folder, account, _ = accounted
    assert haulbook("verify", folder / "book.jsonl").returncode == 0
    again = haulbook(
        "account", folder / "book.jsonl", "--pack", "nwatlantic", "--permit", season[1]["permit"],
        "--site", season[1]["site"], "--out", tmp_path / "again", "--json",
    )  # fmt: skip
    back = json.loads(again.stdout)
    for key in ("captured", "by_fate", "by_taxon", "unaccounted", "estimates"):
        assert back[key] == account[key]


def test_reading_the_sheets_twice_gives_the_same_book_byte_for_byte(season, accounted, tmp_path):
    paths = season[1]
    haulbook("account", *paths["sheets"], "--map", paths["map"], "--out", tmp_path)
    assert (tmp_path / "book.jsonl").read_bytes() == (accounted[0] / "book.jsonl").read_bytes()


def test_the_seasons_own_book_tells_of_the_tank_too(season, tmp_path):
    paths = season[1]
    said = haulbook(
        "account",
        paths["book"],
        "--permit",
        paths["permit"],
        "--site",
        paths["site"],
        "--out",
        tmp_path,
        "--json",
    )
    account = json.loads(said.stdout)
    assert account["died_later"] == 3
    assert not account["open"]


def test_estimates_lie_where_the_season_was_drawn(accounted):
    """Northern pipefish were drawn at 5 per 100 m² in June 2024, times season and year: see haulbook.demo.draw."""
    _, account, _ = accounted
    (all_years,) = [
        row for row in account["estimates"] if row["taxon"] == "northern-pipefish" and row["period"] == "all"
    ]
    assert all_years["low"] < 5 * 0.98 * 1.33 < all_years["high"]
    assert all_years["method"] == "ratio of means, log-t"


@pytest.mark.parametrize(
    ("name", "content", "message"),
    [
        ("permit", 'no = "X"\nholdr = "we"\n', "there is no key 'holdr'"),
        ("map", 'pack = "nwatlantic"\n[[file]]\nname = "x.csv"\nrole = "cach"\n', "the nearest is 'catch'"),
        ("site", "station = 1\n", "station"),
    ],
)
def test_a_broken_file_is_one_report_and_nothing_is_written(season, tmp_path, name, content, message):
    _, paths = season
    broken = tmp_path / f"{name}.toml"
    broken.write_text(content, encoding="utf-8")
    words = {**{key: paths[key] for key in ("permit", "map", "site")}, name: broken}
    said = haulbook(
        "account", *paths["sheets"], "--map", words["map"], "--permit", words["permit"], "--site", words["site"],
        "--out", tmp_path / "out",
    )  # fmt: skip
    assert said.returncode == 2
    assert message in said.stderr
    assert "Traceback" not in said.stderr
    assert not (tmp_path / "out").exists()


def test_sheets_without_a_map_are_refused_with_the_way_to_one(season, tmp_path):
    said = haulbook("account", season[1]["sheets"][0], "--out", tmp_path / "out")
    assert said.returncode == 2
    assert "haulbook map FILES --out map.toml" in said.stderr


def test_a_folder_that_cannot_be_written_is_refused_and_left_alone(season, tmp_path):
    taken = tmp_path / "taken"
    taken.write_text("a file", encoding="utf-8")
    said = haulbook("account", season[1]["book"], "--pack", "nwatlantic", "--out", taken)
    assert said.returncode == 2
    assert "nothing was written" in said.stderr
    assert taken.read_text(encoding="utf-8") == "a file"


def test_a_name_that_looks_like_a_formula_is_never_one(tmp_path):
    (tmp_path / "catch.csv").write_text(
        "Haul,Date,Animal,N\nh1,2026-05-01,=1+1,3\nh1,2026-05-01,cunner,2\n", encoding="utf-8"
    )
    (tmp_path / "map.toml").write_text(
        'pack = "nwatlantic"\ndefault_fate = "back"\n[[file]]\nname = "catch.csv"\nrole = "catch"\n'
        'columns = {Haul = "haul", Animal = "name", N = "n"}\ndate = {column = "Date", form = "iso"}\n',
        encoding="utf-8",
    )
    (tmp_path / "permit.toml").write_text(
        'no = "X-1"\nholder = "a test"\nzone = "UTC"\nvalid_from = 2026-01-01\nvalid_to = 2026-12-31\n'
        '[[clause]]\nid = "1"\nversion = 1\neffective_from = 2026-01-01T00:00:00Z\nkind = "limit"\n'
        'scope = {all = true}\nbasis = "captured"\nlimit = 10\nperiod = "permit_year"\n'
        'source = {text = "Ten."}\nconfirmed_by = ["p1", "p2"]\n',
        encoding="utf-8",
    )
    said = haulbook(
        "account",
        "catch.csv",
        "--map",
        "map.toml",
        "--permit",
        "permit.toml",
        "--out",
        "out",
        "--json",
        cwd=tmp_path,
    )
    account = json.loads(said.stdout)
    assert account["by_taxon"] == {"?=1+1": 3, "cunner": 2}
    summary = (tmp_path / "out/report-X-1-2026-01-01-species-summary.csv").read_text(encoding="utf-8")
    assert "'=1+1,3" in summary


def test_what_is_wrong_in_several_files_is_said_at_once(season, tmp_path):
    for name, content in (("permit", 'no = "X"\nholdr = "we"\n'), ("site", "station = 1\n")):
        (tmp_path / f"{name}.toml").write_text(content, encoding="utf-8")
    said = haulbook(
        "account",
        *season[1]["sheets"],
        "--map", season[1]["map"],
        "--permit", tmp_path / "permit.toml",
        "--site", tmp_path / "site.toml",
        "--out", tmp_path / "out",
    )  # fmt: skip
    assert said.returncode == 2
    assert "permit.toml" in said.stderr
    assert "site.toml" in said.stderr
