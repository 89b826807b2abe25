"""A settled sheet becomes lines that the book takes, once, and says nothing twice. All sheets are invented."""

from __future__ import annotations

import pytest

from haulbook.custody.book import Book
from haulbook.custody.discrepancies import discrepancies
from haulbook.custody.entry import Draft, chain, uuid8
from haulbook.custody.fates import Fate
from haulbook.custody.ledger import account_of
from haulbook.demo.season import papers
from haulbook.exchange.station_toml import station_of
from haulbook.exchange.toml_keys import parse_toml
from haulbook.office.balance import by_fate
from haulbook.office.enter_sheet import enter_sheet, haul_in_book
from haulbook.office.read_typing import read_typing
from haulbook.office.typed_sheet import FATES, typed_sheet
from haulbook.problems import Refusal
from haulbook.taxa import load_pack

PACK = load_pack("nwatlantic")
STATION = station_of(parse_toml(papers()["station.toml"].decode(), "station.toml"), "station.toml")
OUTING, HAUL = "2026-05-16-a", "2026-05-16-a/1"
OPENING = {
    "plan": None,
    "digest": None,
    "pack": PACK.key,
    "version": PACK.version,
    "permits": [],
    "looked_for": [],
}
HEAD = {
    "started": "05:40", "landed": "05:52", "ended": "06:20", "site": "sallowhorn-cove", "net": "n1",
    "set_type": "straight", "w": "6", "d": "20", "condition": "1", "temperature_c": "14.5", "salinity": "30",
    "instrument": "hyd1", "left_beach": "08:10", "remark": "wind from the south",
}  # fmt: skip
LINES = (
    {
        "name": "Atlantic silverside",
        "back": "38",
        "dead-back": "4",
        "lengths": "71 80 66",
        "length_type": "T",
    },
    {"name": "winter flounder", "stage": "yoy", "kept": "1", "lengths": "44", "length_type": "T"},
    {"name": "cunner?", "back": "2", "how": "E", "remark": "fins torn"},
    {"name": "mummichog", "back": "600", "how": "12: 52 47 51"},
    {"name": "comb jelly", "back": "x"},
    {"name": "tautog", "back": "0"},
    {"name": "green crab", "lost": "1", "remark": "jumped out"},
)


def read(lines=LINES, head=None, sums=None, answers=None):
    sheet = typed_sheet(HEAD if head is None else head, FATES, lines, sums or {})
    return read_typing(
        sheet, pack=PACK, station=STATION, day="2026-05-16", zone="America/New_York", answers=answers or {}
    )


def written(found, book=None, **more):
    return enter_sheet(found, outing=OUTING, haul=HAUL, book=book or Book(), opening=OPENING, **more)


def entered(lines, before=()):
    drafts = [
        Draft(
            uuid8(f"{len(before)} {i}".encode()),
            one.at,
            "2026-05-17T09:00:00-04:00",
            "p1",
            OUTING,
            one.kind,
            one.body,
        )
        for i, one in enumerate(lines)
    ]
    return (*before, *chain(drafts, "desk", before[-1] if before else None))


def test_a_sheet_becomes_a_haul_whose_every_animal_is_accounted_for():
    account = account_of(Book.of(entered(written(read()))), within=PACK.is_within)
    assert by_fate(account.animals) == {
        Fate.RELEASED_ALIVE: 640,
        Fate.RETAINED_ALIVE: 1,
        Fate.DIED_RELEASED: 4,
        Fate.FATE_UNKNOWN: 1,
    }
    (haul,) = account.hauls
    assert (haul.key, haul.site, haul.net, haul.condition) == (HAUL, "sallowhorn-cove", "n1", 1)
    assert (haul.started.text, haul.landed.text, haul.ended.text) == tuple(
        f"2026-05-16T{clock}:00-04:00" for clock in ("05:40", "05:52", "06:20")
    )
    assert {letter: one.m for letter, one in haul.measures.items()} == {"w": 6, "d": 20}
    assert haul.remarks == ("cunner?: fins torn", "wind from the south")


def test_every_line_says_how_it_was_written_and_counted():
    moves = [line for one in written(read()) if one.kind == "move" for line in one.body["lines"]]
    by_name = {line["said"]: line for line in moves}
    assert by_name["winter flounder"]["to"] == "bucket 1"
    assert (by_name["winter flounder"]["length_mm"], by_name["winter flounder"]["stage"]) == (44.0, "young")
    assert (by_name["cunner?"]["basis"], by_name["cunner?"]["doubt"]) == ("judged", "name")
    assert by_name["mummichog"]["subsample"] == {"method": "scoops", "of": 12, "counted": [52, 47, 51]}
    assert by_name["green crab"]["cause"] == "jumped out"


def test_seen_not_counted_noughts_lengths_and_readings_have_lines_of_their_own():
    lines = written(read(head=HEAD | {"none:rock-gunnel": "x"}))
    bodies = {kind: [one.body for one in lines if one.kind == kind] for kind in {one.kind for one in lines}}
    assert bodies["present"] == [{"haul": HAUL, "taxon": PACK_KEY}]
    assert [body["taxa"] for body in bodies["searched-and-none"]] == [["tautog"], ["rock-gunnel"]]
    assert [body["mm"] for body in bodies["lengths"]] == [[71.0, 80.0, 66.0]]
    assert bodies["reading"] == [
        {"haul": HAUL, "instrument": "hyd1", "temperature_c": 14.5, "salinity": 30.0}
    ]


PACK_KEY = read(({"name": "comb jelly", "back": "x"},)).lines[0].taxon


def test_a_bucket_that_nobody_said_left_the_beach_still_holds_the_kept():
    account = account_of(
        Book.of(entered(written(read(head=HEAD | {"left_beach": ""})))), within=PACK.is_within
    )
    kept = [lot for lot in account.animals if lot.place == "bucket 1"]
    assert [(lot.n, lot.fated) for lot in kept] == [(1, None)]


def test_the_plans_bucket_is_used_where_the_sheet_names_none_and_the_sheets_own_first():
    def places(head, **more):
        return [one.body["place"] for one in written(read(head=head), **more) if one.kind == "place"]

    assert places(HEAD, keep="bucket 3") == ["bucket 3", "bucket 3"]
    assert places(HEAD | {"keep_place": "2"}, keep="bucket 3") == ["bucket 2", "bucket 2"]


def test_what_the_book_has_of_the_haul_is_not_written_again():
    first = written(read((LINES[1],)))
    book = Book.of(before := entered(first))
    second = written(read(({"name": "cunner", "kept": "2", "back": "1"},)), book)
    assert [one.kind for one in second] == ["reading", "move", "remark"]
    both = Book.of(entered(second, before))
    assert not discrepancies(both, PACK.is_within)
    assert haul_in_book(book, HAUL).n == 1
    assert haul_in_book(both, HAUL).devices == ("desk",)
    assert haul_in_book(book, HAUL).told["haul-landed"] == "2026-05-16T05:52:00-04:00"
    assert haul_in_book(book, "2026-05-16-a/2").devices == ()


def test_struck_lines_do_not_count_as_what_the_book_has():
    before = entered(written(read((LINES[1],))))
    strike = Draft(
        uuid8(b"strike"), "2026-05-17T10:00:00-04:00", "2026-05-17T10:00:00-04:00", "p1", OUTING, "strike",
        {"entries": [entry.id for entry in before], "reason": "another outing's sheet"},
    )  # fmt: skip
    book = Book.of((*before, *chain([strike], "desk", before[-1])))
    assert haul_in_book(book, HAUL) == type(haul_in_book(book, HAUL))((), 0, {})
    assert written(read((LINES[1],)), book)[0].kind == "outing-opened"


def test_nothing_is_entered_while_anything_has_to_be_mended_or_answered():
    found = read(({"name": "cunner", "back": "4-6"}, {"name": "minnow", "back": "1"}), sums={"all": "9"})
    with pytest.raises(Refusal) as refused:
        written(found)
    words = [problem.message for problem in refused.value.problems]
    assert "is a range, not a count" in words[0]
    assert words[1:] == [
        "'minnow' is not certain; say which animal it is, or that it stays as written",
        "the sheet's own sum of all animals is 9, its lines make 1",
    ]


def test_a_sheet_that_was_added_up_wrongly_can_be_entered_and_the_book_says_so():
    found = read(({"name": "cunner", "back": "4"},), sums={"back": "5"})
    texts = [one.body["text"] for one in written(found, sums_stand=True) if one.kind == "remark"]
    assert texts[-1] == "the sheet's own sum of back is 5, its lines make 4; looked at when it was typed in"


def test_a_sheet_with_only_a_day_is_a_haul_of_that_day():
    found = read(({"name": "cunner", "back": "4", "kept": "1"},), head={})
    account = account_of(Book.of(entered(written(found))), within=PACK.is_within)
    assert account.hauls[0].landed.text == "2026-05-16"
    assert (account.hauls[0].condition, sum(lot.n for lot in account.animals)) == (9, 5)
