"""``haulbook map``, from files to a map that ``haulbook read`` takes. Sheets invented."""

from __future__ import annotations

import json
import tomllib

import pytest
import typer
from typer.testing import CliRunner

from haulbook.cli.map import register
from haulbook.problems import Refusal

CLEAN = "Date,Site,Haul,Species,Count,Fate\n2027-05-14,Cove,1,cunner,6,released\n2027-05-14,Cove,2,mummichog,2,kept\n"


@pytest.fixture
def run(tmp_path):
    app = typer.Typer()
    app.callback()(lambda: None)
    register(app)

    def call(*arguments):
        return CliRunner().invoke(app, ["map", *map(str, arguments)])

    return call


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "tally.csv"
    path.write_text(CLEAN, encoding="utf-8")
    return path


def test_nothing_to_ask_is_exit_0_and_the_map_is_written(run, sheet, tmp_path):
    out = tmp_path / "MAP.toml"
    result = run(sheet, "--out", out)
    assert result.exit_code == 0
    assert tomllib.loads(out.read_text(encoding="utf-8"))["pack"] == "nwatlantic"
    assert "tally.csv: catch" in result.stdout
    assert f"The map is in {out}." in result.stdout


def test_questions_are_exit_1_and_listed(run, sheet):
    sheet.write_text(CLEAN.replace(",Fate", ",Colour").replace("released", "red").replace("kept", "red"))
    result = run(sheet)
    assert result.exit_code == 1
    assert "To be said before the map is complete:\n  1. column default_fate" in result.stdout
    assert "[[file]]" in result.stdout


def test_json_holds_what_was_understood_the_questions_and_the_map(run, sheet):
    result = run(sheet, "--json")
    found = json.loads(result.stdout)
    assert set(found) == {"pack", "files", "questions", "notes", "map", "out"}
    (file,) = found["files"]
    assert file["role"] == "catch"
    assert file["columns"]["Count"] == "n"
    assert file["first"][0] == {
        "row": 2,
        "cells": {
            "date": "14 May 2027",
            "site": "Cove",
            "haul_no": "1",
            "name": "cunner",
            "n": 6,
            "fate": "back",
        },
    }
    assert tomllib.loads(found["map"])["file"][0]["name"] == "tally.csv"
    assert found["questions"] == []


def test_a_pack_that_is_not_there_is_refused_naming_the_nearest(run, sheet):
    with pytest.raises(Refusal, match="the nearest is 'nwatlantic'"):
        raise run(sheet, "--pack", "nwatlantik").exception


def test_a_zone_that_is_not_there_is_refused_naming_the_nearest(run, sheet):
    with pytest.raises(Refusal, match="the nearest is 'America/New_York'"):
        raise run(sheet, "--zone", "America/NewYork").exception


def test_nothing_is_written_where_a_file_is_refused(run, sheet, tmp_path):
    out = tmp_path / "MAP.toml"
    result = run(sheet, tmp_path / "none.csv", "--out", out)
    assert isinstance(result.exception, Refusal)
    assert not out.exists()
