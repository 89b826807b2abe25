"""A sheet map as settings: what a page shows is what the map says; one change changes one thing. Sheets invented."""

from __future__ import annotations

import tomllib

import pytest
import tomlkit

from haulbook.exchange.map_toml import read_sheet_map
from haulbook.exchange.propose import propose
from haulbook.office.proposed_map import Seen, map_of
from haulbook.office.sheet_map_form import DATE, IGNORE, TAXON, changed, settings_of

HAULS = """\
Haul,When,Clock,Beach,Set,Initials,Area
A1,6/7/23,9:36,east point,1,zz,118
A2,6/7/23,10:20,east point,2,zz,125
"""
CATCH = "Haul,Species,Stage,Count,Size,Odd\n" + "".join(
    f"A{1 + n % 2},{name},{stage},{n + 1},{40 + n},x\n"
    for n, (name, stage) in enumerate(
        [("cunner", "Yoy"), ("tautog", "Zz"), ("rock gunnel", "Adult"), ("grubby", "Yoy")] * 3
    )
)


@pytest.fixture
def proposed(tmp_path):
    for name, text in (("hauls.csv", HAULS), ("catch.csv", CATCH)):
        (tmp_path / name).write_text(text)
    return map_of(propose([tmp_path / "hauls.csv", tmp_path / "catch.csv"], "nwatlantic"))


def settings(content, seen):
    return {
        one.key: one
        for part in settings_of(content, seen)
        for one in (*part.settings, *part.columns, *(one for words in part.words.values() for one in words))
    }


def read(content, tmp_path):
    (tmp_path / "map.toml").write_text(tomlkit.dumps(content))
    return read_sheet_map(tmp_path / "map.toml")


def test_every_column_is_shown_with_its_meaning_its_reason_and_its_first_texts(proposed):
    found = settings(*proposed)
    haul = found["file.1.columns.Haul"]
    assert (haul.value, haul.samples) == ("haul", ("A1", "A2"))
    assert haul.why == "a usual heading for the haul's key"
    assert ("haul_no", "the haul's number") in haul.options
    assert found["file.2.columns.Odd"].value == IGNORE
    assert found["file.2.role"].value == "catch"


def test_people_are_shown_without_a_sample(proposed):
    column = settings(*proposed)["file.1.columns.Initials"]
    assert (column.value, column.samples) == ("person", ())


def test_what_is_seen_can_be_stored_and_read_again(proposed):
    content, seen = proposed
    again = Seen(**seen.as_json())
    assert settings(content, again) == settings(content, seen)


def test_changing_nothing_gives_the_same_map(proposed):
    content, seen = proposed
    same = {one.key: one.value for one in settings(content, seen).values()}
    assert changed(content, seen, same) == content
    assert changed(content, seen, {"file.9.columns.Nothing": "haul", "nonsense": "x"}) == content


def test_a_column_is_in_one_place_whatever_it_is_changed_to(proposed):
    content, seen = proposed
    key = "file.2.columns.Odd"
    for value, where in (
        ("remark", "columns"),
        (IGNORE, "ignore"),
        (TAXON, "taxa"),
        ("sex", "columns"),
        (IGNORE, "ignore"),
    ):
        content = changed(content, seen, {key: value})
        part = content["file"][1]
        holds = [name for name in ("columns", "ignore", "taxa") if "Odd" in part.get(name, ())]
        assert holds == [where]
    assert settings(content, seen)[key].value == IGNORE


def test_another_column_can_be_the_day_and_the_one_before_is_left_out(proposed):
    content, seen = proposed
    made = changed(content, seen, {"file.1.columns.Set": DATE})
    part = made["file"][0]
    assert part["date"] == {"column": "Set"}
    assert "Set" not in part["columns"]


def test_a_question_about_a_stage_is_open_until_it_is_said(proposed, tmp_path):
    content, seen = proposed
    word = settings(content, seen)["file.2.stages.Zz"]
    assert word.open
    made = changed(content, seen, {word.key: ""})
    assert made["file"][1]["stages"]["Zz"] == ""
    assert not settings(made, seen)[word.key].open


def test_a_clock_is_read_once_its_zone_is_said_and_left_out_again_without_it(tmp_path):
    text = HAULS.replace("When", "Date").replace("Clock", "Time")
    (tmp_path / "hauls.csv").write_text(text)
    (tmp_path / "catch.csv").write_text(CATCH)
    content, seen = map_of(propose([tmp_path / "hauls.csv", tmp_path / "catch.csv"], "nwatlantic"))
    key = "file.1.time.zone"
    assert settings(content, seen)[key].value == ""
    made = changed(content, seen, {key: "America/New_York"})
    assert made["file"][0]["time"] == {"column": "Time", "form": "H:M", "zone": "America/New_York"}
    assert "Time" not in made["file"][0].get("ignore", ())
    back = changed(made, seen, {key: ""})
    assert "time" not in back["file"][0]
    assert "Time" in back["file"][0]["ignore"]


def test_a_file_that_was_skipped_takes_up_the_usual_meanings(proposed):
    content, seen = proposed
    content["file"][1] = {"name": "catch.csv", "role": "skip"}
    made = changed(content, seen, {"file.2.role": "catch"})["file"][1]
    assert made["columns"] == {"Haul": "haul", "Species": "name", "Stage": "stage", "Count": "n"}
    assert made["ignore"] == ["Size", "Odd"]


def test_the_changed_map_is_one_that_sheets_are_read_with(proposed, tmp_path):
    content, seen = proposed
    values = {
        "default_fate": "back", "file.1.columns.When": DATE, "file.1.date.form": "m/d/yy",
        "file.1.columns.Beach": "site",
        "file.2.columns.Size": "length_mm", "file.2.stages.Zz": "", "file.2.blank_n": "present",
        "file.2.set_type": "straight",
    }  # fmt: skip
    for _ in range(2):  # the form of a date can be said once there is one
        content = changed(content, seen, values)
    sheet_map = read(content, tmp_path)
    assert sheet_map.default_fate == "back"
    assert sheet_map.files[0].date.form == "m/d/yy"
    assert sheet_map.files[1].blank_n == "present"
    assert sheet_map.files[1].heading_of("length_mm") == "Size"
    assert tomllib.loads(tomlkit.dumps(content)) == content


def test_words_of_conditions_are_numbers():
    content = {
        "pack": "nwatlantic",
        "file": [{"name": "h.csv", "role": "hauls", "conditions": {"ok": "?"}, "columns": {"H": "haul"}}],
    }
    made = changed(content, Seen(), {"file.1.conditions.ok": "1"})
    assert made["file"][0]["conditions"] == {"ok": 1}
