"""Sheets are read with their map: what is counted, what is refused by row, and what is asked. Invented sheets."""

from __future__ import annotations

import pytest

from haulbook.problems import Refusal

LONG = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "catch.csv"
role = "catch"
columns = {haul = "haul", name = "name", stage = "stage", n = "n"}
stages = {J = "young"}
missing = ["n/a"]
"""


def said(reading, kind):
    return [(p.file, p.row, p.column, p.message) for p in reading.problems if p.kind == kind]


def rows_of(reading, kind):
    return [p.row for p in reading.problems if p.kind == kind]


def test_a_long_sheet_is_summed_by_name_and_haul(read):
    reading = read(LONG, catch__csv="haul,name,stage,n\nH1,cunner,J,3\nH1,scup,,2\nH2,cunner,,12\nH3,-,,\n")
    assert reading.rows == 4
    assert reading.animals == 17
    assert reading.by_taxon == {"cunner": 15, "scup": 2}
    assert reading.by_haul == {"H1": 5, "H2": 12, "H3": 0}
    assert said(reading, "asked") == said(reading, "refused") == said(reading, "altered") == []


@pytest.mark.parametrize(
    "cell",
    [
        "2.5",
        "-3",
        "about 40",
        "12+",
        "10-20",
        "10-May",
        "lots",
        "5 (3)",
        "1,200",
        "=SUM(A1:A3)",
        "9999999999",
    ],
)
def test_what_is_no_count_is_refused_by_row_and_column_and_not_counted(read, cell):
    reading = read(LONG, catch__csv=f'haul,name,stage,n\nH1,cunner,,3\nH1,scup,,"{cell}"\n')
    assert reading.animals == 3
    ((file, row, column, _),) = said(reading, "refused")
    assert (file, row, column) == ("catch.csv", 3, "n")


def test_day_numbers_among_ranges_are_never_counts(read):
    reading = read(LONG, catch__csv="haul,name,stage,n\nH1,a,,5 - 10\nH1,b,,43102\nH1,c,,7\n")
    assert reading.animals == 7
    assert rows_of(reading, "refused") == [2, 3]
    assert "1-2" in said(reading, "refused")[1][3]


def test_present_is_neither_zero_nor_one(read):
    reading = read(LONG, catch__csv="haul,name,stage,n\nH1,comb jelly,,present\nH1,scup,,2\n")
    assert reading.animals == 2
    assert reading.by_taxon == {"comb jelly": 0, "scup": 2}


def test_zero_says_searched_and_none(read):
    reading = read(LONG, catch__csv="haul,name,stage,n\nH1,scup,,0\nH1,cunner,,1\n")
    assert reading.by_taxon == {"cunner": 1}


@pytest.mark.parametrize("word", ["-", "None", "No fish", "no catch"])
def test_an_empty_haul_is_a_haul(read, word):
    reading = read(LONG, catch__csv=f"haul,name,stage,n\nH1,{word},,\nH2,{word},,0\nH3,scup,,1\n")
    assert reading.by_haul == {"H1": 0, "H2": 0, "H3": 1}
    assert reading.by_taxon == {"scup": 1}


def test_a_number_without_a_name_counts_and_is_asked(read):
    reading = read(LONG, catch__csv="haul,name,stage,n\nH1,,,4\nH1,scup,,1\n")
    assert reading.by_taxon == {"(no name)": 4, "scup": 1}
    assert rows_of(reading, "asked") == [2]


def test_a_row_without_haul_is_refused(read):
    reading = read(LONG, catch__csv="haul,name,stage,n\n,scup,,4\nH1,scup,,1\n")
    assert reading.animals == 1
    assert said(reading, "refused")[0][1:3] == (2, "haul")


def test_a_stage_nobody_explained_is_told_and_kept_as_written(read):
    reading = read(LONG, catch__csv="haul,name,stage,n\nH1,scup,X,4\nH1,scup,adult,1\nH1,scup,n/a,1\n")
    assert [message for *_, message in said(reading, "note") if "stage 'X'" in message]
    assert dict(reading.catches[0].our_stage) == {"X": "", "adult": "adult", "": ""}


ANIMALS = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "catch.csv"
role = "catch"
rows = "animals"
columns = {haul = "haul", name = "name", n = "n", cm = "length_cm"}
blank_n = "one-if-length"
"""


def test_a_row_an_animal_with_lumps_and_blank_counts(read):
    reading = read(
        ANIMALS, catch__csv="haul,name,n,cm\nH1,scup,,4.5\nH1,scup,1,4.5\nH1,scup,20,\nH1,scup,,\n"
    )
    assert reading.animals == 22
    assert reading.catches[0].length_mm[:2].tolist() == [45.0, 45.0]
    assert rows_of(reading, "asked") == [5]


def test_unmeasured_beside_lengths(read):
    reading = read(
        ANIMALS.replace('n = "n"', 'more = "n_unmeasured"'),
        catch__csv="haul,name,more,cm\nH1,scup,0,4.5\nH1,scup,20,\nH1,scup,3,5\n",
    )
    assert reading.animals == 1 + 20 + 4


def test_without_a_column_of_numbers_each_row_is_one_animal(read):
    reading = read(
        ANIMALS.replace('n = "n", ', "").replace('blank_n = "one-if-length"', ""),
        catch__csv="haul,name,cm\nH1,scup,4\nH1,scup,\n",
    )
    assert reading.animals == 2


def test_a_length_that_is_none_is_refused_and_the_animal_still_counts(read):
    reading = read(ANIMALS, catch__csv="haul,name,n,cm\nH1,scup,1,0\nH1,scup,1,long\nH1,scup,1,5\n")
    assert reading.animals == 3
    assert rows_of(reading, "refused") == [2, 3]


ESTIMATES = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "catch.csv"
role = "catch"
columns = {haul = "haul", name = "name", n = "n", est = "estimated"}
"""


def test_estimated_says_how_many_of_the_number_were_judged(read):
    reading = read(ESTIMATES, catch__csv="haul,name,n,est\nH1,scup,100,60\nH1,cunner,7,\nH2,scup,4,4\n")
    assert reading.animals == 111
    assert reading.catches[0].judged.tolist() == [60, 0, 4]


def test_more_estimated_than_there_are_is_asked_and_counted_as_written(read):
    reading = read(ESTIMATES, catch__csv="haul,name,n,est\nH1,scup,3,60\n")
    assert reading.animals == 3
    assert reading.catches[0].judged.tolist() == [3]
    assert "3, 60, or 63 together" in said(reading, "asked")[0][3]


def test_blank_beside_an_estimate_is_the_estimate_only_where_the_map_says_so(read):
    sheet = "haul,name,n,est\nH1,scup,,60\n"
    assert read(ESTIMATES, catch__csv=sheet).animals == 0
    assert read(ESTIMATES + 'blank_n = "estimate"\n', catch__csv=sheet).animals == 60


def test_rows_of_one_haul_taxon_and_stage_are_added_and_equal_rows_asked(read):
    reading = read(LONG, catch__csv="haul,name,stage,n\nH1,scup,,4\nH1,scup,,5\nH1,scup,J,4\nH1,scup,,4\n")
    assert reading.by_taxon == {"scup": 17}
    (asked,) = said(reading, "asked")
    assert "rows 2, 5 are equal in every cell" in asked[3]
    assert any(
        "again in row 3 and 5; the numbers are added: 13" in message for *_, message in said(reading, "note")
    )


def test_a_total_row_is_asked_and_not_counted(read):
    reading = read(LONG, catch__csv="haul,name,stage,n\nH1,scup,,4\nH1,cunner,,5\nH1,Total,,9\nH2,scup,,1\n")
    assert reading.by_haul == {"H1": 9, "H2": 1}
    assert rows_of(reading, "asked") == [4]


def test_a_nameless_row_that_sums_its_haul_is_asked_and_not_counted(read):
    reading = read(LONG, catch__csv="haul,name,stage,n\nH1,scup,,4\nH1,cunner,,5\nH1,,,9\n")
    assert reading.animals == 9
    assert "is this a sum" in said(reading, "asked")[-1][3]


FATES = """
pack = "nwatlantic"
[[file]]
name = "catch.csv"
role = "catch"
columns = {haul = "haul", name = "name", n = "n", fate = "fate", dead = "dead"}
fates = {"released live" = "back", "to the aquarium" = "kept"}
"""


def test_fates_and_dead_are_read_and_unknown_words_asked(read):
    reading = read(
        FATES,
        catch__csv="haul,name,n,fate,dead\nH1,scup,4,released live,1\nH1,cunner,2,eaten,\n"
        "H1,eel,3,to the aquarium,5\nH1,tautog,2,back,yes\n",
    )
    catch = reading.catches[0]
    assert [catch.fate[i] for i in range(4)] == ["back", "net", "kept", "back"]
    assert catch.dead.tolist() == [1, 0, 3, 2]
    assert rows_of(reading, "asked") == [3]
    assert rows_of(reading, "altered") == [4]


def test_without_fates_and_default_it_is_said_that_all_stay_unaccounted(read):
    reading = read(LONG.replace('default_fate = "back"', ""), catch__csv="haul,name,stage,n\nH1,scup,,4\n")
    assert any("unaccounted" in message for *_, message in said(reading, "note"))


def test_every_column_is_named_or_ignored_and_every_named_one_is_there(read):
    with pytest.raises(Refusal) as caught:
        read(LONG, catch__csv="haul,name,Stage,n,weather\nH1,scup,,4,\n")
    found = {p.column: p.message for p in caught.value.problems}
    assert found["weather"] == "is neither named nor ignored in the map"
    assert found["Stage"] == "is neither named nor ignored in the map"
    assert found["stage"] == "the map names this column, and it isn't there; the nearest is 'Stage'"


def test_a_wrong_delimiter_is_said(read):
    with pytest.raises(Refusal, match="all was read as one column"):
        read(LONG + 'delimiter = ";"\n', catch__csv="haul,name,stage,n\nH1,scup,,4\n")


def test_files_outside_the_map_twice_or_of_one_name_are_refused(put, tmp_path):
    from haulbook.exchange.map_toml import read_sheet_map
    from haulbook.exchange.reading import read_sheets

    sheet = put("catch.csv", "haul,name,stage,n\n")
    (tmp_path / "more").mkdir()
    same = tmp_path / "more" / "catch.csv"
    same.write_text("haul,name,stage,n\n", encoding="utf-8")
    other = put("other.csv", "a,b\n")
    with pytest.raises(Refusal) as caught:
        read_sheets([sheet, sheet, same, other, tmp_path / "none.csv"], read_sheet_map(put("map.toml", LONG)))
    messages = [str(problem) for problem in caught.value.problems]
    for words in (
        "handed in twice",
        "has the name of another file",
        "is in no [[file]] of map.toml",
        "there is no file",
    ):
        assert any(words in message for message in messages), words


def test_people_are_never_read(read):
    reading = read(
        LONG.replace('n = "n"', 'n = "n", by = "person"'),
        catch__csv="haul,name,stage,n,by\nH1,scup,,4,somebody\n",
    )
    assert "by" not in reading.catches[0].table.columns


def test_a_workbook_of_months_with_a_sheet_of_all_is_not_counted_twice(put, tmp_path):
    import openpyxl

    from haulbook.exchange.map_toml import read_sheet_map
    from haulbook.exchange.reading import read_sheets

    book = openpyxl.Workbook()
    book.remove(book.active)
    months = {
        "May": [["H1", "scup", "", 4]],
        "June": [["H2", "scup", "", 5]],
        "July": [["H3", "cunner", "", 2]],
    }
    for name, caught in {**months, "all": [row for rows in months.values() for row in rows]}.items():
        sheet = book.create_sheet(name)
        for row in [["haul", "name", "stage", "n"], *caught]:
            sheet.append(row)
    path = tmp_path / "year.xlsx"
    book.save(path)
    text = LONG.replace('"catch.csv"', '"year.xlsx"')
    with pytest.raises(Refusal, match="has the sheets 'May', 'June', 'July', 'all'; say in the map which"):
        read_sheets([path], read_sheet_map(put("map.toml", text)))
    reading = read_sheets([path], read_sheet_map(put("map.toml", text + 'sheet = "*"\n')))
    assert reading.animals == 11
    assert (
        "Sheet 'all' holds 11 animals, as many as the other sheets together" in said(reading, "asked")[0][3]
    )


def test_headings_alone_are_a_reading_of_nothing(read):
    reading = read(LONG, catch__csv="haul,name,stage,n\n")
    assert (reading.rows, reading.animals, reading.by_haul, reading.by_taxon) == (0, 0, {}, {})


def test_short_and_long_rows_are_told_by_row(read):
    reading = read(LONG, catch__csv="haul,name,stage,n\nH1,scup,,4\nH1,eel\nH1,cunner,,2,and more\n")
    assert reading.animals == 6
    assert rows_of(reading, "altered") == [3]
    assert rows_of(reading, "refused") == [4]
    assert rows_of(reading, "asked") == [3]
