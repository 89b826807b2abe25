"""What a typed sheet says, and every sentence about what it does not. All sheets are invented."""

from __future__ import annotations

import pytest

from haulbook.demo.season import papers
from haulbook.exchange.station_toml import station_of
from haulbook.exchange.toml_keys import parse_toml
from haulbook.office.read_typing import read_typing
from haulbook.office.sheet_cells import PRESENT, read_how, read_lengths, read_number
from haulbook.office.typed_sheet import FATES, typed_sheet
from haulbook.taxa import load_pack

PACK = load_pack("nwatlantic")
STATION = station_of(parse_toml(papers()["station.toml"].decode(), "station.toml"), "station.toml")
GOOD = {
    "started": "5:40", "landed": "0552", "ended": "06.20", "site": "sallowhorn-cove", "net": "n1",
    "set_type": "straight", "w": "6", "w_basis": "measured", "d": "20", "d_basis": "assumed", "condition": "2",
    "why": "leadline over a stone",
}  # fmt: skip


def read(*lines, head=None, sums=None, columns=FATES, answers=None, day="2026-05-16"):
    sheet = typed_sheet(GOOD if head is None else head, columns, lines, sums or {})
    return read_typing(
        sheet, pack=PACK, station=STATION, day=day, zone="America/New_York", answers=answers or {}
    )


def told(found):
    return [(one.row, one.column, one.message) for one in found.problems]


def test_a_good_head_is_read_whole():
    found = read({"name": "cunner", "back": "4"})
    head = found.head
    assert found.problems == ()
    assert (head.started, head.at) == ("2026-05-16T05:40:00-04:00", "2026-05-16T05:52:00-04:00")
    assert head.ended == "2026-05-16T06:20:00-04:00"
    assert (head.measures["w"].m, head.measures["d"].basis, head.condition) == (6.0, "assumed", 2)
    assert head.area_m2 == pytest.approx(6 * 20)


def test_a_sheet_without_any_time_says_the_day_and_no_more():
    assert read({"name": "cunner", "back": "4"}, head={}).head.at == "2026-05-16"


def test_a_sheet_with_one_time_says_where_the_landing_was_taken_from():
    found = read({"name": "cunner", "back": "4"}, head={"started": "05:40"})
    assert found.head.at == "2026-05-16T05:40:00-04:00"
    assert told(found) == [
        (None, "head.landed", "no landing stands on the sheet; taken as the nearest time it has")
    ]
    assert found.to_mend == ()


def test_a_haul_across_midnight_ends_on_the_next_day():
    head = read(head={"started": "23:40", "landed": "23:55", "ended": "00:20"}).head
    assert (head.at, head.ended) == ("2026-05-16T23:55:00-04:00", "2026-05-17T00:20:00-04:00")


def test_clocks_that_run_backwards_are_asked():
    assert told(read(head={"started": "05:52", "landed": "05:40"})) == [
        (None, "head.landed", "05:40 is before 05:52, when the haul started")
    ]


@pytest.mark.parametrize(
    ("day", "words", "at"),
    [  # clocks of the US go forward on the second Sunday of March and back on the first of November (15 USC 260a)
        (
            "2026-03-08",
            "02:30 was left out by the clocks that day; taken as 03:30",
            "2026-03-08T03:30:00-04:00",
        ),
        (
            "2026-11-01",
            "01:30 came twice that day; taken as the first of the two",
            "2026-11-01T01:30:00-04:00",
        ),
    ],
)
def test_an_hour_that_the_clocks_leave_out_or_repeat_is_told(day, words, at):
    found = read(head={"landed": "02:30" if "03-08" in day else "01:30"}, day=day)
    assert told(found) == [(None, "head.landed", words)]
    assert found.head.at == at


def test_words_that_the_station_does_not_know_name_the_nearest():
    found = read(head={"site": "sallowhorn-cave", "net": "n9", "set_type": "strait", "instrument": "hyd2"})
    assert {one.column for one in found.to_mend} == {
        "head.site",
        "head.net",
        "head.set_type",
        "head.instrument",
    }
    assert "the nearest is 'sallowhorn-cove'" in found.to_mend[0].message


def test_a_width_that_the_net_cannot_have_is_asked_unless_the_sheet_says_why():
    wide = GOOD | {"w": "51", "why": ""}
    (problem,) = read(head=wide).to_mend
    assert (problem.column, "is wider than the" in problem.message) == ("head.set_type", True)
    assert read(head=wide | {"why": "two nets tied together"}).to_mend == ()


def test_a_length_that_is_missing_is_worth_knowing_and_stops_nothing():
    found = read(head=GOOD | {"d": ""})
    assert found.to_mend == ()
    assert "needs the" in found.problems[0].message
    assert found.head.area_m2 is None


@pytest.mark.parametrize(
    ("head", "column", "words"),
    [
        ({"landed": "25:10"}, "head.landed", "is no time of day; write it as 05:42"),
        ({"w": "8 paces"}, "head.w", "has words beside the number"),
        ({"w": "0"}, "head.w", "write a number above 0"),
        ({"condition": "6"}, "head.condition", "is no condition of a haul"),
        ({"keep_place": "the red one"}, "head.keep_place", "is no bucket or cooler; write bucket 1"),
        ({"lengths_are": "long"}, "head.lengths_are", "says not what was measured"),
        ({"temperature_c": "warm"}, "head.temperature_c", "is no number"),
    ],
)
def test_a_place_of_the_head_that_cannot_be_read_says_so(head, column, words):
    (problem,) = read(head=head).to_mend
    assert problem.column == column
    assert words in problem.message


@pytest.mark.parametrize(
    ("typed", "place"), [("1", "bucket 1"), ("Bucket 2", "bucket 2"), ("cooler1", "cooler 1")]
)
def test_a_bucket_is_named_by_its_number(typed, place):
    assert read(head={"keep_place": typed}).head.keep_place == place


def test_lines_are_read_by_column():
    found = read({"name": "winter flounder", "stage": "YOY", "back": "4", "dead-back": "1", "how": "E"})
    (line,) = found.lines
    assert (line.taxon, line.stage, line.how.basis) == ("winter-flounder", "young", "judged")
    assert line.counts == (("back", 4), ("dead-back", 1))
    assert (found.n, found.by_fate()) == (5, {"back": 4, "dead-back": 1})


@pytest.mark.parametrize(
    ("line", "column", "words"),
    [
        ({"back": "4"}, "name", "has no name"),
        ({"name": "cunner"}, "back", "write how many, 0 for none, or x for seen, not counted"),
        ({"name": "cunner", "back": "4-6"}, "back", "is a range, not a count"),
        ({"name": "cunner", "back": "~12"}, "back", "is an estimate"),
        ({"name": "cunner", "back": "lots"}, "back", "is no number"),
        ({"name": "cunner", "back": "4", "kept": "x"}, "back", "keep one of the two"),
        ({"name": "cunner", "back": "4", "stage": "middling"}, "stage", "is no life stage"),
        ({"name": "young cunner", "back": "4", "stage": "adult"}, "stage", "the name says young"),
        ({"name": "cunner", "back": "4", "how": "roughly"}, "how", "says not how it was counted"),
        ({"name": "cunner", "back": "590", "how": "12: 52 47 51"}, "back", "make 600"),
        (
            {"name": "cunner", "back": "600", "kept": "1", "how": "12: 52 47 51"},
            "how",
            "stand for one number, here 600",
        ),
        ({"name": "cunner", "back": "9", "how": "2: 1 2 3"}, "how", "counts 3 scoops of only 2"),
        ({"name": "cunner", "lost": "1"}, "remark", "say in the remark how"),
        (
            {"name": "cunner", "back": "1", "lengths": "40 41", "length_type": "T"},
            "lengths",
            "2 lengths of 1 animal",
        ),
        ({"name": "cunner", "back": "4", "lengths": "40,5 41"}, "lengths", "put a blank between lengths"),
        ({"name": "cunner", "back": "4", "lengths": "40 -3"}, "lengths", "is no length"),
        ({"name": "cunner", "back": "4", "lengths": "40"}, "length_type", "says not what was measured"),
    ],
)
def test_a_place_of_a_line_that_cannot_be_read_says_so(line, column, words):
    found = read({}, line)
    assert [(one.row, one.column) for one in found.to_mend] == [(2, column)]
    assert words in found.to_mend[0].message
    assert found.lines == ()


def test_a_nought_is_searched_and_none_and_a_mark_is_seen_not_counted():
    found = read({"name": "tautog", "back": "0"}, {"name": "comb jelly", "back": "x"})
    assert [(line.n, line.present) for line in found.lines] == [(0, False), (0, True)]


def test_a_name_that_is_not_certain_is_asked_once_with_at_most_four_choices():
    found = read(
        {"name": "minnow", "back": "4"}, {"name": "minnow", "kept": "1"}, {"name": "cunner", "back": "1"}
    )
    (asked,) = found.asked
    assert (asked.name, asked.lines) == ("minnow", (1, 2))
    assert 1 <= len(asked.candidates) <= 4
    assert [line.taxon for line in found.lines] == ["?minnow", "?minnow", "cunner"]


def test_an_answer_names_the_animal_or_leaves_it_as_written():
    line = {"name": "Minnow", "back": "4"}
    named = read(line, answers={"minnow": "sheepshead-minnow"})
    own = read(line, answers={"minnow": "own"})
    assert (named.asked, named.lines[0].taxon) == ((), "sheepshead-minnow")
    assert (own.asked, own.lines[0].taxon) == ((), "?Minnow")


def test_what_was_searched_for_and_not_found_is_ticked_or_written():
    found = read(head={"none:tautog": "x", "none:cunner": "", "none_of": "rock gunnel; minnow"})
    assert found.none_of == ("tautog", "rock-gunnel", "?minnow")
    assert [asked.name for asked in found.asked] == ["minnow"]


def test_the_sums_of_the_sheet_are_held_against_its_lines():
    lines = ({"name": "cunner", "back": "4", "kept": "1"}, {"name": "tautog", "back": "2"})
    assert read(*lines, sums={"back": "6", "kept": "1", "all": "7"}).sums_off == ()
    off = read(*lines, sums={"back": "7", "all": "8"}).sums_off
    assert [(one.column, one.written, one.made) for one in off] == [("back", 7, 6), ("all", 8, 7)]
    (problem,) = read(*lines, sums={"all": "8ish"}).to_mend
    assert problem.column == "sum.all"


@pytest.mark.parametrize("text", ["x", "X", "p", "+", "present", "seen"])
def test_marks_for_seen(text):
    assert read_number(text) == PRESENT


def test_scoops_are_a_ratio_estimate_rounded_up():
    """Cochran (1977), Sampling Techniques, ch. 2: all scoops times the mean of the counted; here 12 x 150 / 3 = 600."""
    how = read_how("a 12: 52 47 51")
    assert (how.basis, how.n, how.scoops["batch"]) == ("expanded", 600, "a")
    assert read_how("3: 1 1").n == 3
    assert read_how("7: 2 3").n == 18  # 17.5, rounded up


def test_lengths_stand_with_blanks_between():
    assert read_lengths("40 41.5; 42, 43") == (40.0, 41.5, 42.0, 43.0)
