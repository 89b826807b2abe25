"""Sheets become entries: every animal one line, the same file the same bytes. Invented sheets."""

from __future__ import annotations

import hashlib
from collections import Counter

import pytest

from haulbook.custody.book import Book, merge
from haulbook.custody.fates import Fate
from haulbook.custody.ledger import account_of
from haulbook.exchange.answers import Answer
from haulbook.exchange.entries import entries_of
from haulbook.exchange.sheet_names import name_questions
from haulbook.problems import Refusal
from haulbook.taxa import load_pack

MAP = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "hauls.csv"
role = "hauls"
haul_from = ["day", "site", "set"]
date = {column = "day", form = "iso"}
time = {column = "time", form = "H:M", zone = "America/New_York"}
set_type = "rectangle_half_disc"
[file.columns]
site = "site"
set = "haul_no"
lat = "lat"
lon = "lon"
b = "b_m"
w = "w_m"
area = "area_m2"
t = "temperature_c"
ph = "ph"
score = "condition"
[[file]]
name = "catch.csv"
role = "catch"
haul_from = ["day", "site", "set"]
stages = {YOY = "young"}
[file.columns]
name = "name"
stage = "stage"
n = "n"
est = "estimated"
fate = "fate"
dead = "dead"
mm = "length_mm"
kind = "length_type"
note = "remark"
"""
HAULS = """day,site,set,lat,lon,b,w,area,t,ph,score,time
2027-05-14,cove,1,41.00004,-70,20,8,153.1,11.5,8.1,1,6:52
2027-05-14,cove,2,41,-70,,,,,,2,7:40
2027-05-14,point,1,41,-70,,,,,,,9:00
2027-05-15,cove,1&2,41,-70,,,,,,,
"""
CATCH = """day,site,set,name,stage,n,est,fate,dead,mm,kind,note
2027-05-14,cove,1,cunner,YOY,1,,,,41,total,
2027-05-14,cove,1,Menidia menidia,,600,588,,12,,,
2027-05-14,cove,1,wurble fish,,3,,,,,,
2027-05-14,cove,2,cunner,,4,,kept,,,,
2027-05-14,cove,2,comb jelly,,present,,,,,,
2027-05-14,point,1,cunner,,5,,,,,,two for the aquarium deceased
2027-05-15,cove,1&2,-,,,,,,,,
"""
AT = "2027-06-01T12:00:00+00:00"


@pytest.fixture
def pack():
    return load_pack("nwatlantic")


def moves(entries):
    return [line for entry in entries if entry.kind == "move" for line in entry.body["lines"]]


@pytest.fixture
def sheets(read):
    return lambda answers=(), **more: read(MAP, answers, **{"hauls__csv": HAULS, "catch__csv": CATCH, **more})


@pytest.fixture
def entries(sheets, pack):
    return entries_of(sheets(), pack, (), AT, "p1")


def test_every_animal_is_in_one_line_and_the_balance_holds(sheets, entries):
    assert sum(line["n"] for line in moves(entries)) == sheets().animals == 613
    account = account_of(Book.of(entries))
    assert sum(animals.n for animals in account.animals) == 613
    fates = Counter()
    for animals in account.animals:
        fates[animals.fate] += animals.n
    assert fates == {
        Fate.RELEASED_ALIVE: 597, Fate.DIED_RELEASED: 12, Fate.RETAINED_ALIVE: 4,
    }  # fmt: skip
    assert [taxon for _, taxon in account.present] == ["ctenophora"], "present, said without a number"


def test_reading_a_file_twice_gives_the_same_book_and_merging_it_doubles_nothing(sheets, entries, pack):
    again = entries_of(sheets(), pack, (), AT, "p1")
    assert [entry.as_json() for entry in again] == [entry.as_json() for entry in entries]
    assert merge(Book.of(entries), Book.of(again)) == Book.of(entries)


def test_each_file_is_a_device_with_a_chain_of_its_own(entries):
    devices = {f"file-{hashlib.sha256(text.encode()).hexdigest()[:12]}" for text in (HAULS, CATCH)}
    assert {entry.device for entry in entries} == devices
    for device in devices:
        own = [entry for entry in entries if entry.device == device]
        assert [entry.seq for entry in own] == list(range(1, len(own) + 1))
        assert [entry.prev for entry in own[1:]] == [entry.hash for entry in own[:-1]]
    assert len({entry.id for entry in entries}) == len(entries)
    assert all(entry.id[14] == "8" for entry in entries)  # version 8 (RFC 9562, section 5.8)


def test_hauls_get_their_outing_by_day_and_site_and_keep_the_sheets_key_as_label(entries):
    started = {entry.body["label"]: entry for entry in entries if entry.kind == "haul-started"}
    assert {label: entry.body["haul"] for label, entry in started.items()} == {
        "2027-05-14/cove/1": "2027-05-14-a/1",
        "2027-05-14/cove/2": "2027-05-14-a/2",
        "2027-05-14/point/1": "2027-05-14-b/1",
        "2027-05-15/cove/1&2": "2027-05-15-a/1",
    }
    first = started["2027-05-14/cove/1"]
    assert first.at == "2027-05-14T06:52:00-04:00"
    assert (first.body["lat"], first.body["set_type"]) == (41.00004, "rectangle_half_disc")
    assert started["2027-05-15/cove/1&2"].at == "2027-05-15"
    landed = {entry.body["haul"]: entry.body for entry in entries if entry.kind == "haul-landed"}
    assert landed["2027-05-14-a/1"]["w"] == {"m": 8, "basis": "measured"}
    assert landed["2027-05-14-a/1"]["area"] == {"m2": 153.1, "basis": "measured", "said_by": "the sheet"}
    assert [landed[key]["condition"] for key in sorted(landed)] == [1, 2, 9, 9]


def test_lines_carry_what_the_row_says(entries):
    cunner, *_ = moves(entries)
    assert cunner == {
        "basis": "counted", "from": "sea", "haul": "2027-05-14-a/1", "length_mm": 41, "length_type": "total", "n": 1,
        "said": "cunner, YOY", "stage": "young", "taxon": "cunner", "to": "back",
    }  # fmt: skip
    silversides = [line for line in moves(entries) if line["said"] == "Menidia menidia"]
    assert [(line["to"], line["basis"], line["n"]) for line in silversides] == [
        ("dead-back", "counted", 12), ("back", "judged", 588),
    ]  # fmt: skip


def test_a_name_outside_the_pack_stays_open_and_counted_and_is_asked(sheets, entries, pack):
    assert [line["n"] for line in moves(entries) if line["taxon"] == "?wurble fish"] == [3]
    question = next(q for q in name_questions(sheets(), pack) if q.key == "wurble fish")
    answers = [Answer("name", "wurble fish", question.rows, "tautog")]
    named = entries_of(sheets(answers), pack, answers, AT, "p1")
    assert [line["said"] for line in moves(named) if line["taxon"] == "tautog"] == ["wurble fish"]
    with pytest.raises(Refusal, match="there is no taxon 'tautogg'"):
        entries_of(sheets(), pack, [Answer("name", "wurble fish", (4,), "tautogg")], AT, "p1")
    with pytest.raises(Refusal, match="no name 'gone' stands in the sheets"):
        entries_of(sheets(), pack, [Answer("name", "gone", (4,), "tautog")], AT, "p1")


def test_kept_animals_leave_the_beach_in_a_bucket_to_keep(entries):
    places = [
        (entry.body["place"], entry.body["act"], entry.body.get("purpose"))
        for entry in entries
        if entry.kind == "place"
    ]
    assert places == [("bucket 1", "set-up", "keep"), ("bucket 1", "left-beach", None)]
    (kept,) = [line for line in moves(entries) if line["to"] == "bucket 1"]
    assert kept["n"] == 4


def test_a_confirmed_remark_sends_its_animals_where_it_says(sheets, pack):
    (question,) = [q for q in sheets().questions if q.about == "fate"]
    answers = [Answer("fate", question.key, question.rows, {"fate": "dead-kept", "n": 2})]
    lines = [
        line
        for line in moves(entries_of(sheets(answers), pack, answers, AT, "p1"))
        if line["haul"] == "2027-05-14-b/1"
    ]
    assert [(line["to"], line["n"]) for line in lines] == [("dead-kept", 2), ("back", 3)]


def test_without_fate_everything_stays_in_the_net(read, pack):
    reading = read(MAP.replace('default_fate = "back"', ""), hauls__csv=HAULS, catch__csv=CATCH)
    account = account_of(Book.of(entries_of(reading, pack, (), AT, "p1")))
    assert sum(a.n for a in account.animals if a.fate == Fate.UNACCOUNTED) == 597


def test_readings_present_and_empty_hauls_are_entries(entries):
    (reading,) = [entry.body for entry in entries if entry.kind == "reading"]
    assert reading == {
        "haul": "2027-05-14-a/1", "instrument": "not stated", "ph": 8.1, "scale": "not stated", "temperature_c": 11.5,
    }  # fmt: skip
    assert [entry.body["haul"] for entry in entries if entry.kind == "present"] == ["2027-05-14-a/2"]
    assert not [entry for entry in entries if entry.kind == "searched-and-none"]


def test_remarks_stay_in_the_sheet_unless_the_map_carries_them(read, pack):
    text = MAP.replace('score = "condition"', 'score = "condition"\nwhy = "remark"')
    hauls = HAULS.replace("score,time", "score,why,time").replace(",1,6:52", ",1,snagged on a rock,6:52").replace(
        ",2,7:40", ",2,,7:40").replace(",,9:00", ",,,9:00").replace("41,-70,,,,,,,\n", "41,-70,,,,,,,,\n")  # fmt: skip
    quiet = entries_of(read(text, hauls__csv=hauls, catch__csv=CATCH), pack, (), AT, "p1")
    assert not [entry for entry in quiet if entry.kind == "remark"]
    assert "snagged" not in str([entry.as_json() for entry in quiet])
    carried = read(
        text.replace('role = "hauls"', 'role = "hauls"\ncarry_remarks = true'),
        hauls__csv=hauls,
        catch__csv=CATCH,
    )
    said = [entry.body for entry in entries_of(carried, pack, (), AT, "p1") if entry.kind == "remark"]
    assert said == [{"haul": "2027-05-14-a/1", "text": "snagged on a rock"}]


def test_hauls_without_a_day_take_the_year_of_the_others_or_are_refused(sheets, read, pack):
    entries = entries_of(sheets(catch__csv=CATCH + "2027-05-16,cave,1,cunner,,2,,,,,,\n"), pack, (), AT, "p1")
    own = next(entry for entry in entries if entry.kind == "haul-started" and "cave" in entry.body["label"])
    assert (own.at, own.body["haul"]) == ("2027", "2027-a/1")
    dateless = read(
        MAP.replace('date = {column = "day", form = "iso"}', ""), hauls__csv=HAULS, catch__csv=CATCH
    )
    with pytest.raises(Refusal, match="has hauls without a day: '2027-05-14/cove/1'"):
        entries_of(dateless, pack, (), AT, "p1")


def test_the_sex_of_animals_is_carried_where_the_sheet_says_it(read, pack):
    text = MAP.replace('n = "n"\n', 'n = "n"\ns = "sex"\n')
    row = "2027-05-14,cove,1,cunner,,1,{},,,,,,\n"
    catch = "day,site,set,name,stage,n,s,est,fate,dead,mm,kind,note\n" + row.format("F") + row.format("?")
    lines = moves(entries_of(read(text, hauls__csv=HAULS, catch__csv=catch), pack, (), AT, "p1"))
    assert [line.get("sex") for line in lines] == ["female", None]
