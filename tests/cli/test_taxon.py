"""``haulbook taxon`` answers or asks."""

from __future__ import annotations

import json

import pytest
import typer
from typer.testing import CliRunner

from haulbook.cli import taxon
from haulbook.problems import Refusal


@pytest.fixture
def run():
    app = typer.Typer()
    app.callback()(lambda: None)
    taxon.register(app)
    return lambda *words: CliRunner().invoke(app, ["taxon", *words], catch_exceptions=False)


def test_a_certain_name_is_answered_with_its_cautions(run):
    said = run("sea ravens", "--pack", "nwatlantic")
    assert said.exit_code == 0
    assert "Hemitripterus americanus" in said.output


def test_json_has_the_contracts_shape(run):
    said = run("mummichug", "--pack", "nwatlantic", "--json")
    assert said.exit_code == 1
    answer = json.loads(said.stdout)
    assert answer["certain"] is False
    assert answer["taxon"] is None
    assert answer["scientific_name"] is None
    assert set(answer["candidates"][0]) == {"taxon", "scientific_name", "score"}
    assert answer["candidates"][0]["taxon"] == "mummichog"


def test_a_question_shows_who_may_be_meant(run):
    said = run("tautog/cunner", "--pack", "nwatlantic")
    assert said.exit_code == 1
    assert "is a question" in said.output
    assert "Tautoga onitis" in said.output


def test_an_unknown_pack_is_refused_with_the_nearest(run):
    with pytest.raises(Refusal, match="the nearest is 'nepacific'"):
        run("cunner", "--pack", "nepacifc")
