"""Cells, quotes, clocks and days that are off are said, and never become numbers or zeros. Invented sheets."""

from __future__ import annotations

import pytest

from haulbook.exchange.answers import Answer
from haulbook.exchange.sheet_catch import State
from haulbook.problems import Refusal

MAP = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "catch.csv"
role = "catch"
columns = {haul = "haul", name = "name", n = "n", note = "remark"}
"""
ANIMALS = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "catch.csv"
role = "catch"
rows = "animals"
columns = {haul = "haul", name = "name", mm = "length_mm", more = "n_unmeasured"}
"""
HAULS = """
pack = "nwatlantic"
[[file]]
name = "hauls.csv"
role = "hauls"
columns = {haul = "haul"}
date = {column = "day", form = "iso"}
time = {column = "time", form = "H:M", zone = "America/New_York"}
"""


def told(reading, kind):
    return [(p.row, p.message) for p in reading.problems if p.kind == kind]


@pytest.mark.parametrize(
    ("rows", "line"),
    [
        ('H1,scup,1,"a note\nH2,scup,2,\nH3,scup,50,\n', 2),
        ('H1,scup,1,\nH2,scup,2,"a "b" c"\nH3,scup,50,\n', 3),
    ],
    ids=["never closed", "alone within quotes"],
)
def test_an_odd_quote_never_swallows_the_rows_below_it(read, rows, line):
    with pytest.raises(Refusal, match=rf"catch\.csv, row {line}: can't be read from line {line} on"):
        read(MAP, catch__csv=f"haul,name,n,note\n{rows}")


def test_inch_marks_and_doubled_quotes_are_read(read):
    assert read(MAP, catch__csv='haul,name,n,note\nH1,scup,1,10" rope\nH2,scup,2,"a ""b"" c"\n').animals == 3


def test_an_unmeasured_number_that_cannot_be_read_spoils_its_row_and_a_blank_one_is_asked(read):
    rows = "H1,scup,40,lots\nH1,eel,,5-10\nH2,eel,,\nH2,scup,33,2\nH3,scup,31,\n"
    reading = read(ANIMALS, catch__csv=f"haul,name,mm,more\n{rows}")
    (catch,) = reading.catches
    assert [State(state) for state in catch.state] == [
        State.OPEN, State.OPEN, State.OPEN, State.COUNTED, State.COUNTED,
    ]  # fmt: skip
    assert catch.n.tolist() == [0, 0, 0, 3, 1]
    assert [row for row, _ in told(reading, "refused")] == [2, 3]
    assert [row for row, _ in told(reading, "asked")] == [4]


def test_times_that_a_change_of_clocks_leaves_out_or_repeats_are_said(read):
    """Clocks went forward on 13 March and back on 6 November 2016 (IANA time zone database)."""
    reading = read(
        HAULS, hauls__csv="haul,day,time\nA,2016-03-13,2:30\nB,2016-11-06,1:30\nC,2016-11-06,3:30\n"
    )
    assert told(reading, "altered") == [
        (2, "haul 'A': clocks in America/New_York had no 02:30 that day; taken as 03:30"),
        (3, "haul 'B': 01:30 came twice that day in America/New_York; taken as the first of the two"),
    ]


def test_a_haul_without_a_day_says_which_year_it_is_lent_and_is_asked_where_there_are_several(read):
    one = read(HAULS, hauls__csv="haul,day,time\nA,2016-03-14,2:30\nB,,\n")
    assert told(one, "altered") == [
        (3, "haul 'B' has no day; a book says only 2016, the year of all the others")
    ]
    several = read(HAULS, hauls__csv="haul,day,time\nA,2016-03-14,2:30\nB,,\nC,2017-03-14,2:30\n")
    assert told(several, "asked") == [
        (3, "haul 'B' has no day, and the others are of several years; say its year")
    ]


def test_headings_without_rows_are_said(read):
    assert (None, "has headings and no rows") in told(read(MAP, catch__csv="haul,name,n,note\n"), "note")


def test_a_hundred_columns_that_nobody_named_are_one_readable_report(read):
    more = [f"x{i}" for i in range(100)]
    with pytest.raises(Refusal, match="88 more columns are neither named nor ignored") as refused:
        read(MAP, catch__csv=f"haul,name,n,note,{','.join(more)}\nH1,scup,1,{',' * 100}\n")
    assert len(refused.value.problems) == 13


def test_what_is_told_of_a_remark_never_quotes_it_but_the_question_does(read):
    rows = "H1,scup,1,One for Quillon.\nH2,eel,,Quillon saw them\n"
    numbered = "".join(f"H3,cunner,{i},Quillon {i}\n" for i in range(1, 5))
    reading = read(MAP, catch__csv=f"haul,name,n,note\n{rows}{numbered}")
    assert {question.about for question in reading.questions} == {"fate", "blank-count"}
    assert all("Quillon" in question.ask for question in reading.questions)
    assert not [p for p in reading.problems if "Quillon" in p.message]
    assert "A remark stands beside it" in dict(told(reading, "asked"))[3]


def test_a_blank_number_beside_dead_ones_is_asked_and_nothing_is_altered(read):
    dead, catch = MAP.replace('note = "remark"', 'note = "dead"'), "haul,name,n,note\nH1,scup,,1\n"
    reading = read(dead, catch__csv=catch)
    assert len(told(reading, "asked")) == 1
    assert not told(reading, "altered")
    (question,) = reading.questions
    answered = read(dead, [Answer(question.about, question.key, question.rows, 3)], catch__csv=catch)
    assert (answered.animals, answered.catches[0].dead.tolist()) == (3, [1])


def test_a_set_type_is_read_in_any_spelling_and_an_unknown_one_is_refused(read):
    typed = HAULS.replace('{haul = "haul"}', '{haul = "haul", set = "set_type"}')
    rows = "A,2016-05-13,6:00,Half ellipse\nB,2016-05-13,7:00,straigt\nC,2016-05-13,8:00,\n"
    reading = read(typed, hauls__csv=f"haul,day,time,set\n{rows}")
    assert [haul.set_type for haul in reading.hauls] == ["half_ellipse", None, None]
    assert told(reading, "refused") == [(3, "there is no set type 'straigt'; the nearest is 'straight'")]
