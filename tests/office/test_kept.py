"""The holding room in the office: what tanks hold and wait for, what is written, what is off. Books are invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, chain, uuid8
from haulbook.custody.fates import Basis
from haulbook.custody.ledger import Holding, account_of
from haulbook.custody.reading_tanks import Held, read_tanks
from haulbook.custody.when import When
from haulbook.demo.season import papers
from haulbook.exchange.permit_toml import permit_of
from haulbook.exchange.station_toml import Instrument, Station, Tank
from haulbook.exchange.toml_keys import parse_toml
from haulbook.office.kept import held_under, may_go_back, tank_cards, unsettled_places
from haulbook.office.kept_company import apart, ration_now
from haulbook.office.kept_lines import Lot, arriving, carrying, leaving, on_the_beach, renaming
from haulbook.office.kept_settle import offs_of, settled_by
from haulbook.office.kept_story import parts_of, story
from haulbook.office.kept_water import water_now
from haulbook.office.kept_words import diary_words
from haulbook.permit.detail import HoldingRule
from haulbook.problems import Refusal
from haulbook.taxa import load_pack

PACK = load_pack("nwatlantic")
ZONE = ZoneInfo("America/New_York")
OUTING = "2027-05-14-a"
STATION = Station(
    name="invented", pack="nwatlantic", people={}, nets={}, sites={},
    instruments={
        "oxy0": Instrument("oxy0", "oxygen meter", salinity_setting=0.0),
        "hyd1": Instrument("hyd1", "hydrometer", calibration="60/60F"),
        "hyd?": Instrument("hyd?", "hydrometer"),
    },
    tanks={"q1": Tank("q1", 200.0, quarantine=True), "show": Tank("show", 900.0)},
)  # fmt: skip


class Room:
    """Writes lines of an invented holding room."""

    def __init__(self):
        self.drafts = []

    def write(self, kind, at, body, outing=None, key=None):
        key = key or uuid8(f"{len(self.drafts)}".encode())
        self.drafts.append(Draft(key, at, at, "p2", outing, kind, body))
        return key

    def haul(self, number, at, **kept):
        haul = f"{OUTING}/{number}"
        self.write("haul-landed", at, {"haul": haul, "condition": 1}, OUTING)
        for taxon, n in kept.items():
            line = {"taxon": taxon.replace("_", "-"), "n": n, "from": "sea", "to": "bucket 1", "haul": haul}
            self.write("move", at, {"lines": [line]}, OUTING)
        return haul

    def move(self, at, taxon, n, start, end, haul, outing=None, **more):
        line = {"taxon": taxon, "n": n, "from": start, "to": end, "haul": haul, **more}
        return self.write("move", at, {"lines": [line]}, outing)

    @property
    def book(self):
        return Book.of(chain(self.drafts, "desk", None))


@pytest.fixture
def room():
    """Two hauls of cunner, five and three, carried into q1 on 14 May at ten."""
    made = Room()
    made.write(
        "place",
        "2027-05-14T05:00:00-04:00",
        {"place": "bucket 1", "act": "set-up", "purpose": "keep"},
        OUTING,
    )
    for number, n in ((1, 5), (2, 3)):
        haul = made.haul(number, f"2027-05-14T0{5 + number}:00:00-04:00", cunner=n)
        made.move("2027-05-14T10:00:00-04:00", "cunner", n, "bucket 1", "tank q1", haul, OUTING)
    return made


def held(room):
    return read_tanks(room.book.entries).holdings


def cards(room, now="2027-05-16T12:00:00-04:00"):
    reading = read_tanks(room.book.entries)
    found = tank_cards(reading, room.book, STATION, PACK, datetime.fromisoformat(now).astimezone(ZONE))
    return {card.key: card for card in found}


CUNNER = Lot("tank q1", "cunner", None)


def test_a_tank_says_what_it_holds_since_when_and_of_which_hauls(room):
    card = cards(room)["q1"]
    (kind,) = card.kinds
    assert (kind.name, kind.n, card.n) == ("cunner", 8, 8)
    assert kind.hauls == ((f"{OUTING}/2", 3), (f"{OUTING}/1", 5))
    assert kind.outings == (OUTING,)
    assert kind.since.text == "2027-05-14T10:00:00-04:00"
    assert cards(room)["show"].kinds == ()


def test_quarantine_runs_thirty_days_from_the_last_arrival_and_begins_anew(room):
    # 30 days: what 95 % of 42 zoos and aquaria hold or exceed, Hadfield & Clayton 2011, J. Zoo Wildl. Med. 42:641-650
    assert cards(room)["q1"].quarantine.until.isoformat() == "2027-06-13T10:00:00-04:00"
    key = uuid8(b"stock")
    room.write(
        "move", "2027-05-15T10:00:00-04:00", arriving(key, "tank q1", "cunner", None, 1, "brought"), key=key
    )
    assert cards(room)["q1"].quarantine.until.isoformat() == "2027-06-14T10:00:00-04:00"
    assert cards(room)["show"].quarantine is None


def test_looks_are_due_at_24_48_and_72_hours_and_one_that_was_done_is_not_asked_again(room):
    # 48 to 72 h: when trouble after a transfer shows, Guidelines for the Use of Fishes in Research (2014), 7.3
    room.write("care", "2027-05-15T09:30:00-04:00", {"place": "tank q1", "act": "checked"})
    checks = cards(room, "2027-05-17T00:00:00-04:00")["q1"].checks
    assert [(one.after_h, one.done is not None, one.late) for one in checks] == [
        (24, True, False), (48, False, True), (72, False, False),
    ]  # fmt: skip


def test_food_is_told_kind_by_kind_and_three_refusals_are_passed_on(room):
    for day in (15, 16, 17):
        body = {"place": "tank q1", "act": "refused", "taxon": "cunner"}
        room.write("care", f"2027-05-{day}T18:00:00-04:00", body)
    room.write("care", "2027-05-17T18:00:00-04:00", {"place": "tank q1", "act": "fed", "g": 3})
    card = cards(room, "2027-05-18T08:00:00-04:00")["q1"]
    assert card.kinds[0].ate is False
    assert card.kinds[0].fed == card.fed_last == datetime.fromisoformat("2027-05-17T18:00:00-04:00")
    assert [(one.days, one.escalate) for one in card.refusals] == [(3, True)]


# -- what is written


def test_what_leaves_takes_the_last_landed_haul_and_says_that_it_was_assumed(room):
    body = leaving(held(room), CUNNER, 4, "dead-kept", "found on the bottom")
    assert [(line["haul"][-1], line["n"], line.get("haul_assumed")) for line in body["lines"]] == [
        ("2", 3, True), ("1", 1, True),
    ]  # fmt: skip
    assert {line["cause"] for line in body["lines"]} == {"found on the bottom"}


def test_a_known_haul_is_taken_and_nothing_is_assumed(room):
    (line,) = leaving(held(room), CUNNER, 1, "dead-kept", haul=f"{OUTING}/1")["lines"]
    assert line["haul"] == f"{OUTING}/1"
    assert "haul_assumed" not in line


def test_nothing_is_assumed_where_all_go(room):
    lines = leaving(held(room), CUNNER, 8, "tank show")["lines"]
    assert sum(line["n"] for line in lines) == 8
    assert not any("haul_assumed" in line for line in lines)


@pytest.mark.parametrize(
    ("n", "to", "cause", "words"),
    [
        (9, "dead-kept", "", "tank q1 holds 8 of these by the book; 9 can't leave it"),
        (0, "dead-kept", "", "Write 1 or more"),
        (1, "tank q1", "", "they are in tank q1 already"),
        (1, "lost", "", "missing animals need a cause"),
        (1, "given", "", "to whom"),
        (1, "killed-kept", "", "a veterinarian's decision"),
    ],
)
def test_what_cannot_leave_is_refused_in_words(room, n, to, cause, words):
    with pytest.raises(Refusal, match=words):
        leaving(held(room), CUNNER, n, to, cause or None)


@given(st.lists(st.integers(1, 30), min_size=1, max_size=5), st.data())
@settings(max_examples=40, deadline=None)
def test_what_leaves_adds_up_and_no_haul_gives_more_than_it_has(numbers, data):
    at = When("2027-05-14T10:00:00-04:00")
    there = [
        Held("tank q1", "cunner", None, "individual", f"{OUTING}/{i}", n, at, at)
        for i, n in enumerate(numbers, 1)
    ]
    n = data.draw(st.integers(1, sum(numbers)))
    lines = leaving(there, CUNNER, n, "tank show")["lines"]
    assert sum(line["n"] for line in lines) == n
    by_haul = {one.haul: one.n for one in there}
    assert all(line["n"] <= by_haul[line["haul"]] for line in lines)


def test_a_better_name_needs_its_reason_and_keeps_the_haul(room):
    with pytest.raises(Refusal, match="say what showed it"):
        renaming(held(room), CUNNER, 1, ("tautog", None), "")
    with pytest.raises(Refusal, match="have that name already"):
        renaming(held(room), CUNNER, 1, ("cunner", None), "looked again")
    room.write(
        "redetermination", "2027-06-01T10:00:00-04:00",
        renaming(held(room), CUNNER, 2, ("tautog", None), "thick lips", f"{OUTING}/1"),
    )  # fmt: skip
    assert {(one.taxon, one.haul[-1]): one.n for one in held(room)} == {
        ("cunner", "1"): 3, ("cunner", "2"): 3, ("tautog", "1"): 2,
    }  # fmt: skip


def test_what_stands_at_the_beach_is_offered_and_carried_whole_or_in_part(room):
    haul = room.haul(3, "2027-05-14T09:00:00-04:00", cunner=4, grubby=2)
    rows = on_the_beach(account_of(room.book))
    assert [(row.outing, row.place, row.taxon, row.n) for row in rows] == [
        (OUTING, "bucket 1", "cunner", 4), (OUTING, "bucket 1", "grubby", 2),
    ]  # fmt: skip
    assert sum(line["n"] for line in carrying(rows, None, "tank q1")["lines"]) == 6
    (line,) = carrying(rows[:1], 3, "tank q1")["lines"]
    assert line == {"taxon": "cunner", "n": 3, "from": "bucket 1", "to": "tank q1", "haul": haul}
    with pytest.raises(Refusal, match="several kinds"):
        carrying(rows, 3, "tank q1")
    with pytest.raises(Refusal, match="holds 4 of these"):
        carrying(rows[:1], 5, "tank q1")
    assert Holding(OUTING, "bucket 1", "grubby", None, "individual", haul, 2) in rows


# -- what is off


def off_of(room):
    reading = read_tanks(room.book.entries)
    places = unsettled_places(reading, room.book)
    counts = {entry.id: entry for entry in room.book.entries if entry.kind == "counted-again"}
    open_ones = [one for one in reading.discrepancies if one.settled is None]
    return offs_of(open_ones, places, counts, PACK)


@pytest.mark.parametrize(
    ("found", "ways"),
    [
        (6, ("lost", "dead-kept", "dead-back", "recount", "strike", "stand")),
        (9, ("born", "brought", "recount", "strike", "stand")),
    ],
)
def test_a_count_that_differs_is_settled_in_every_way_that_is_offered(room, found, ways):
    room.write(
        "counted-again", "2027-05-20T10:00:00-04:00", {"place": "tank q1", "taxon": "cunner", "n": found}
    )
    (off,) = off_of(room)
    assert off.ways == ways
    assert f"the book says 8 cunner, p2 counted {found}" in off.words
    assert cards(room)["q1"].unsettled
    for way in ways:
        again = Room()
        again.drafts = list(room.drafts)
        first = uuid8(way.encode())
        lines = settled_by(off, way, "seen on the camera", held(room), first, n=8)
        for i, one in enumerate(lines):
            key = first if i == 0 else uuid8(f"{way} {i}".encode())
            again.write(one.kind, one.at or "2027-05-21T10:00:00-04:00", dict(one.body), key=key)
        assert off_of(again) == (), way


def test_settling_needs_its_reason_and_a_second_count_its_number(room):
    room.write("counted-again", "2027-05-20T10:00:00-04:00", {"place": "tank q1", "taxon": "cunner", "n": 6})
    (off,) = off_of(room)
    with pytest.raises(Refusal, match="say why"):
        settled_by(off, "lost", "", held(room), uuid8(b"x"))
    with pytest.raises(Refusal, match="how many were there"):
        settled_by(off, "recount", "counted by two", held(room), uuid8(b"x"))
    with pytest.raises(Refusal, match="can't be settled so"):
        settled_by(off, "born", "eggs", held(room), uuid8(b"x"))


def test_more_left_than_came_is_settled_by_what_was_never_written_down(room):
    key = room.move("2027-05-20T10:00:00-04:00", "grubby", 2, "tank q1", "dead-kept", f"{OUTING}/1")
    assert key
    off = next(one for one in off_of(room) if one.taxon == "grubby")
    assert (off.n, off.ways) == (-2, ("brought", "stand"))
    (line,) = settled_by(off, "stand", "the haul's sheet is lost", held(room), uuid8(b"y"))
    assert line.body["key"] == off.key


# -- water


def reading(instrument="oxy", **read):
    room = Room()
    room.write("reading", "2027-05-20T08:00:00-04:00", {"place": "tank q1", "instrument": instrument, **read})
    return water_now(room.book.entries, STATION.instruments)


def words_of(water, start):
    return next((one.weight, one.words) for one in water.judged if one.words.startswith(start))


@pytest.mark.parametrize(
    ("shown", "weight", "percent"),
    # 8.924 mg/L is saturation at 12 °C, salinity 30: Benson & Krause 1984 as in Standard Methods, evaluated
    [
        (8.924, "", "100 %"),
        (8.0, "", "90 %"),
        (7.0, "near", "78 %"),
        (5.2, "stop", "58 %"),
        (4.9, "stop", "55 %"),
    ],
)
def test_oxygen_is_judged_by_its_share_of_saturation(shown, weight, percent):
    found, words = words_of(reading(temperature_c=12, salinity=30, oxygen_mg_l=shown), "oxygen")
    assert (found, percent in words) == (weight, True), words


def test_a_meter_that_was_set_to_fresh_water_is_read_right():
    # 10.777 mg/L is saturation of fresh water at 12 °C, 8.924 that of salinity 30 (same source)
    found, words = words_of(reading("oxy0", temperature_c=12, salinity=30, oxygen_mg_l=10.777), "oxygen 8.9")
    assert (found, "100 %" in words, "the meter showed 10.777, set to salinity 0" in words) == (
        "",
        True,
        True,
    )


@pytest.mark.parametrize(
    ("ph", "tan", "share", "weight"),
    # share at 15 °C, salinity 34: Bower & Bidwell 1978, table; limits: 0.035 WAC 173-201A-240, 0.02 a hatchery
    [(7.5, 1.0, 0.00665, ""), (8.0, 1.0, 0.0207, "near"), (8.5, 1.0, 0.0628, "stop")],
)
def test_toxic_ammonia_follows_the_published_share(ph, tan, share, weight):
    water = reading(temperature_c=15, salinity=34, ph=ph, scale="NBS", tan_mg_n_l=tan)
    assert water.nh3_mg_l == pytest.approx(tan * share * 17.0305 / 14.0067, rel=0.01)
    assert words_of(water, "toxic ammonia")[0] == weight
    assert water.weight == weight


def test_ammonia_without_its_scale_or_temperature_is_not_guessed():
    water = reading(ph=8.0, scale="NBS", tan_mg_n_l=1.0)
    assert water.nh3_mg_l is None
    assert "hangs on temperature, salinity" in words_of(water, "how much of the ammonia")[1]
    other = reading(temperature_c=15, salinity=34, ph=8.0, scale="free", tan_mg_n_l=1.0)
    assert other.nh3_mg_l is None
    assert "can't be said" in words_of(other, "how much of the ammonia")[1]


def test_a_hydrometer_of_unknown_temperatures_is_said_to_be_unsure():
    assert words_of(reading("hyd?", salinity=30), "salinity 30")[0] == "near"
    assert words_of(reading("hyd1", salinity=30), "salinity 30")[1] == "salinity 30 by hydrometer 60/60F"


def test_warm_water_is_named_and_no_reading_is_no_water():
    assert words_of(reading(temperature_c=18.5), "18.5 °C")[0] == "near"
    assert words_of(reading(temperature_c=12.0), "12 °C")[0] == ""
    assert water_now((), {}) is None


# -- company, food, going back


def test_company_is_told_class_by_class():
    found = apart(["grubby", "cunner", "palaemon", "northern-pipefish"], PACK)
    assert ("cunner and grubby", "grass shrimp") in {(one.one, one.other) for one in found} | {
        (one.other, one.one) for one in found
    }
    assert all(" in one bucket" not in one.why for one in found)
    assert apart(["palaemon"], PACK) == ()


def test_the_ration_is_two_per_cent_of_the_mass_at_twelve_degrees():
    # planning default: 2 % wet food at 12 °C, Q10 2.4 (Clarke & Johnston 1999)
    made = ration_now([("cunner", 10)], 12.0, PACK)
    assert made.g == pytest.approx(0.02 * made.mass_g)
    assert ration_now([("cunner", 10)], 22.0, PACK).g == pytest.approx(2.4 * made.g)
    assert ration_now([("cunner", 10)], None, PACK) is None


def test_nothing_goes_back_to_sea_without_a_clause():
    assert may_go_back([], datetime.now(ZONE)) == (False, None)


def test_animals_are_held_under_the_permits_in_force_that_speak_of_keeping():
    permit = permit_of(parse_toml(papers()["permit.toml"].decode(), "permit.toml"), "permit.toml", PACK)
    last = datetime(2027, 3, 31, 23, 59, tzinfo=ZONE)
    assert held_under([permit], last) == (permit,)
    assert held_under([permit], last + timedelta(minutes=1)) == ()
    catches_only = replace(
        permit,
        clauses=tuple(
            one
            for one in permit.clauses
            if one.basis is not Basis.RETAINED and not isinstance(one.detail, HoldingRule)
        ),
    )
    assert held_under([catches_only], last) == ()


# -- the story


def test_a_lots_story_goes_from_the_haul_to_its_end_under_every_name(room):
    room.write(
        "care", "2027-05-15T09:30:00-04:00", {"place": "tank q1", "act": "checked", "what": "all swim"}
    )
    room.write("care", "2027-05-15T09:30:00-04:00", {"place": "tank show", "act": "checked"})
    room.write(
        "redetermination", "2027-05-20T10:00:00-04:00",
        renaming(held(room), CUNNER, 1, ("tautog", None), "thick lips", f"{OUTING}/1"),
    )  # fmt: skip
    tautog = Lot("tank q1", "tautog", None)
    room.write("move", "2027-05-22T10:00:00-04:00", leaving(held(room), tautog, 1, "dead-kept", "jumped"))
    told = story(room.book.entries, f"{OUTING}/1", "tautog")
    assert [entry.kind for entry, _struck in told] == [
        "haul-landed", "move", "move", "care", "redetermination", "move",
    ]  # fmt: skip
    (part,) = parts_of(account_of(room.book), f"{OUTING}/1", "tautog")
    assert (part.n, part.fate, part.late, part.column) == (1, "kept alive", True, "n_retained_alive")
    assert part.now == "found dead in holding, 2027-05-22"
    assert "retained" in part.bases


def test_the_diary_says_only_this_tanks_part(room):
    entry = next(entry for entry in room.book.entries if "tank q1" in f"{entry.body}")
    assert diary_words(entry, "tank q1", PACK) == f"came from bucket 1 of {OUTING}: 5 cunner"
    room.write("move", "2027-05-22T10:00:00-04:00", leaving(held(room), CUNNER, 1, "lost", "jumped"))
    last = room.book.entries[-1]
    assert diary_words(last, "tank q1", PACK) == "missing (jumped): 1 cunner"
    assert last.when.instant - entry.when.instant == timedelta(days=8)
