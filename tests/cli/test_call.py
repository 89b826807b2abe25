"""``haulbook call`` answers one call, or a file of them."""

from __future__ import annotations

import json

import pytest
import typer
from typer.testing import CliRunner

from haulbook.cli import call
from haulbook.problems import Refusal


@pytest.fixture
def run():
    app = typer.Typer()
    app.callback()(lambda: None)
    call.register(app)
    return lambda *words: CliRunner().invoke(app, ["call", *words], catch_exceptions=False)


def test_a_certain_call_is_said_in_words(run):
    said = run("six cunner, two young winter flounder about 45 mm, kept", "--pack", "nwatlantic")
    assert said.exit_code == 0
    assert "6 cunner (cunner), kept" in said.output
    assert "2 winter-flounder (winter flounder), young, kept, 45 mm" in said.output


def test_json_has_the_contracts_shape(run):
    said = run("2 cunner back, 3 mumer", "--pack", "nwatlantic", "--json")
    assert said.exit_code == 1
    answer = json.loads(said.stdout)
    assert set(answer) == {"lines", "asks", "commands"}
    (line,) = answer["lines"]
    assert line == {
        "count": 2, "taxon": "cunner", "stage": None, "fate": "back", "place": None, "length_mm": None,
        "doubt": False, "doubt_about": None, "zero": False,
    }  # fmt: skip
    (ask,) = answer["asks"]
    assert ask["said"] == "mumer"
    assert ask["choices"][0] == "mummichog"


def test_a_question_shows_its_choices(run):
    said = run("2 corner", "--pack", "nwatlantic")
    assert said.exit_code == 1
    assert "cunner (cunner)" in said.output


def test_a_correction_and_a_remark_are_said(run):
    assert "count is 5" in run("make that five", "--pack", "nwatlantic").output
    assert "taken back" in run("scratch that", "--pack", "nwatlantic").output
    assert "nothing is called here" in run("hold the net still please", "--pack", "nwatlantic").output
    assert "none of rock-gunnel" in run("no gunnels", "--pack", "nwatlantic").output
    assert "some atlantic-silverside" in run("a few silversides", "--pack", "nwatlantic").output


def test_a_file_gives_one_json_answer_a_line(run, tmp_path):
    file = tmp_path / "calls.txt"
    file.write_text("six cunner\n\nscratch that\ntwo moons\n", encoding="utf-8")
    said = run("--lines", str(file), "--pack", "nwatlantic")
    assert said.exit_code == 1
    answers = [json.loads(line) for line in said.stdout.splitlines()]
    assert len(answers) == 4
    assert answers[0]["lines"][0]["count"] == 6
    assert answers[1] == {"lines": [], "asks": [], "commands": []}
    assert answers[2]["commands"] == ["undo"]
    assert answers[3]["asks"]


def test_one_of_text_and_file_is_needed(run, tmp_path):
    with pytest.raises(Refusal, match="one of the two"):
        run("--pack", "nwatlantic")
    with pytest.raises(Refusal, match="can't be read"):
        run("--lines", str(tmp_path / "none.txt"), "--pack", "nwatlantic")
    bad = tmp_path / "bad.txt"
    bad.write_bytes(b"two \xff\xfe")
    with pytest.raises(Refusal, match="UTF-8"):
        run("--lines", str(bad), "--pack", "nwatlantic")


def test_an_unknown_pack_is_refused(run):
    with pytest.raises(Refusal, match="the nearest is 'nwatlantic'"):
        run("two cunner", "--pack", "nwatlantik")
