"""Sheet maps are read, and everything wrong with one is said at once. All maps here are invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from haulbook.exchange.column_roles import QUANTITIES, WORDS, known_words, split_quantity
from haulbook.exchange.date_forms import DATE_FORMS, TIME_FORMS
from haulbook.exchange.map_toml import read_sheet_map
from haulbook.problems import Refusal

GOOD = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "hauls*.csv"
role = "hauls"
haul_from = ["date", "Site", "Set"]
ignore = ["Weather"]
date = {column = "Day", form = "m/d/yy"}
time = {column = "Clock", form = "hhmm", zone = "America/New_York"}
conditions = {good = 1, fouled = 2}
set_type = "rectangle_half_disc"
[file.columns]
Site = "site"
Set = "haul_no"
Extent = "b_m"
"Width ft" = "w_ft"
"Area (ha)" = "area_ha"
Score = "condition"
[[file]]
name = "catch.csv"
role = "catch"
rows = "wide"
haul_from = ["Key"]
taxa = ["cunner*", "eel"]
stages = {j = "young", mixed = ""}
[[file]]
name = "effort.csv"
role = "effort"
haul_from = ["Visit", "set"]
[[file.set]]
no = "1"
columns = {extent1 = "b_m"}
[[file.set]]
no = "2"
columns = {extent2 = "b_m"}
[[file]]
name = "other.csv"
role = "skip"
"""


def refused(put, text):
    with pytest.raises(Refusal) as caught:
        read_sheet_map(put("map.toml", text))
    return {problem.column: problem.message for problem in caught.value.problems}


def test_a_full_map_is_read(put):
    sheet_map = read_sheet_map(put("map.toml", GOOD))
    hauls, catch, effort, other = sheet_map.files
    assert (sheet_map.pack, sheet_map.default_fate) == ("nwatlantic", "back")
    assert hauls.heading_of("site") == "Site"
    assert hauls.named == {
        "Site",
        "Set",
        "Extent",
        "Width ft",
        "Area (ha)",
        "Score",
        "Weather",
        "Day",
        "Clock",
    }
    assert str(hauls.time.zone) == "America/New_York"
    assert hauls.conditions == {"good": 1, "fouled": 2}
    assert [block.no for block in effort.sets] == ["1", "2"]
    assert catch.is_taxon("cunner j")
    assert not catch.is_taxon("Key")
    assert other.role == "skip"
    assert sheet_map.of_file("hauls-2027.csv") == (hauls,)
    assert sheet_map.of_file("unknown.csv") == ()


def test_all_unknown_words_are_refused_together_naming_the_nearest(put):
    said = refused(
        put,
        """
        pack = "nwatlantic"
        defualt_fate = "back"
        [[file]]
        name = "a.csv"
        role = "catsh"
        [[file]]
        name = "b.csv"
        role = "catch"
        row = "taxa"
        columns = {Haul = "haul", Name = "nmae", N = "n", L = "length_inch"}
        stages = {J = "juvenil"}
        conditions = {ok = 7}
        fates = {kept = "kepd"}
        blank_n = "one"
        time = {column = "T", form = "hh:mm", zone = "America/New_Yrok"}
        date = {column = "D", form = "m/d/yyy"}
        negate = ["long"]
        delimiter = "::"
        """,
    )
    assert "the nearest is 'default_fate'" in said["defualt_fate"]
    assert "the nearest is 'catch'" in said["file.1.role"]
    assert "the nearest is 'rows'" in said["file.2.row"]
    assert "the nearest is 'name'" in said["file.2.columns.Name"]
    assert "the nearest is 'length_in'" in said["file.2.columns.L"]
    assert said["file.2.conditions.ok"] == "is 7; write one of 1, 2, 3, 4, 5, 9"
    assert "the nearest is 'kept'" in said["file.2.fates.kept"]
    assert "the nearest is 'm/d/yyyy'" in said["file.2.date.form"]
    assert "there is no time zone 'America/New_Yrok'" in said["file.2.time.zone"]
    assert "the nearest is 'lon'" in said["file.2.negate"]
    for key in ("stages.J", "blank_n", "time.form", "delimiter"):
        assert f"file.2.{key}" in said


@pytest.mark.parametrize(
    ("part", "key", "words"),
    [
        ('role = "catch"\ncolumns = {H = "haul", N = "n"}', "columns", 'name the column that is "name"'),
        ('role = "catch"\ncolumns = {H = "haul", S = "name"}', "columns", 'name the column that is "n"'),
        ('role = "catch"\ncolumns = {S = "name", N = "n"}', "columns", "haul_from"),
        ('role = "catch"\nrows = "wide"\ncolumns = {H = "haul"}', "taxa", "is needed where rows"),
        ('role = "names"\ncolumns = {H = "remark"}', "columns", '"code" and "name"'),
        (
            'role = "environment"\ncolumns = {T = "temperature_c"}',
            "columns",
            'name the column that is "site"',
        ),
        ('role = "hauls"\ncolumns = {H = "haul", I = "haul"}', "columns", "names 'haul' twice"),
        ('role = "hauls"\ncolumns = {H = "haul"}\nignore = ["H"]', "ignore", "is named and ignored"),
        (
            'role = "hauls"\ncolumns = {H = "haul"}\ndate = {form = "iso"}',
            "date.column",
            "say column, with its form",
        ),
    ],
)
def test_what_a_part_lacks_is_said(put, part, key, words):
    said = refused(put, f'pack = "nwatlantic"\n[[file]]\nname = "a.csv"\n{part}\n')
    assert words in said[f"file.1.{key}"]


def test_a_map_without_files_or_with_answers_in_it_is_refused(put):
    said = refused(put, 'pack = "nwatlantic"\n[[answer]]\nabout = "fate"\n')
    assert "is needed" in said["file"]
    assert "--confirm" in said["answer"]


# International yard and pound agreement of 1959 as in NIST SP 811 (2008), appendix B.8: 1 ft = 0.3048 m,
# 1 in = 25.4 mm; 1 fathom = 6 ft; 1 ha = 10 000 m2.
@pytest.mark.parametrize(
    ("word", "found"),
    [
        ("length_mm", ("length", 0.001)),
        ("length_in", ("length", 0.0254)),
        ("depth_fathom", ("depth", 6 * 0.3048)),
        ("area_ha", ("area", 10_000.0)),
        ("area_100m2", ("area", 100.0)),
        ("area_ft2", ("area", 0.3048**2)),
        ("D_m", ("D", 1.0)),
        ("d_m", ("d", 1.0)),
        ("length_type", None),
        ("area_mm", None),
    ],
)
def test_units_are_part_of_the_word(word, found):
    split = split_quantity(word, "catch")
    if found is None:
        assert split is None
    else:
        assert split == (found[0], pytest.approx(found[1], rel=1e-12))


def test_every_role_knows_its_words():
    assert "n" in known_words("catch")
    assert "n" not in known_words("hauls")
    assert known_words("skip") == ()


def test_the_reference_page_names_every_key_and_word():
    from haulbook.exchange.map_toml import FILE_KEYS
    from haulbook.exchange.sheet_map import BLANK_N, FATES, ROLES, ROWS

    page = (Path(__file__).parents[2] / "docs/reference/sheet-map.md").read_text(encoding="utf-8")
    words = {word for role in WORDS.values() for word in role}
    words |= {f"{name}_" for quantities in QUANTITIES.values() for name in quantities}
    for word in (*FILE_KEYS, *ROLES, *ROWS, *BLANK_N, *FATES, *words, *DATE_FORMS, *TIME_FORMS):
        assert f"`{word}" in page or f"[[file.{word}]]" in page, word
