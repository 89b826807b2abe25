"""``haulbook care`` as somebody types it."""

from __future__ import annotations

import json

import pytest
import typer
from typer.testing import CliRunner

from haulbook.cli import care
from haulbook.problems import Refusal

app = typer.Typer()
care.register(app)


@app.callback()
def _root() -> None:
    """Keep the group."""


def run(*words):
    return CliRunner().invoke(app, ["care", *words], catch_exceptions=True)


def said(*words, status=0):
    result = run(*words, "--json")
    assert result.exit_code == status, result.output
    return json.loads(result.stdout)


def refused(*words):
    result = run(*words)
    assert isinstance(result.exception, Refusal), result.output
    return str(result.exception)


BUCKET = ("bucket", "--litres", "15", "--temperature", "12", "--salinity", "30")


def test_oxygen_gives_both_units():
    # Table of the care page at 12 °C, S 30: 8.924 mg/L, 272.70 micromol/kg.
    found = said("oxygen", "--temperature", "12", "--salinity", "30")
    assert set(found) == {"mg_per_l", "umol_per_kg"}
    assert found["mg_per_l"] == pytest.approx(8.924, abs=5e-4)
    assert found["umol_per_kg"] == pytest.approx(272.70, abs=5e-3)


def test_oxygen_follows_the_barometer():
    low = said("oxygen", "--temperature", "12", "--salinity", "30", "--pressure", "980")
    assert low["mg_per_l"] == pytest.approx(8.924 * 0.96673, abs=1e-3)


def test_oxygen_in_words_names_its_source():
    words = run("oxygen", "--temperature", "12", "--salinity", "30").output
    assert "holds 8.92 mg/L" in words
    assert "Benson & Krause 1984" in words


def test_out_of_range_is_a_sentence_for_each_thing_that_is_off():
    words = refused("oxygen", "--temperature", "55", "--salinity", "50")
    assert "temperature 55 °C is outside 0 to 40 °C" in words
    assert "salinity 50 is outside 0 to 40" in words


def test_a_hydrometer_with_its_pair_gives_a_salinity_in_a_range():
    found = said("salinity", "--reading", "1.022", "--temperature", "10", "--calibration", "60/60F")
    assert set(found) == {"salinity", "low", "high"}
    assert found["salinity"] == pytest.approx(27.54, abs=5e-3)
    assert found["low"] < found["salinity"] < found["high"]


def test_a_hydrometer_without_its_pair_gives_a_range_and_a_question():
    found = said("salinity", "--reading", "1.022", "--temperature", "10", status=1)
    assert found["salinity"] is None
    assert found["low"] < 25.27 < 28.78 < found["high"]
    asked = run("salinity", "--reading", "1.022", "--temperature", "10")
    assert asked.exit_code == 1
    assert "which calibration pair" in asked.stderr


def test_an_unknown_pair_names_the_known_ones():
    words = refused("salinity", "--reading", "1.022", "--temperature", "10", "--calibration", "60/60")
    assert "nearest is '60/60F'" in words


def test_conductivity_gives_a_salinity():
    found = said("salinity", "--conductivity", "35", "--temperature", "12")
    assert found["salinity"] == pytest.approx(30.168, abs=5e-4)
    assert found["low"] < found["salinity"] < found["high"]


def test_one_instrument_at_a_time():
    assert "one of the two" in refused("salinity", "--temperature", "10")
    both = ("--reading", "1.022", "--conductivity", "35")
    assert "one of the two" in refused("salinity", "--temperature", "10", *both)


def test_a_calibration_pair_belongs_to_a_hydrometer():
    both = ("--conductivity", "35", "--calibration", "60/60F")
    assert "give it with --reading" in refused("salinity", "--temperature", "12", *both)


def test_ammonia_with_and_without_a_total():
    words = ("ammonia", "--temperature", "12", "--salinity", "30", "--ph", "8.0", "--scale", "nbs")
    found = said(*words, "--tan", "0.8396")
    assert found["fraction"] == pytest.approx(0.01713, abs=5e-6)
    assert found["nh3_mg_per_l"] == pytest.approx(0.01748, abs=5e-6)
    assert said(*words)["nh3_mg_per_l"] is None


def test_how_far_the_two_ph_scales_lie_apart_is_said_as_it_is():
    words = run("ammonia", "--temperature", "12", "--salinity", "30", "--ph", "8.0", "--scale", "nbs").output
    assert "8 to 28 % more on the total scale" in words
    shares = [
        said("ammonia", "--temperature", at, "--salinity", "35", "--ph", "8", "--scale", scale)["fraction"]
        for at in ("5", "30")
        for scale in ("nbs", "total")
    ]
    assert shares[1] / shares[0] == pytest.approx(1.087, abs=5e-4)
    assert shares[3] / shares[2] == pytest.approx(1.278, abs=5e-4)


def test_ammonia_needs_a_known_scale():
    words = ("ammonia", "--temperature", "12", "--salinity", "30", "--ph", "8.0", "--scale", "free")
    assert "there is no pH scale 'free'" in refused(*words)


def test_a_bucket_under_a_given_load_reads_the_worked_example():
    found = said(*BUCKET, "--load", "59.943")
    keys = {
        "minutes",
        "minutes_low",
        "minutes_high",
        "room_for",
        "steady_mg_per_l",
        "load_mg_per_h",
        "limits",
    }
    assert set(found) == keys
    assert found["minutes"] == pytest.approx(0.4466 * 60, abs=0.01)
    assert found["minutes_low"] < found["minutes"] < found["minutes_high"]
    assert found["load_mg_per_h"] == 59.943
    assert (found["room_for"], found["steady_mg_per_l"]) == (None, None)
    assert [limit["value"] for limit in found["limits"]] == pytest.approx([7.1394, 5.3545], abs=1e-4)


def test_a_bucket_until_5_mg_and_with_air():
    found = said(*BUCKET, "--load", "59.943", "--until-mg-l", "5")
    assert found["minutes"] == pytest.approx(0.9820 * 60, abs=0.01)
    aired = said(*BUCKET, "--load", "59.943", "--air", "3")
    assert aired["minutes"] is None
    assert aired["steady_mg_per_l"] == pytest.approx(7.5922, abs=1e-4)


def test_below_the_threshold_is_now_and_zero():
    found = said(*BUCKET, "--load", "59.943", "--percent", "50")
    assert (found["minutes"], found["minutes_low"], found["minutes_high"]) == (0, 0, 0)
    assert ": now." in run(*BUCKET, "--load", "59.943", "--percent", "50").output


def test_animals_are_counted_with_room_company_and_cautions():
    typed = "20 shiner-perch 80"
    found = said(*BUCKET, "--animals", typed, "--pack", "nepacific")
    # W = 0.0195 x 8^3.02 = 10.41 g in the pack (the page's table has 2.97): 2.4 x 20 x 1.357 = 65.1 mg/h.
    assert found["load_mg_per_h"] == pytest.approx(65.1, abs=0.1)
    assert found["room_for"] == 0
    words = run(*BUCKET, "--animals", "5 cunner 80; 2 northern-pipefish", "--pack", "nwatlantic").output
    assert "Company: cunner with northern-pipefish" in words
    assert "cunner: dorsal spines." in words
    assert "planning default" in words


def test_a_fixed_factor_at_rest_gives_more_room_than_capture():
    few = ("--animals", "3 cunner 80", "--pack", "nwatlantic")
    assert said(*BUCKET, *few, "--factor", "1")["room_for"] > said(*BUCKET, *few)["room_for"] > 0


def test_more_animals_of_a_mixed_line_add_up():
    one = said(*BUCKET, "--animals", "5 cunner 80", "--pack", "nwatlantic")["load_mg_per_h"]
    other = said(*BUCKET, "--animals", "6 grubby", "--pack", "nwatlantic")["load_mg_per_h"]
    both = said(*BUCKET, "--animals", "5 cunner 80; 6 grubby", "--pack", "nwatlantic")["load_mg_per_h"]
    assert both == pytest.approx(one + other, abs=1e-5)


def test_a_length_in_centimetres_is_read_as_such():
    pack = ("--pack", "nwatlantic")
    short, long = (said(*BUCKET, "--animals", f"5 cunner {size}", *pack) for size in ("8cm", "80"))
    assert short == long


def test_the_time_to_carry_is_refused_in_the_unit_it_was_given_in():
    few = ("--animals", "3 cunner 80", "--pack", "nwatlantic")
    assert "time to carry -5 min is outside 1 to 60000 min" in refused(*BUCKET, *few, "--carry", "-5")


def test_all_unreadable_animals_are_named_together():
    words = refused(*BUCKET, "--animals", "cunner 80; 3 zzxqw 40", "--pack", "nwatlantic")
    assert "write number, name and length" in words
    assert "zzxqw" in words


def test_a_bucket_needs_a_load_or_animals_and_a_pack():
    assert "one of the two" in refused(*BUCKET)
    assert "needs --pack" in refused(*BUCKET, "--animals", "3 cunner")
    assert "leave --factor out" in refused(*BUCKET, "--load", "60", "--factor", "2")
    assert "give the oxygen once" in refused(*BUCKET, "--load", "60", "--oxygen", "8", "--percent", "90")
    assert "give one threshold" in refused(
        *BUCKET, "--load", "60", "--until-percent", "70", "--until-mg-l", "5"
    )


def test_warmth_and_ammonia_stand_among_the_limits_when_asked():
    found = said(*BUCKET, "--load", "59.943", "--air-temperature", "22", "--ph", "8.0")
    by_name = {limit["limit"]: limit for limit in found["limits"]}
    assert by_name["warming: note"]["minutes"] == pytest.approx(0.8926 * 60, abs=0.01)
    assert by_name["ammonia at pH 8 (nbs)"]["minutes"] == pytest.approx(240, abs=0.5)


def test_the_way_home_is_hours_and_steps():
    found = said("acclimate", "--from", "16,26", "--to", "11,32", "--litres", "12")
    assert set(found) == {"hours", "steps"}
    assert set(found["steps"][0]) == {"at_min", "swap_l", "temperature", "salinity"}
    assert found["steps"][0] == {"at_min": 45, "swap_l": 3, "temperature": 14.75, "salinity": 27.5}
    assert found["hours"] == pytest.approx(found["steps"][-1]["at_min"] / 60, abs=1e-5)


def test_a_drip_too_fast_is_a_finding_that_somebody_settles():
    result = run("acclimate", "--from", "16,26", "--to", "11,32", "--litres", "12", "--flow", "6")
    assert result.exit_code == 1
    assert "open the tap to 4.0 L/h at most" in result.stderr


def test_ammonia_in_the_bag_takes_the_short_route():
    words = ("--litres", "10", "--tan", "2", "--tank-ph", "8.1")
    result = run("acclimate", "--from", "12,30", "--to", "12,30", *words)
    assert result.exit_code == 1
    assert "0.052 mg NH3/L" in result.stderr
    assert "not released unless the permit says so" in result.stdout
    assert "float the closed container 15 to 30 minutes" in result.stdout


def test_waters_that_cannot_be_read_are_refused():
    words = refused("acclimate", "--from", "16;26", "--to", "11,32", "--litres", "12")
    assert "write temperature and salinity as 16,26" in words
    half = refused("acclimate", "--from", "16,26", "--to", "11,32", "--litres", "12", "--tan", "2")
    assert "give --tank-ph" in half


def test_without_a_measurement_the_schedule_says_that_ammonia_was_not_looked_at():
    way = ("acclimate", "--from", "16,26", "--to", "11,32", "--litres", "12")
    assert "Ammonia was not looked at" in run(*way).stdout
    assert "Ammonia was not looked at" not in run(*way, "--tan", "0.2", "--tank-ph", "8.1").stdout


def test_two_ph_values_are_compared_without_an_ammonia_reading():
    ph = ("--transport-ph", "7.2", "--tank-ph", "8.1")
    result = run("acclimate", "--from", "16,26", "--to", "11,32", "--litres", "12", *ph)
    assert result.exit_code == 1
    assert "pH differs by 0.9" in result.stderr


def test_a_drip_of_months_is_refused():
    words = refused("acclimate", "--from", "16,26", "--to", "11,32", "--litres", "12", "--flow", "0.01")
    assert "outside 0 to 168 h (open the tap further)" in words


def test_a_card_is_written_beside_the_answer(tmp_path):
    pytest.importorskip("typst")
    card = tmp_path / "card.pdf"
    result = run("acclimate", "--from", "16,26", "--to", "11,32", "--litres", "12", "--card", str(card))
    assert result.exit_code == 0, result.output
    assert card.read_bytes().startswith(b"%PDF")


def test_a_card_that_cannot_be_written_is_a_sentence(tmp_path):
    pytest.importorskip("typst")
    card = str(tmp_path / "nowhere" / "card.pdf")
    words = refused("acclimate", "--from", "16,26", "--to", "11,32", "--litres", "12", "--card", card)
    assert "can't be written" in words


def test_a_ration_is_two_figures_without_an_exponent():
    # 12 345 g x 2 % = 246.9 g.
    assert "250 g of wet food a day" in run("ration", "--grams", "12345", "--temperature", "12").output


def test_a_ration_is_a_planning_default():
    found = said("ration", "--grams", "240", "--temperature", "12")
    assert found["g_per_day"] == pytest.approx(4.8)
    assert found["standing"] == "planning default"
    assert "feed tomorrow" in run("ration", "--grams", "240", "--temperature", "12").output


def test_help_names_units_and_examples():
    for command in ("oxygen", "salinity", "ammonia", "bucket", "acclimate", "ration"):
        words = run(command, "--help").output
        assert "Example:" in words, command
