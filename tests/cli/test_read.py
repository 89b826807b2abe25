"""``haulbook read`` on invented sheets: the JSON of the contract, words for people, and the exit statuses."""

from __future__ import annotations

import json

import pytest
import typer
from typer.testing import CliRunner

from haulbook.cli.read import register
from haulbook.problems import Refusal

MAP = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "catch.csv"
role = "catch"
columns = {haul = "haul", name = "name", n = "n"}
"""


@pytest.fixture
def run(tmp_path):
    app = typer.Typer()
    app.callback()(lambda: None)
    register(app)

    def run(catch, *options, answers=None):
        (tmp_path / "map.toml").write_text(MAP, encoding="utf-8")
        (tmp_path / "catch.csv").write_text(catch, encoding="utf-8")
        more = []
        if answers is not None:
            (tmp_path / "answers.toml").write_text(answers, encoding="utf-8")
            more = ["--confirm", str(tmp_path / "answers.toml")]
        command = ["read", str(tmp_path / "catch.csv"), "--map", str(tmp_path / "map.toml"), *more, *options]
        return CliRunner().invoke(app, command, catch_exceptions=True)

    return run


def test_json_is_that_of_the_contract(run):
    result = run("haul,name,n\nH1,cunner,3\nH1,scup,2.5\nH2,cunner,\n", "--json")
    found = json.loads(result.stdout)
    assert {key: found[key] for key in ("hauls", "rows", "animals", "taxa", "by_taxon", "by_haul")} == {
        "hauls": 2, "rows": 3, "animals": 3, "taxa": 1, "by_taxon": {"cunner": 3}, "by_haul": {"H1": 3, "H2": 0},
    }  # fmt: skip
    assert {"file": "catch.csv", "sheet": None, "row": 3, "column": "n", "kind": "refused",
            "message": "'2.5' is no whole number; animals are counted whole"} in found["problems"]  # fmt: skip
    assert [p["row"] for p in found["problems"] if p["kind"] == "asked"] == [4]
    assert result.exit_code == 1


def test_a_clean_sheet_leaves_with_0_and_a_table(run):
    result = run("haul,name,n\nH1,cunner,3\nH2,scup,12\n")
    assert result.exit_code == 0
    assert result.stdout.splitlines()[0] == "2 hauls, 2 rows, 15 animals, 2 names"
    assert "scup          12" in result.stdout


def test_an_answer_settles_its_question(run):
    sheet = "haul,name,n\nH1,cunner,3\nH2,scup,\n"
    assert run(sheet).exit_code == 1
    answer = '[[answer]]\nabout = "blank-count"\nkey = "catch.csv|H2|scup"\nrows = [3]\nto = 5\n'
    result = run(sheet, "--json", answers=answer)
    assert (result.exit_code, json.loads(result.stdout)["animals"]) == (0, 8)


def test_many_like_problems_are_told_in_short(run):
    result = run("haul,name,n\n" + "H1,cunner,x y\n" * 20)
    assert "refused, catch.csv, column n: 20" in result.stderr
    assert "... and 17 more like these (all with --json)" in result.stderr
    assert result.stderr.count("no whole number") == 3


def test_what_cannot_be_read_is_refused(run):
    result = run("haul,species,n\nH1,cunner,3\n")
    assert isinstance(result.exception, Refusal)
    assert "is neither named nor ignored" in str(result.exception)
