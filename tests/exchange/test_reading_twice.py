"""What stands twice, or is a sum, never counts twice in silence. Invented sheets."""

from __future__ import annotations

from io import BytesIO

import openpyxl
import pytest

from haulbook.exchange.answers import Answer
from haulbook.exchange.map_toml import read_sheet_map
from haulbook.exchange.reading import read_sheets
from haulbook.problems import Refusal

MAP = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "*.csv"
role = "catch"
columns = {haul = "haul", name = "name", n = "n"}
"""
BOOK_MAP = MAP.replace('"*.csv"', '"season.xlsx"\nsheet = "*"')
MAY = [["H1", "cunner", 4], ["H2", "scup", 5]]
JUNE = [["H3", "cunner", 6]]


def workbook(**sheets):
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in [["haul", "name", "n"], *rows]:
            sheet.append(row)
    content = BytesIO()
    book.save(content)
    return content.getvalue()


def asked(reading, about):
    return [question for question in reading.questions if question.about == about]


def answer(question, to):
    return Answer(question.about, question.key, question.rows, to)


def test_a_file_handed_in_under_two_names_is_refused(put):
    paths = [put(name, "haul,name,n\nH1,scup,4\n") for name in ("a.csv", "b.csv")]
    with pytest.raises(Refusal, match=r"b\.csv: holds the same as a\.csv, byte for byte"):
        read_sheets(paths, read_sheet_map(put("map.toml", MAP)))


@pytest.mark.parametrize(
    ("to", "animals"), [(None, 9), ("once", 9), ("add", 18)], ids=["asked", "once", "add"]
)
def test_a_sheet_that_repeats_the_only_other_one_is_asked(read, to, animals):
    season = workbook(May=MAY, All=MAY)
    (question,) = asked(read(BOOK_MAP, season__xlsx=season), "repeat")
    assert (question.key, question.rows) == ("season.xlsx/All|season.xlsx/May", (2, 3))
    assert "all with the same number" in question.ask
    answers = [answer(question, to)] if to else []
    assert read(BOOK_MAP, answers, season__xlsx=season).animals == animals


def test_a_later_release_counts_its_new_rows_and_shows_what_was_corrected(read):
    first = "haul,name,n\nH1,cunner,4\nH2,scup,5\n"
    later = "haul,name,n\nH1,Cunner,4\nH2,scup,7\nH3,scup,1\n"
    reading = read(MAP, first__csv=first, later__csv=later)
    (question,) = asked(reading, "repeat")
    assert "1 with another number (haul 'H2', scup: 7 here, 5 there)" in question.ask
    assert reading.by_haul == {"H1": 4, "H2": 5, "H3": 1}


def test_a_sheet_of_all_months_is_asked_once_as_a_sum(read):
    reading = read(BOOK_MAP, season__xlsx=workbook(May=MAY, June=JUNE, All=[*MAY, *JUNE]))
    assert reading.animals == 15
    assert [question.about for question in reading.questions] == ["sum-row"]


@pytest.mark.parametrize("total", ["Total", "TOTALS", "Grand total"])
def test_rows_under_a_haul_called_total_are_no_haul_and_not_counted(read, total):
    sheet = f"haul,name,n\nH1,cunner,4\nH2,cunner,2\n{total},cunner,6\n{total},scup,0\n"
    reading = read(MAP, catch__csv=sheet)
    (question,) = asked(reading, "sum-row")
    assert (question.key, question.rows) == (f"catch.csv|{total}", (4, 5))
    assert (reading.animals, list(reading.by_haul)) == (6, ["H1", "H2"])
    animals = read(MAP, [answer(question, "animals")], catch__csv=sheet)
    assert (animals.animals, list(animals.by_haul)) == (12, ["H1", "H2", total])


def test_a_totals_row_below_a_wide_sheet_is_asked(read):
    columns = 'columns = {haul = "haul", name = "name", n = "n"}'
    wide = MAP.replace(columns, 'rows = "wide"\ntaxa = ["cunner"]\ncolumns = {haul = "haul"}')
    reading = read(wide, catch__csv="haul,cunner\nH1,4\nH2,2\nTotal,6\n")
    assert reading.animals == 6
    assert len(asked(reading, "sum-row")) == 1


def test_no_fish_beside_a_number_is_refused_and_not_counted_as_a_taxon(read):
    reading = read(MAP, catch__csv="haul,name,n\nH1,no fish,4\nH2,No fish,0\nH3,-,x\nH4,scup,1\n")
    refused = {p.row: p.message for p in reading.problems if p.kind == "refused"}
    assert refused[2].startswith("says 'no fish' and the number 4")
    assert refused[4].startswith("says '-' and that they were there")
    assert reading.by_taxon == {"scup": 1}
