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
    assert "hazard: sharp teeth" in said.output
    assert "handling: Hold in water" in said.output
    assert "The permit, the agency and local rules decide" in said.output


def test_cautions_of_the_family_hold_for_a_species_without_its_own(run):
    said = run("Unidentified Gunnel (J)", "--pack", "nepacific")
    assert "pholidae: Pholidae" in said.output
    assert "stage: young" in said.output
    assert "Very slippery" in said.output


def test_doubt_is_said_and_stays(run):
    said = run("Goby (?)", "--pack", "nepacific", "--json")
    answer = json.loads(said.stdout)
    assert (said.exit_code, answer["taxon"], answer["doubt"]) == (0, "gobiidae", True)
    assert "mark of doubt" in run("Goby (?)", "--pack", "nepacific").output


def test_json_has_the_contracts_shape(run):
    said = run("mummichug", "--pack", "nwatlantic", "--json")
    assert said.exit_code == 1
    answer = json.loads(said.stdout)
    assert answer["certain"] is False
    assert answer["taxon"] is None
    assert answer["scientific_name"] is None
    assert set(answer["candidates"][0]) == {"taxon", "scientific_name", "score"}
    assert answer["candidates"][0]["taxon"] == "mummichog"
    certain = json.loads(run("mummichog", "--pack", "nwatlantic", "--json").stdout)
    assert (certain["certain"], certain["scientific_name"]) == (True, "Fundulus heteroclitus")


def test_a_question_shows_why_and_who_may_be_meant(run):
    said = run("tautog/cunner", "--pack", "nwatlantic")
    assert said.exit_code == 1
    assert "is a question (more than one name)" in said.output
    assert "Tautoga onitis" in said.output
    assert "count the points" in run("green crab", "--pack", "nepacific").output


def test_a_name_like_none_is_told_to_stay_open(run):
    said = run("zzzz", "--pack", "nwatlantic")
    assert said.exit_code == 1
    assert "nothing in the pack is spelt like it" in said.output


def test_an_unknown_pack_and_an_empty_name_are_refused(run):
    with pytest.raises(Refusal, match="the nearest is 'nepacific'"):
        run("cunner", "--pack", "nepacifc")
    with pytest.raises(Refusal, match="the name is empty"):
        run(" ", "--pack", "nwatlantic")
