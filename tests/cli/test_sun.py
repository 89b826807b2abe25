"""The command ``haulbook sun``."""

from __future__ import annotations

import json
from datetime import datetime

import pytest
import typer
from typer.testing import CliRunner

from haulbook.cli import sun
from haulbook.problems import Refusal


@pytest.fixture(scope="module")
def run():
    app = typer.Typer()
    app.command("other")(lambda: None)
    sun.register(app)
    runner = CliRunner()

    def call(*words):
        result = runner.invoke(app, ["sun", *words], catch_exceptions=False)
        assert result.exit_code == 0, result.output
        return result

    return call


def test_json_has_the_shape_of_the_contract_in_utc(run):
    found = json.loads(
        run("32.7157,-117.1611", "2026-06-20", "--zone", "America/Los_Angeles", "--json").stdout
    )
    assert set(found) == {"dawn", "sunrise", "noon", "sunset", "dusk", "moon_phase"}
    # US Naval Observatory, San Diego, 20 June 2026: 05:12 05:41 20:00 20:28 PDT.
    for key, clock in (("dawn", "12:12"), ("sunrise", "12:41"), ("sunset", "03:00"), ("dusk", "03:28")):
        day = 20 if key in ("dawn", "sunrise") else 21
        expected = datetime.fromisoformat(f"2026-06-{day}T{clock}:00+00:00")
        assert abs((datetime.fromisoformat(found[key]) - expected).total_seconds()) <= 60


def test_words_give_the_local_clock(run):
    result = run("41.46,-71.31", "2027-05-14", "--zone", "America/New_York")
    assert "sunrise  05:27 EDT" in result.stdout
    assert "moon     waxing gibbous" in result.stdout


def test_without_a_zone_that_of_the_nearest_station_is_taken_and_said(run):
    near = run("41.46,-71.31", "2027-05-14").stderr
    assert (
        "note: no --zone given: times are in America/New_York, the zone of the nearest tide station" in near
    )
    far = run("50.0,10.0", "2027-05-14").stderr
    assert "note: no --zone given: times are in UTC, since no tide station lies within 200 km" in far


def test_what_falls_on_another_day_of_the_clock_says_so(run):
    # Sydney's morning is the evening before in UTC; at 60.5 N, 173 W the sun sets after midnight.
    assert "sunrise  20:39 UTC (the day before)\n" in run("-33.9,151.2", "2027-05-14", "--zone", "UTC").stdout
    assert "noon     01:52 UTC\n" in run("-33.9,151.2", "2027-05-14", "--zone", "UTC").stdout
    assert "sunset   00:06 AKDT (the next day)\n" in run("60.5,-173", "2027-05-14").stdout


def test_a_southern_latitude_is_no_option(run):
    assert "sunrise" in run("-14.3,-170.7", "2027-05-14").stdout


def test_what_does_not_happen_is_null_and_said(run):
    result = run("71.29,-156.79", "2026-06-21", "--zone", "America/Anchorage", "--json")
    found = json.loads(result.stdout)
    assert (found["dawn"], found["sunrise"], found["sunset"], found["dusk"]) == (None, None, None, None)
    assert "note: the sun does not set on this day" in result.stderr
    assert "does not happen" in run("71.29,-156.79", "2026-12-21", "--zone", "America/Anchorage").stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("here", "2027-05-14"), "'here' is no position"),
        (("41.46,-71.31", "tomorrow"), "'tomorrow' is no date; write it as 2027-05-14"),
        (("41.46,-71.31", "2027-05-14", "--zone", "America/New_Yrok"), "the nearest is 'America/New_York'"),
        (("41.46,-71.31", "2127-05-14"), "computed for 1901 to 2099, not for 2127"),
    ],
)
def test_what_cannot_be_answered_is_refused_in_words(run, words, said):
    with pytest.raises(Refusal) as found:
        run(*words)
    assert said in str(found.value)
