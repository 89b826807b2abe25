"""What sheets would bring: the balance, the outings and the questions, before anything is entered.

Kachemak Bay 2023: kbnerr/nearshore-fish, MIT (copyright 2022 Chris Guo); the totals are those of the summary that went
to the agency, and of the tests of reading. Other sheets are invented.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from haulbook.custody.book import Book
from haulbook.custody.fates import Fate
from haulbook.custody.ledger import account_of
from haulbook.exchange.answers import Answer
from haulbook.exchange.entries import entries_of
from haulbook.office.balance import by_fate
from haulbook.office.bring_in import look_through, read_with
from haulbook.problems import Refusal
from haulbook.taxa import load_pack

ATLANTIC, PACIFIC = load_pack("nwatlantic"), load_pack("nepacific")
MAPS = Path(__file__).resolve().parents[1] / "real" / "maps"
SHEET = """\
Haul,Date,Site,Set,Species,Stage,Count,Fate
A1,2023-06-20,east point,1,cunner,,4,back
A1,2023-06-20,east point,1,tautog,,1,kept
A1,2023-06-20,east point,1,minnow,,2,back
A1,2023-06-20,east point,1,winter flounder,egg mass,3,back
A1,2023-06-20,east point,1,grubby,,,back
B1,2023-07-21,east point,1,tautog,,3,gone
"""
MAP = """\
pack = "nwatlantic"
[[file]]
name = "sheet.csv"
role = "catch"
date = {column = "Date"}
columns = {Haul = "haul", Site = "site", Set = "haul_no", Species = "name", Stage = "stage", Count = "n", Fate = "fate"}
"""
BLANK = Answer("blank-count", "sheet.csv|A1|grubby", (6,), 5)
NAME = Answer("name", "minnow", (4,), "sheepshead-minnow")


def look(tmp_path, answers=(), text=SHEET, sheet_map=MAP, pack=ATLANTIC):
    (tmp_path / "sheet.csv").write_text(text)
    (tmp_path / "map.toml").write_text(sheet_map)
    reading, fit, unfit = read_with([tmp_path / "sheet.csv"], tmp_path / "map.toml", answers, pack)
    return look_through(reading, pack, fit, unfit)


def test_a_real_season_balances_before_it_is_entered(shared_data):
    folder = shared_data / "kachemak-beach-seine" / "2023"
    files = [folder / f"2023_kbnerr_{part}.csv" for part in ("site", "fish", "env")]
    reading, fit, _ = read_with(files, MAPS / "kachemak-2023.toml", (), PACIFIC)
    found = look_through(reading, PACIFIC, fit)
    assert (found.n, found.rows, sum(len(line.hauls) for line in found.outings)) == (1987, 848, 11)
    assert (found.by_fate, found.accounted) == ({Fate.RELEASED_ALIVE: 1987}, 1987)
    with (folder / "2023_CF-23-073_Summary.csv").open(encoding="utf-8", newline="") as lines:
        filed = sum(int(row["Number"]) for row in csv.DictReader(lines))
    assert sum(line.n for line in found.taxa) == filed


def test_what_would_follow_is_what_the_book_then_says(tmp_path):
    found = look(tmp_path)
    reading, fit, _ = read_with([tmp_path / "sheet.csv"], tmp_path / "map.toml", (), ATLANTIC)
    book = Book.of(entries_of(reading, ATLANTIC, fit, None, "p1"))
    account = account_of(book, within=ATLANTIC.is_within)
    assert dict(found.by_fate) == by_fate(account.animals)
    assert {line.outing for line in found.outings} == {haul.outing for haul in account.hauls}
    assert found.other_units == {"egg_mass": 3}


def test_animals_without_a_fate_are_the_difference(tmp_path):
    found = look(tmp_path)
    assert (found.n, found.accounted, found.by_fate[Fate.UNACCOUNTED]) == (10, 7, 3)


def test_open_questions_stand_first_and_offer_at_most_four_animals(tmp_path):
    found = look(tmp_path)
    assert found.open_questions == 2
    name = next(one for one in found.asked if one.question.about == "name")
    assert ("sheepshead-minnow", "sheepshead minnow (Cyprinodon variegatus)") in name.options
    assert len(name.options) <= 4
    answered = look(tmp_path, [NAME])
    assert [one.answer for one in answered.asked] == [None, "sheepshead-minnow"]
    assert {line.name for line in answered.taxa} == {"cunner", "tautog", "sheepshead minnow"}


def test_an_answer_that_nothing_asks_for_is_not_used_and_stops_nothing(tmp_path):
    stale = Answer("blank-count", "sheet.csv|A9|grubby", (40,), 5)
    moved = Answer("blank-count", "sheet.csv|A1|grubby", (7,), 5)
    gone = Answer("name", "bergall", (3,), "cunner")
    found = look(tmp_path, [stale, BLANK, NAME, gone])
    assert set(found.unfit) == {stale, gone}
    assert (found.n, found.open_questions) == (15, 0)
    assert look(tmp_path, [moved]).unfit == (moved,)


def test_an_answer_that_can_not_be_is_not_used(tmp_path):
    odd = Answer("blank-count", "sheet.csv|A1|grubby", (6,), "plenty")
    no_taxon = Answer("name", "minnow", (4,), "minny")
    assert set(look(tmp_path, [odd, no_taxon]).unfit) == {odd, no_taxon}


@pytest.mark.parametrize(
    ("sheet_map", "words"),
    [
        (MAP.replace("nwatlantic", "nepacific"), "this station's book has those of nwatlantic"),
        (MAP.replace('"haul_no"', '"haul_nr"'), "the nearest is 'haul_no'"),
        (MAP.replace('Fate = "fate"', 'Fato = "fate"'), "the map names this column, and it isn't there"),
        (MAP.replace("sheet.csv", "other.csv"), "is in no"),
    ],
)
def test_what_stands_in_the_way_is_refused_in_words(tmp_path, sheet_map, words):
    with pytest.raises(Refusal, match=words):
        look(tmp_path, sheet_map=sheet_map)
