"""The commands ``haulbook tide``: the JSON of the contract, words and refusals."""

from __future__ import annotations

import json
import re
import subprocess
import sys

import pytest
import typer
from typer.testing import CliRunner

from haulbook.cli import tide
from haulbook.problems import Refusal

INSTANT = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z")


@pytest.fixture(scope="module")
def run():
    app = typer.Typer()
    tide.register(app)
    runner = CliRunner()

    def call(*words):
        result = runner.invoke(app, ["tide", *words], catch_exceptions=False)
        assert result.exit_code == 0, result.output
        return result

    return call


def refused(run, *words):
    with pytest.raises(Refusal) as found:
        run(*words)
    return str(found.value)


DAY = ("--from", "2027-05-14", "--to", "2027-05-14")


def test_heights_have_the_shape_of_the_contract(run):
    found = json.loads(run("heights", "8452660", *DAY, "--step", "60", "--json").stdout)
    assert len(found) == 25
    assert set(found[0]) == {"time", "height_m"}
    # Local midnight of 14 May 2027 in New York is 04:00 UTC.
    assert found[0]["time"] == "2027-05-14T04:00:00Z"
    assert all(INSTANT.fullmatch(one["time"]) and isinstance(one["height_m"], float) for one in found)


def test_heights_agree_with_the_extremes_between_them(run):
    heights = json.loads(run("heights", "8452660", *DAY, "--step", "1", "--json").stdout)
    extremes = json.loads(run("extremes", "8452660", *DAY, "--json").stdout)
    assert set(extremes[0]) == {"time", "height_m", "kind"}
    assert {one["kind"] for one in extremes} == {"high", "low"}
    highest = max(heights, key=lambda one: one["height_m"])
    assert highest["height_m"] == pytest.approx(max(one["height_m"] for one in extremes), abs=0.001)


def test_windows_have_the_shape_of_the_contract(run):
    found = json.loads(
        run(
            "windows", "9418767", "--from", "2026-06-12", "--to", "2026-06-18", "--below", "0", "--json"
        ).stdout
    )
    assert len(found) == 7
    assert set(found[0]) == {"start", "end", "leg", "low_time", "low_m", "daylight_minutes", "rank", "why"}
    assert [one["rank"] for one in found] == list(range(1, 8))
    deepest = min(found, key=lambda one: one["low_m"])
    # 16 June 2026, below 0 from 05:23:56 to 09:58:37 PDT, low 07:34:40 at -0.728 m (second coding; seconds cut).
    assert deepest["start"] in ("2026-06-16T12:23:56Z", "2026-06-16T12:23:57Z")
    assert deepest["low_time"] in ("2026-06-16T14:34:40Z", "2026-06-16T14:34:41Z")
    assert deepest["low_m"] == -0.728
    assert all(INSTANT.fullmatch(one[key]) for one in found for key in ("start", "end", "low_time"))


def test_windows_take_bed_depth_daylight_hours_and_length(run):
    words = (
        "windows", "9418767", "--from", "2026-06-01", "--to", "2026-06-30", "--bed", "-0.3", "--depth", "0.3", "1.0",
        "--daylight", "40.7669,-124.2173", "--hours", "07:00-16:00", "--closed", "2026-06-15:2026-06-16",
        "--min-minutes", "60", "--slack-lag", "20", "--json",
    )  # fmt: skip
    found = json.loads(run(*words).stdout)
    assert found
    for one in found:
        assert "14:00:00Z" <= one["start"][11:] <= "23:00:00Z"
        assert one["low_time"][:10] not in ("2026-06-15", "2026-06-16")
        assert one["daylight_minutes"] >= 60
        assert "slack current seen here +20 minutes from low" in one["why"]


def test_windows_in_words_name_the_day_the_leg_and_why(run):
    result = run("windows", "9418767", "--from", "2026-06-16", "--to", "2026-06-16", "--bed", "-0.3")
    assert "Tue 16 June 2026, 04:22 PDT to 05:24 PDT, ebb" in result.stdout
    assert "Tue 16 June 2026, 09:59 PDT to 11:18 PDT, flood" in result.stdout
    assert "no haul fits in 62 minutes" in result.stdout


def test_a_window_over_midnight_says_so_and_what_hauls_take_is_said_once(run):
    result = run("windows", "1612340", "--from", "2026-06-12", "--to", "2026-06-13", "--bed", "-0.3")
    assert "Fri 12 June 2026, 15:30 HST to 02:01 HST the next day, ebb and flood" in result.stdout
    assert "to set up" not in result.stdout
    assert result.stderr.count("Hauls that fit: 30 minutes to set up, 30 a haul, 20 to pack out.") == 1


def test_no_window_is_said_and_not_an_error(run):
    result = run("windows", "8452660", *DAY, "--below", "-2", "--json")
    assert json.loads(result.stdout) == []
    assert "note: no window from 2027-05-14 to 2027-05-14 has water at or below -2.00 m" in result.stderr


def test_every_answer_comes_with_its_cautions_beside_not_in_it(run):
    for words in (
        ("heights", "8452660", *DAY),
        ("extremes", "8452660", *DAY),
        ("windows", "8452660", *DAY, "--below", "0.3"),
    ):
        result = run(*words)
        assert "Predictions are not observations" in result.stderr
        assert "NOAA CO-OPS, as of 2026-09-24" in result.stderr
        assert "Predictions" not in result.stdout
        assert not re.search(r"\bsafe\b", result.output, re.IGNORECASE)


def test_stations_near_a_position(run):
    found = json.loads(run("stations", "--near", "41.46,-71.31", "--most", "2", "--json").stdout)
    assert [one["station"] for one in found] == ["8453201", "8452660"]
    assert found[0]["reference"] == "8452660"
    assert found[1]["reference"] is None
    assert "5.1 km  8452660 Newport" in run("stations", "--near", "41.46,-71.31").stdout


def test_the_station_without_a_name_is_shown_by_number_and_position(run):
    result = run("stations", "--near", "48.125,-123.44", "--most", "1")
    assert result.stdout.strip() == "0.0 km  9444090 (48.1250 N, 123.4400 W): constants of its own"


def test_a_subordinate_station_gives_highs_and_lows_and_no_curve_unasked(run):
    assert json.loads(run("extremes", "8453201", *DAY, "--json").stdout)
    text = refused(run, "heights", "8453201", *DAY)
    assert "only highs and lows are predicted" in text
    assert "not the agency's" in text


def test_a_drawn_curve_says_so_and_keeps_to_5_minutes(run):
    result = run("heights", "8453201", *DAY, "--interpolate", "--step", "30", "--json")
    assert "interpolated by haulbook" in result.stderr
    assert all(re.search(r":\d[05]:00Z", one["time"]) for one in json.loads(result.stdout))


def test_a_site_offset_moves_highs_and_lows_and_is_named(run):
    plain = json.loads(run("extremes", "8452660", *DAY, "--json").stdout)
    result = run(
        "extremes",
        "8452660",
        *DAY,
        "--later",
        "30",
        "30",
        "--add",
        "0.1",
        "--seen-by",
        "p1",
        "--seen-on",
        "2026-06-01",
        "--json",
    )
    moved = json.loads(result.stdout)
    assert moved[1]["height_m"] == pytest.approx(plain[1]["height_m"] + 0.1, abs=0.0011)
    assert "observed by p1, 1 June 2026" in result.stderr


def test_constants_of_your_own_from_a_file(run, tmp_path):
    table = tmp_path / "cove.csv"
    table.write_text(
        "# zone: America/New_York\n# position: 41.46,-71.31\nconstituent,amplitude_m,phase_deg\nZ0,0.5,\nM2,0.5,2.3\n",
        encoding="utf-8",
    )
    result = run("extremes", str(table), *DAY, "--json")
    assert [one["kind"] for one in json.loads(result.stdout)].count("high") == 2
    assert "your own table cove.csv" in result.stderr


AMBIGUOUS = ("--from", "2026-11-01T01:30", "--to", "2026-11-02")
MISSING = ("--from", "2026-03-08T02:30", "--to", "2026-03-09")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("extremes", "8452661", *DAY), "no tide station '8452661'; the nearest three are 8452660 Newport"),
        (("extremes", "nowhere.csv", *DAY), "there is no file nowhere.csv"),
        (("extremes", "8519024", *DAY), "heights would have no datum"),
        (("heights", "8452660", "--from", "1970-01-01", "--to", "1970-01-02"), "not to be trusted in 1970"),
        (("extremes", "8452660", "--from", "2040-12-30", "--to", "2041-01-01"), "not to be trusted in 2041"),
        (("windows", "8452660", *DAY, "--bed", "0", "--depth", "1", "0.3"), "the band is upside down"),
        (("windows", "8452660", *DAY), "say the band of water one way: --below M, or --bed M"),
        (("windows", "8452660", *DAY, "--bed", "0", "--below", "0"), "say the band of water one way"),
        (
            ("windows", "8452660", *DAY, "--below", "0", "--depth", "0.3", "1"),
            "say the band of water one way",
        ),
        (("windows", "8452660", *DAY, "--below", "nan"), "numbers of metres"),
        (("windows", "8452660", "--from", "soon", "--to", "soon", "--below", "0"), "'soon' is no date"),
        (("extremes", "8452660", *AMBIGUOUS), "happens twice in America/New_York"),
        (("extremes", "8452660", *MISSING), "does not exist in America/New_York"),
        (
            ("extremes", "8452660", "--from", "2027-05-15", "--to", "2027-05-14"),
            "the end of 14 May 2027 is not after 00:00 EDT on 15 May 2027; swap --from and --to",
        ),
        (("extremes", "8452660", *DAY, "--later", "10", "10"), "who observed it"),
        (("stations", "--near", "here"), "'here' is no position"),
    ],
)
def test_what_cannot_be_answered_is_refused_in_words(run, words, said):
    assert said in refused(run, *words)


def test_the_command_module_loads_nothing_heavy():
    code = (
        "import sys, haulbook.cli.tide, haulbook.cli.sun\n"
        "print([name for name in ('numpy', 'astral') if name in sys.modules])"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert found.strip() == "[]"
